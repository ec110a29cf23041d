//! A plan as a page.

use tarehand_protocol::api::{PlanAnswer, PlanJar, PlanNeed, PlanWalk};

use super::{Column, Width, percent, rough_grams, short_grams, shown, table, time};

/// Writes a plan as a page.
pub(crate) fn plan_page(plan: &PlanAnswer, width: Width) -> String {
    let mut parts = vec![head(plan), jars(plan, width)];
    parts.extend(premixes(plan, width));
    parts.push(shelf(plan, width));
    parts.extend(warnings(plan));
    parts.push(work(plan, width));
    parts.push(walks(plan, width));
    if !plan.cautions.is_empty() {
        let lines = plan
            .cautions
            .iter()
            .map(|caution| format!("  {}", shown(caution)));
        parts.push(format!(
            "Cautions\n{}\n  the maker's safety sheet and local rules come first",
            lines
                .filter(|line| !line.contains("safety sheet"))
                .collect::<Vec<_>>()
                .join("\n")
        ));
    }
    parts.join("\n\n")
}

fn head(plan: &PlanAnswer) -> String {
    if plan.area_cm2 <= 0.0 {
        return shown(&plan.set).into_owned();
    }
    let from = match plan.thickness_from.as_str() {
        "measured" => "measured in this studio",
        "written" => "as the set says",
        _ => "common practice",
    };
    format!(
        "{}: {:.0} cm² with edges, {:.2} mm wet ({from}), {:.0} ml and {} spare\nshares are by {}",
        shown(&plan.set),
        plan.area_cm2,
        plan.thickness_mm,
        plan.pour_ml,
        percent(plan.spare),
        plan.basis
    )
}

fn jars(plan: &PlanAnswer, width: Width) -> String {
    let row = |(number, jar): (usize, &PlanJar)| {
        let fits = jar
            .too_small_ml
            .map_or_else(String::new, |holds| format!("its jar holds {holds:.0} ml"));
        vec![
            format!("{}", number + 1),
            shown(&jar.name).into_owned(),
            format!("{} g", rough_grams(jar.grams)),
            jar.volume_ml
                .map_or_else(String::new, |ml| format!("{ml:.0} ml")),
            jar.trail_s.map_or_else(String::new, trail),
            film(jar),
            fits,
        ]
    };
    let rows: Vec<Vec<String>> = plan.jars.iter().enumerate().map(row).collect();
    let columns = [
        Column::Right,
        Column::Name,
        Column::Right,
        Column::Right,
        Column::Left,
        Column::Prose,
        Column::Prose,
    ];
    let mut unknown: Vec<&str> = plan
        .jars
        .iter()
        .flat_map(|jar| &jar.unknown)
        .map(String::as_str)
        .collect();
    unknown.sort_unstable();
    unknown.dedup();
    let mut text = format!("Jars\n{}", table(&columns, &rows, width));
    if !unknown.is_empty() {
        text.push_str(&format!(
            "\n  where water, solids or pigment are left out, the shelf says too little of {}",
            shown(&unknown.join(", "))
        ));
    }
    text
}

fn trail(seconds: f64) -> String {
    if seconds <= 0.0 {
        "no trail".to_owned()
    } else {
        format!("trail {seconds} s")
    }
}

/// Says what is known of the mix as a film, and what keeps the rest from being known.
fn film(jar: &PlanJar) -> String {
    let mut parts = Vec::new();
    let figures = [
        ("plain water", jar.added_water.filter(|water| 0.0 < *water)),
        ("water", jar.water),
        ("solids", jar.solids),
    ];
    for (word, figure) in figures {
        parts.extend(figure.map(|figure| format!("{word} {}", percent(figure))));
    }
    if let (Some(pvc), Some(critical)) = (jar.pvc, jar.critical_pvc) {
        parts.push(format!("PVC {} of {}", percent(pvc), percent(critical)));
    }
    parts.join(", ")
}

fn premixes(plan: &PlanAnswer, width: Width) -> Option<String> {
    if plan.premixes.is_empty() {
        return None;
    }
    let rows: Vec<Vec<String>> = plan
        .premixes
        .iter()
        .map(|premix| {
            let heel = if 0.0 < premix.heel_g {
                format!("of it {} g stay in the vessel", short_grams(premix.heel_g))
            } else {
                String::new()
            };
            vec![
                shown(&premix.name).into_owned(),
                format!("{} g", rough_grams(premix.grams)),
                heel,
            ]
        })
        .collect();
    let columns = [Column::Name, Column::Right, Column::Prose];
    Some(format!("Premixes\n{}", table(&columns, &rows, width)))
}

