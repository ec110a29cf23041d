//! Ways out as messages and as sentences.

use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::rescue::{
    Filled, RescueKind, RescueOption, ShareLine, Situation, Way, share_uncertainties, ways,
};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{RescueAnswer, RescueLine, RescuePour, RescueShare};

use super::words::grams;

/// What the scale is taken to show where nobody says its division.
const USUAL_DIVISION: Mass = Mass::from_milligrams(100);

/// Returns what can still be done with a jar.
#[must_use]
pub fn rescue_answer(filled: &Filled) -> RescueAnswer {
    let situation = &filled.situation;
    let found = ways(situation);
    let recommended = found.ways.first().filter(|_| found.reason.is_some());
    RescueAnswer {
        planned_g: situation.planned.grams(),
        in_jar_g: exact_grams(&situation.in_jar()),
        recommended: recommended.map(|way| way.kind.word().to_owned()),
        reason: found.reason.map(|reason| reason.to_string()),
        options: found
            .ways
            .iter()
            .map(|way| rescue_line(filled, way))
            .collect(),
    }
}

fn rescue_line(filled: &Filled, way: &Way) -> RescueLine {
    let situation = &filled.situation;
    let cost = way.cost(situation);
    let uncertainties = situation
        .scales
        .jar
        .division
        .map(|division| share_uncertainties(situation, &filled.poured, way, division));
    let shares = situation.components.iter().zip(&way.content).enumerate();
    RescueLine {
        kind: way.kind.word().to_owned(),
        text: option_text(&way.told(situation), situation.planned),
        feasible: way.is_feasible(),
        why_not: way.obstacle.as_ref().map(ToString::to_string),
        total_g: exact_grams(&way.total),
        take_out_g: exact_grams(&way.take_out),
        add: way
            .pours
            .iter()
            .map(|(at, mass)| pour(situation, *at, mass))
            .collect(),
        shares: shares
            .map(|(at, (component, mass))| RescueShare {
                ingredient: component.key.clone(),
                planned: component.share.to_f64(),
                result: mass
                    .checked_div(&way.total)
                    .unwrap_or_else(Ratio::zero)
                    .to_f64(),
                uncertainty: uncertainties
                    .as_ref()
                    .and_then(|all| all.get(at).copied())
                    .filter(|uncertainty| uncertainty.is_finite()),
            })
            .collect(),
        worst_deviation: way.worst_deviation(situation),
        cost: cost.as_ref().map(|cost| cost.money.to_f64()),
        currency: cost.and_then(|cost| cost.currency),
    }
}

fn pour(situation: &Situation, at: usize, mass: &Ratio) -> RescuePour {
    let source = &situation.sources[at];
    let rounded = match situation.scales.jar.division {
        Some(_) => Way::rounded(situation, source, mass),
        None => mass.to_mass().rounded_to(USUAL_DIVISION),
    };
    RescuePour {
        ingredient: source.key.clone(),
        grams: exact_grams(mass),
        rounded_g: rounded.grams(),
    }
}

fn exact_grams(micrograms: &Ratio) -> f64 {
    (micrograms * &Ratio::new(1, 1_000_000)).to_f64()
}

/// Returns an option as a person reads it.
#[must_use]
pub fn option_text(option: &RescueOption, planned: Mass) -> String {
    let total = grams(option.total);
    let pours: Vec<String> = option
        .pours
        .iter()
        .map(|pour| format!("{} {}", grams(pour.mass), pour.name))
        .collect();
    let add = if pours.is_empty() {
        "add nothing more".to_owned()
    } else {
        format!("still add {}", pours.join(", "))
    };
    match option.kind {
        RescueKind::TopUpExact => format!("{add}: the ratio holds, the jar becomes {total}"),
        RescueKind::TopUpLeast => {
            format!("{add}: every share within its tolerance, the jar becomes {total}")
        }
        RescueKind::MakeLess => {
            format!("make less: {add}, the ratio holds, the jar becomes {total}")
        }
        RescueKind::TakeOut => format!(
            "stir well, take out {}, then {add}: the ratio holds, the jar becomes {total}",
            grams(option.take_out)
        ),
        RescueKind::Unthinned => {
            format!(
                "{add}, and no thinner: the ratio holds, without thinner the jar becomes {total}"
            )
        }
        RescueKind::ReadyMade => format!(
            "{add}, in one pour: the ratio holds as far as it holds in that jar, without thinner this one becomes {total}"
        ),
        RescueKind::Accept => {
            let total = grams(option.total.max(planned));
            match most_changed(option) {
                Some(line) => format!(
                    "go on as planned to {total}: {} becomes {:.1} % instead of {:.1} %",
                    line.name,
                    line.result.to_f64() * 100.0,
                    line.planned.to_f64() * 100.0
                ),
                None => format!("go on as planned to {total}"),
            }
        }
    }
}

/// Returns the share that is farthest from what it should be, where the difference can be seen in a tenth of a percent.
fn most_changed(option: &RescueOption) -> Option<&ShareLine> {
    const SEEN: f64 = 5e-4;
    let off = |line: &ShareLine| (line.result.to_f64() - line.planned.to_f64()).abs();
    let lines = option.shares.iter();
    let most = lines.max_by(|one, other| off(one).total_cmp(&off(other)));
    most.filter(|line| SEEN <= off(line))
}
