//! The ways out of a slip, as a page.

use tarehand_protocol::api::{RescueAnswer, RescueLine};

use super::{percent, rough_grams, short_grams, shown};

/// Writes the ways out as a page: the recommended one with its shares, the others in a line each.
pub(crate) fn rescue_page(recipe: &str, answer: &RescueAnswer) -> String {
    let mut page = format!(
        "{}: {} g planned, {} g in the jar\n",
        shown(recipe),
        short_grams(answer.planned_g),
        short_grams(answer.in_jar_g)
    );
    let (can, cannot): (Vec<&RescueLine>, Vec<&RescueLine>) =
        answer.options.iter().partition(|line| line.feasible);
    // Taking nothing out is topping up.
    let mut can = can
        .into_iter()
        .filter(|line| line.kind != "take-out" || line.take_out_g != 0.0);
    if let Some(best) = can.next() {
        page.push_str(&format!("\nBest: {}\n", shown(&best.text)));
        if let Some(reason) = &answer.reason {
            page.push_str(&format!("      {reason}\n"));
        }
        page.push_str(&format!("      {}\n", consequences(best)));
    } else {
        page.push_str("\nNothing can be done with what there is and what fits.\n");
    }
    let mut seen: Vec<&RescueLine> = answer.options.iter().take(1).collect();
    let mut others = String::new();
    for line in can {
        // Two ways may come to the same pours.
        if !seen.iter().any(|other| same_pours(other, line)) {
            others.push_str(&format!("  - {}{}\n", shown(&line.text), costs(line)));
        }
        seen.push(line);
    }
    if !others.is_empty() {
        page.push_str(&format!("\nOr:\n{others}"));
    }
    if !cannot.is_empty() {
        page.push_str("\nNot possible:\n");
        for line in cannot {
            let why = line.why_not.as_deref().unwrap_or_default();
            page.push_str(&format!("  - {}: {}\n", way(&line.kind), shown(why)));
        }
    }
    page
}

fn same_pours(one: &RescueLine, other: &RescueLine) -> bool {
    let apart = (one.take_out_g - other.take_out_g).abs();
    one.add == other.add && apart < 1e-6
}

fn costs(line: &RescueLine) -> String {
    line.cost
        .filter(|cost| 0.0 < *cost)
        .map_or_else(String::new, |cost| {
            let currency = line
                .currency
                .as_deref()
                .map_or_else(String::new, |word| format!(" {word}"));
            format!(", costs {cost:.2}{currency}")
        })
}

fn consequences(line: &RescueLine) -> String {
    let parts: Vec<String> = line
        .shares
        .iter()
        .map(|share| {
            let name = shown(&share.ingredient);
            let known = share.uncertainty.map_or_else(String::new, |uncertainty| {
                format!(" ± {} %", rough_grams(uncertainty * 100.0))
            });
            if (share.result - share.planned).abs() < 5e-4 {
                format!("{name} {}{known}", percent(share.result))
            } else {
                format!(
                    "{name} {}{known} (planned {})",
                    percent(share.result),
                    percent(share.planned)
                )
            }
        })
        .collect();
    format!("{}{}", parts.join(", "), costs(line))
}

fn way(kind: &str) -> &str {
    match kind {
        "top-up-exact" => "topping up to the exact ratio",
        "top-up-least" => "topping up until it is within the tolerances",
        "take-out" => "taking some out and topping up",
        "make-less" => "making less",
        "accept" => "going on as planned",
        other => other,
    }
}