fn shelf(plan: &PlanAnswer, width: Width) -> String {
    let row = |need: &PlanNeed| {
        let most = if rough_grams(need.most_g) == rough_grams(need.grams) {
            String::new()
        } else {
            format!("at most {} g", rough_grams(need.most_g))
        };
        let stock = need.stock_g.map_or_else(
            || "not counted".to_owned(),
            |stock| format!("of {} g", short_grams(stock)),
        );
        let short = match (need.short_g, need.packs, need.pack_g) {
            (Some(short), Some(packs), Some(pack)) => {
                format!(
                    "short by {} g: buy {packs} × {} g",
                    rough_grams(short),
                    short_grams(pack)
                )
            }
            (Some(short), ..) => format!("short by {} g", rough_grams(short)),
            _ => String::new(),
        };
        vec![
            shown(&need.name).into_owned(),
            format!("{} g", rough_grams(need.grams)),
            most,
            stock,
            need.cost
                .map_or_else(String::new, |cost| format!("{cost:.2}")),
            short,
        ]
    };
    let rows: Vec<Vec<String>> = plan.shelf.iter().map(row).collect();
    let columns = [
        Column::Name,
        Column::Right,
        Column::Left,
        Column::Left,
        Column::Right,
        Column::Prose,
    ];
    let cost: Vec<String> = plan
        .cost
        .iter()
        .map(|cost| {
            format!(
                "{:.2} {}",
                cost.amount,
                cost.currency.as_deref().unwrap_or("")
            )
        })
        .map(|cost| cost.trim_end().to_owned())
        .collect();
    let mut text = format!("From the shelf\n{}", table(&columns, &rows, width));
    if !cost.is_empty() {
        text.push_str(&format!("\n  together {}", cost.join(" and ")));
        if !plan.unpriced.is_empty() {
            text.push_str(&format!(", without {}", shown(&plan.unpriced.join(", "))));
        }
    }
    text
}

fn warnings(plan: &PlanAnswer) -> Option<String> {
    let lines = plan
        .warnings
        .iter()
        .map(|warning| format!("  ! {} ({})", shown(&warning.text), warning.basis));
    let lines: Vec<String> = lines.collect();
    (!lines.is_empty()).then(|| format!("Before you begin\n{}", lines.join("\n")))
}

/// Whole seconds of an estimate.
fn seconds(seconds: f64) -> String {
    let whole = std::time::Duration::try_from_secs_f64(seconds).unwrap_or_default();
    time(whole.as_secs())
}

fn work(plan: &PlanAnswer, width: Width) -> String {
    let rows: Vec<Vec<String>> = plan
        .work
        .stints
        .iter()
        .map(|stint| {
            let rests = if 0.0 < stint.rests_s {
                format!("then rests {}", seconds(stint.rests_s))
            } else {
                String::new()
            };
            vec![
                format!("after {}", seconds(stint.begins_s)),
                shown(&stint.name).into_owned(),
                if stint.from_step == stint.to_step {
                    format!("step {}", stint.from_step)
                } else {
                    format!("steps {} to {}", stint.from_step, stint.to_step)
                },
                seconds(stint.takes_s),
                rests,
            ]
        })
        .collect();
    let columns = [
        Column::Right,
        Column::Name,
        Column::Left,
        Column::Right,
        Column::Left,
    ];
    format!(
        "Order of work, about {} (one after another {})\n{}",
        seconds(plan.work.takes_s),
        seconds(plan.work.one_after_another_s),
        table(&columns, &rows, width)
    )
}

fn shorter(plan: &PlanAnswer) -> &PlanWalk {
    let changes = |walk: &PlanWalk| walk.bottles + walk.jars;
    if changes(&plan.by_bottle) < changes(&plan.by_jar) {
        &plan.by_bottle
    } else {
        &plan.by_jar
    }
}

fn walks(plan: &PlanAnswer, width: Width) -> String {
    let row = |name: &str, walk: &PlanWalk| {
        let mut remarks = Vec::new();
        if std::ptr::eq(walk, shorter(plan)) {
            remarks.push("fewer changes");
        }
        if !walk.fewest {
            remarks.push("the best found, not proven the best");
        }
        vec![
            name.to_owned(),
            format!("{} bottles", walk.bottles),
            format!("{} jars", walk.jars),
            remarks.join("; "),
        ]
    };
    let rows = [
        row("jar by jar", &plan.by_jar),
        row("bottle by bottle", &plan.by_bottle),
    ];
    let columns = [Column::Left, Column::Right, Column::Right, Column::Prose];
    format!(
        "Taking up and setting down\n{}",
        table(&columns, &rows, width)
    )
}

/// Writes every pour of the shorter walk, in order.
pub(crate) fn pours_page(plan: &PlanAnswer, width: Width) -> String {
    let rows: Vec<Vec<String>> = shorter(plan)
        .pours
        .iter()
        .map(|pour| {
            let jar = plan
                .jars
                .get(pour.jar - 1)
                .map_or("", |jar| jar.name.as_str());
            vec![
                shown(&pour.name).into_owned(),
                pour.grams.map_or_else(
                    || "as judged".to_owned(),
                    |grams| format!("{} g", rough_grams(grams)),
                ),
                format!("into {} {}", pour.jar, shown(jar)),
            ]
        })
        .collect();
    let columns = [Column::Name, Column::Right, Column::Prose];
    format!("Pour by pour\n{}", table(&columns, &rows, width))
}
