//! The picture itself.

use std::fmt::Write as _;

use super::scale::Axis;
use super::thin::thin;
use super::{Plot, StepMark};
use crate::markup::escaped;
use crate::tick::Tick;

/// The size of the drawing in its own units, which are pixels where nobody scales it.
const WIDTH: f64 = 960.0;
const HEIGHT: f64 = 400.0;
const LEFT: f64 = 64.0;
const RIGHT: f64 = 16.0;
const TOP: f64 = 56.0;
const BOTTOM: f64 = 40.0;
/// A line of the list of steps below it.
const LINE: f64 = 22.0;
/// Marks of steps nearer than this go into the next row.
const NEAR: f64 = 26.0;

/// Colours that keep 4.5 : 1 and more against their ground (WCAG 2.2, 1.4.3), by the reader's own choice of light or dark.
const STYLE: &str = "\
text{font:14px system-ui,'DejaVu Sans',sans-serif;fill:#1d2321}\
path{fill:none}.ground{fill:#fff}.grid{stroke:#c9c6bc;stroke-width:1}.axis{stroke:#4a5450;stroke-width:1.5}\
.weight{fill:none;stroke:#0b6e69;stroke-width:2;stroke-linejoin:round}\
.step{stroke:#b4531a;stroke-width:1.5;stroke-dasharray:4 4}.number{font-weight:700;fill:#9a4514}.title{font-size:17px;font-weight:700}\
@media screen and (prefers-color-scheme:dark){text{fill:#f0eee7}.ground{fill:#151918}.grid{stroke:#3d4644}.axis{stroke:#a9b2ae}\
.weight{stroke:#57c7bc}.step{stroke:#f0975a}.number{fill:#f0975a}}";

pub(super) fn svg(plot: &Plot) -> String {
    let steps = f64::from(u16::try_from(plot.steps.len()).unwrap_or(u16::MAX));
    let height = LINE.mul_add(steps, HEIGHT) + if plot.steps.is_empty() { 0.0 } else { 16.0 };
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-label=\"{title}\">\
         <style>{STYLE}</style><rect class=\"ground\" width=\"{WIDTH}\" height=\"{height}\"/>\
         <text class=\"title\" x=\"{LEFT}\" y=\"22\">{title}</text>",
        title = escaped(&plot.title),
    );
    match plot.weights.as_slice() {
        [] => out.push_str(&format!(
            "<text x=\"{LEFT}\" y=\"{}\">no weight was kept</text>",
            HEIGHT / 2.0
        )),
        [first, .., last] => graph(&mut out, plot, first.0, last.0),
        [only] => graph(&mut out, plot, only.0, only.0),
    }
    for (row, step) in (1_u16..).zip(&plot.steps) {
        let y = LINE.mul_add(f64::from(row), HEIGHT);
        // Writing to a text cannot fail.
        let _ = write!(
            out,
            "<text x=\"{LEFT}\" y=\"{y}\"><tspan class=\"number\">{}</tspan> {}</text>",
            step.number,
            escaped(&step.name)
        );
    }
    out.push_str("</svg>");
    out
}

