//! Until when a mix is good.

use std::time::Duration;

use super::lagoon;
use crate::document::Source;
use crate::label::{Days, Keeps, keeps};
use crate::shelf::Shelf;
use crate::units::Measures;

fn shelf(text: &str) -> Shelf {
    let (shelf, problems) = Shelf::parse(&Source::new("shelf.toml", text), &Measures::default());
    assert_eq!(problems, []);
    shelf
}

fn pack(key: &str, rest: &str) -> String {
    format!("[[ingredient.{key}.pack]]\nholds = \"500 g\"\n{rest}\n")
}

const DAYS: Option<Days> = Days::new(90);

#[test]
fn the_setting_holds_until_a_pack_ends_earlier() {
    let with = |text: &str, days| keeps(&lagoon(), days, &shelf(text));
    let as_set = Keeps::AsSet {
        until: "2027-02-28".parse().unwrap(),
        days: DAYS.unwrap(),
    };
    assert_eq!(with("", DAYS), as_set);
    assert_eq!(with("", None), Keeps::Unsaid);
    let late = pack("slow-medium", "best_before = \"2027-06-01\"");
    assert_eq!(with(&late, DAYS), as_set);
    let as_pack = |until: &str, of: &str| Keeps::AsPack {
        until: until.parse().unwrap(),
        of: of.to_owned(),
    };
    assert_eq!(with(&late, None), as_pack("2027-06-01", "Slow medium"));
    let both = late + &pack("levelling-drops", "best_before = \"2026-12-10\"");
    assert_eq!(
        with(&both, DAYS),
        as_pack("2026-12-10", "Levelling drops"),
        "what is in a premix counts"
    );
}

#[test]
fn only_the_pack_in_use_counts() {
    let text = pack(
        "slow-medium",
        "left = \"0 g\"\nweighed = \"2026-11-01T00:00:00Z\"\nopened = \"2026-01-01\"\nbest_before = \"2026-12-01\"",
    ) + &pack(
        "slow-medium",
        "opened = \"2026-11-01\"\nbest_before = \"2027-01-15\"",
    ) + &pack("slow-medium", "best_before = \"2026-12-24\"");
    let keeps = keeps(&lagoon(), DAYS, &shelf(&text));
    assert!(
        matches!(&keeps, Keeps::AsPack { until, .. } if until.to_string() == "2027-01-15"),
        "{keeps:?}"
    );
}

#[test]
fn what_hardens_is_good_for_its_pot_life_alone() {
    let mut content = lagoon();
    let within = Duration::from_secs(2_400);
    content.pot_life = Some(within);
    assert_eq!(keeps(&content, DAYS, &shelf("")), Keeps::Hardens { within });
}

#[test]
fn days_are_read_in_days_and_weeks() {
    let days = |text: &str| text.parse::<Days>().map(Days::number).ok();
    assert_eq!(days("90 days"), Some(90));
    assert_eq!(days("12 weeks"), Some(84));
    assert_eq!(days("1day"), Some(1));
    for text in [
        "90",
        "0 days",
        "36501 days",
        "-1 days",
        "3 months",
        "99999999999 days",
        "9999999 weeks",
        "",
        "½ day",
    ] {
        assert_eq!(days(text), None, "{text}");
    }
}
