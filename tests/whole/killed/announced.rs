//! What a person was told, and whether a later view still says so.

use serde_json::Value;

/// A hair more than the rounding of decimal fractions to binary ones, in grams.
const HAIR: f64 = 1e-6;

/// Sees that everything `told` says for certain is in `later`, a view of the same batch after the service came back.
///
/// More may have come meanwhile: an entry that was written and not told yet.
#[track_caller]
pub(super) fn check_kept(told: &Value, later: &Value) {
    let both = format!("told:\n{told}\nlater:\n{later}");
    assert_eq!(told["batch"], later["batch"], "{both}");
    for step in told["steps"].as_array().unwrap() {
        let kept = later["steps"]
            .as_array()
            .unwrap()
            .iter()
            .find(|kept| kept["step"] == step["step"])
            .unwrap_or_else(|| panic!("step {} is gone\n{both}", step["step"]));
        if !step["verdict"].is_null() {
            assert_eq!(step["verdict"], kept["verdict"], "{both}");
        }
        let poured = |step: &Value| step["poured_g"].as_f64().unwrap_or(0.0);
        assert!(poured(step) - HAIR <= poured(kept), "{both}");
        assert_eq!(step["extra"], kept["extra"], "{both}");
    }
    let total = |view: &Value| view["total_g"].as_f64().unwrap();
    assert!(total(told) - HAIR <= total(later), "{both}");
    if told["state"] != "idle" {
        assert_ne!(later["state"], "idle", "{both}");
    }
}

/// Sees that a question that nobody has answered is still asked.
#[track_caller]
pub(super) fn check_asked(told: &Value, later: &Value) {
    assert_eq!(
        (&told["question"]["about"], &told["state"]),
        (&later["question"]["about"], &later["state"]),
        "told:\n{told}\nlater:\n{later}"
    );
}