fn graph(out: &mut String, plot: &Plot, from: Tick, to: Tick) {
    let seconds = |at: Tick| at.since(from).as_secs_f64();
    let grams = plot.weights.iter().map(|(_, mass)| mass.grams());
    let low = grams.clone().fold(f64::INFINITY, f64::min);
    let high = grams.fold(f64::NEG_INFINITY, f64::max);
    let weight = Axis::over(low, high, 5.0, &[1.0, 2.0, 5.0]);
    let minutes = Axis::over(0.0, seconds(to) / 60.0, 8.0, &[1.0, 2.0, 5.0]);
    let x = |share: f64| share.mul_add(WIDTH - LEFT - RIGHT, LEFT);
    let y = |share: f64| (1.0 - share).mul_add(HEIGHT - TOP - BOTTOM, TOP);
    let (bottom, right) = (y(0.0), x(1.0));
    for number in weight.numbers() {
        let at = y(weight.place(number));
        let _ = write!(
            out,
            "<path class=\"grid\" d=\"M{LEFT} {at:.1}H{right}\"/><text x=\"{}\" y=\"{:.1}\" text-anchor=\"end\">{number:.*}</text>",
            LEFT - 8.0,
            at + 5.0,
            weight.decimals(),
        );
    }
    for number in minutes.numbers() {
        let at = x(minutes.place(number));
        let _ = write!(
            out,
            "<text x=\"{at:.1}\" y=\"{}\" text-anchor=\"middle\">{number:.*}</text>",
            bottom + 20.0,
            minutes.decimals(),
        );
    }
    let _ = write!(
        out,
        "<path class=\"axis\" d=\"M{LEFT} {TOP}V{bottom}H{right}\"/><text x=\"8\" y=\"{}\">g</text>\
         <text x=\"{right}\" y=\"{}\" text-anchor=\"end\">min</text>",
        TOP - 10.0,
        bottom + 36.0,
    );
    let minute = |at: Tick| minutes.place(seconds(at) / 60.0);
    marks(out, &plot.steps, |at| x(minute(at).clamp(0.0, 1.0)), bottom);
    let points: Vec<(f64, f64)> = plot
        .weights
        .iter()
        .map(|(at, mass)| (minute(*at), weight.place(mass.grams())))
        .collect();
    // A column is a pixel where nobody scales the picture.
    let kept = thin(&points, 880);
    let line: Vec<String> = kept
        .iter()
        .map(|point| format!("{:.1},{:.1}", x(point.0), y(point.1)))
        .collect();
    let _ = write!(
        out,
        "<polyline class=\"weight\" points=\"{}\"/>",
        line.join(" ")
    );
}

/// Marks where steps began; numbers that would meet stand in two rows.
fn marks(out: &mut String, steps: &[StepMark], x: impl Fn(Tick) -> f64, bottom: f64) {
    let mut last = f64::NEG_INFINITY;
    let mut lower = false;
    for step in steps {
        let at = x(step.at);
        lower = at - last < NEAR && !lower;
        last = at;
        let top = if lower { TOP - 2.0 } else { TOP - 16.0 };
        let _ = write!(
            out,
            "<path class=\"step\" d=\"M{at:.1} {TOP}V{bottom}\"/><text class=\"number\" x=\"{at:.1}\" y=\"{top}\" text-anchor=\"middle\">{}</text>",
            step.number
        );
    }
}

#[cfg(test)]
mod tests {
    use tarehand_protocol::Mass;

    use super::*;

    fn plot() -> Plot {
        Plot {
            title: "Lagoon <round> & \"more\"".to_owned(),
            weights: (0..600)
                .map(|n| {
                    (
                        Tick::from_millis(100 * n),
                        Mass::from_milligrams(86_400 + 100 * i64::try_from(n).unwrap()),
                    )
                })
                .collect(),
            steps: vec![
                StepMark {
                    at: Tick::from_millis(0),
                    number: 1,
                    name: "Lagoon blue paste".to_owned(),
                },
                StepMark {
                    at: Tick::from_millis(900),
                    number: 2,
                    name: "stir 20 s".to_owned(),
                },
            ],
        }
    }

    #[test]
    fn a_picture_is_whole_xml_whatever_it_is_called() {
        let svg = plot().svg();
        assert!(svg.contains("Lagoon &lt;round&gt; &amp; &quot;more&quot;"));
        assert_eq!(svg.matches('<').count(), svg.matches('>').count());
        assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>"));
        assert!(Plot::default().svg().contains("no weight was kept"));
    }

    #[test]
    fn the_line_ends_where_the_weight_does() {
        let svg = plot().svg();
        let points = svg
            .split("points=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap();
        let last = points.rsplit(' ').next().unwrap();
        let (x, _) = last.split_once(',').unwrap();
        let x: f64 = x.parse().unwrap();
        assert!((WIDTH - RIGHT - x).abs() < 2.0, "{last}");
    }
}
