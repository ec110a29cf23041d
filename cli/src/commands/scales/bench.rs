//! A scale that a bench reads.

use tarehand_mixing::concern::smallest_worth_weighing;
use tarehand_mixing::ratio::Ratio;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BenchScale, ReadingLine, ScaleState, ScaleWord};

use super::page::said;
use crate::words::{exact_grams, shown, weight_state};

/// Writes how a scale is doing; beside the others of its bench.
pub(super) fn bench(bench: &BenchScale, all: &[BenchScale]) -> String {
    let scale = &bench.scale;
    let which = match bench.which {
        ScaleWord::Main => "",
        ScaleWord::Fine => ", the finer scale",
    };
    let mut lines = vec![format!(
        "{}{which}: {}, read as {}",
        shown(&bench.bench),
        shown(&scale.device),
        shown(&scale.read_as)
    )];
    lines.extend(
        scale
            .trouble
            .as_ref()
            .map(|trouble| said(trouble, scale.hint.as_deref())),
    );
    lines.extend(
        scale
            .remark
            .as_ref()
            .map(|remark| format!("  {}", shown(remark))),
    );
    lines.extend(
        scale
            .battery_percent
            .map(|percent| format!("  battery {percent} %")),
    );
    lines.extend(division(scale));
    let finer = all
        .iter()
        .any(|other| other.bench == bench.bench && other.which == ScaleWord::Fine);
    if !finer {
        lines.extend(small_additions(scale));
    }
    lines.extend(
        scale
            .capacity_g
            .map(|capacity| format!("  capacity {} g", exact_grams(capacity))),
    );
    lines.extend(
        scale
            .rate_hz
            .map(|rate| format!("  {rate:.1} readings a second")),
    );
    lines.extend(bench.reading.as_ref().map(now));
    lines.join("\n")
}

fn division(scale: &ScaleState) -> Option<String> {
    let how = match scale.division_estimated {
        true => ", seen in its readings",
        false => "",
    };
    let division = exact_grams(scale.division_g?);
    Some(format!("  division {division} g{how}"))
}

/// Says below what an addition is better weighed elsewhere: one in a hundred is what a ratio is told apart by (our own
/// choice).
fn small_additions(scale: &ScaleState) -> Option<String> {
    let division = Mass::from_estimated_grams(scale.division_g?);
    let least = smallest_worth_weighing(division, &Ratio::new(1, 100))?;
    // Additions of less than a gram are counted in drops, not weighed.
    (Mass::from_grams(1) < least).then(|| {
        format!(
            "  too coarse for additions under about {} g, if they are to be right within 1 %: weigh those on a finer scale beside it",
            least.grams_text(0)
        )
    })
}

fn now(reading: &ReadingLine) -> String {
    let weight = reading
        .gross_g
        .map(|gross| format!("{} g, ", exact_grams(gross)));
    format!(
        "  now {}{}",
        weight.unwrap_or_default(),
        weight_state(reading.state)
    )
}

#[cfg(test)]
mod tests {
    use tarehand_protocol::api::WeightState;

    use super::*;

    fn scale(which: ScaleWord, division_g: f64) -> BenchScale {
        BenchScale {
            bench: "bench".to_owned(),
            which,
            scale: ScaleState {
                device: "/dev/ttyUSB0, 2400 7E1".to_owned(),
                read_as: "plain lines".to_owned(),
                open: true,
                trouble: None,
                trouble_kind: None,
                hint: None,
                division_g: Some(division_g),
                division_estimated: true,
                capacity_g: None,
                rate_hz: None,
                battery_percent: None,
                remark: None,
                taps: true,
            },
            reading: Some(ReadingLine {
                gross_g: Some(12.3),
                state: WeightState::Stable,
                unit: Some("g".to_owned()),
                digits: Some("12.3".to_owned()),
                age_ms: 0,
                raw: None,
                why: None,
                hint: None,
                needs: None,
            }),
        }
    }

    #[test]
    fn a_scale_that_is_coarse_says_for_what_unless_a_finer_one_stands_beside_it() {
        let main = scale(ScaleWord::Main, 1.0);
        insta::assert_snapshot!(bench(&main, std::slice::from_ref(&main)), @r"
        bench: /dev/ttyUSB0, 2400 7E1, read as plain lines
          division 1.0 g, seen in its readings
          too coarse for additions under about 82 g, if they are to be right within 1 %: weigh those on a finer scale beside it
          now 12.3 g, stable
        ");
        let fine = scale(ScaleWord::Fine, 0.01);
        let both = [main, fine];
        insta::assert_snapshot!(bench(&both[0], &both), @r"
        bench: /dev/ttyUSB0, 2400 7E1, read as plain lines
          division 1.0 g, seen in its readings
          now 12.3 g, stable
        ");
        insta::assert_snapshot!(bench(&both[1], &both), @r"
        bench, the finer scale: /dev/ttyUSB0, 2400 7E1, read as plain lines
          division 0.01 g, seen in its readings
          now 12.3 g, stable
        ");
    }

    #[test]
    fn what_is_wrong_stands_with_what_to_do_about_it_and_no_weight_of_before() {
        let mut lost = scale(ScaleWord::Main, 0.1);
        lost.reading = None;
        lost.scale.trouble = Some("it was unplugged".to_owned());
        lost.scale.hint = Some("plug it in again".to_owned());
        insta::assert_snapshot!(bench(&lost, std::slice::from_ref(&lost)), @r"
        bench: /dev/ttyUSB0, 2400 7E1, read as plain lines
          ! it was unplugged: plug it in again
          division 0.1 g, seen in its readings
          too coarse for additions under about 8 g, if they are to be right within 1 %: weigh those on a finer scale beside it
        ");
    }
}
