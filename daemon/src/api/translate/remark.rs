//! What is remarked of a recipe, as data.

use tarehand_mixing::diagnostic::Finding;
use tarehand_protocol::api::{ConcernLine, RemarkSaid};

use super::words::volume_ml;

/// Returns a remark as a line of what is to be known before.
#[must_use]
pub fn remark_line(finding: &Finding) -> ConcernLine {
    let ways_round = finding.help().into_iter().collect();
    ConcernLine {
        remark: Some(remark_said(finding)),
        ..ConcernLine::remark(finding.to_string(), ways_round)
    }
}

/// Returns a remark as data.
pub(super) fn remark_said(finding: &Finding) -> RemarkSaid {
    match finding.clone() {
        Finding::OnlyShares => RemarkSaid::OnlyShares,
        Finding::PercentNotWhole { sum } => RemarkSaid::PercentNotWhole { sum: sum.to_f64() },
        Finding::AmountsNotMakes { sum, makes } => RemarkSaid::AmountsNotMakes {
            sum_g: sum.grams(),
            makes_g: makes.grams(),
        },
        Finding::LetsAllPass { amount } => RemarkSaid::LetsAllPass {
            amount_g: amount.grams(),
        },
        Finding::JarTooSmall {
            contents,
            jar,
            assumed,
        } => RemarkSaid::JarTooSmall {
            contents_ml: volume_ml(&contents),
            jar_ml: volume_ml(&jar),
            assumed,
        },
        Finding::Families { other, first } => RemarkSaid::Families {
            other: other.0,
            other_family: other.1,
            first: first.0,
            first_family: first.1,
        },
        Finding::StockShort {
            ingredient,
            needed,
            stock,
        } => RemarkSaid::StockShort {
            ingredient,
            needed_g: needed.grams(),
            stock_g: stock.grams(),
        },
        Finding::StandsIn {
            missing,
            used,
            note,
        } => RemarkSaid::StandsIn {
            missing,
            used,
            note,
        },
        Finding::NotOnShelf { name, meant } => RemarkSaid::NotOnShelf { name, meant },
        Finding::NoShelf { name, meant } => RemarkSaid::NoShelf { name, meant },
        Finding::Rounded { sum, planned } => RemarkSaid::Rounded {
            sum_g: sum.grams(),
            planned_g: planned.grams(),
        },
        Finding::Assumed { ingredients } => RemarkSaid::Assumed { ingredients },
        Finding::Changed {
            name,
            before,
            after,
        } => RemarkSaid::Changed {
            ingredient: name,
            written_share: before.0.to_f64(),
            written_g: before.1.grams(),
            share: after.0.to_f64(),
            grams: after.1.grams(),
        },
    }
}
