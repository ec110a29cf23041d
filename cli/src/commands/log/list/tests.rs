use tarehand_protocol::api::{AgainWord, BatchStateWord, OpenedAgain};

use super::*;

fn batch(mark: &str, recipe: &str, in_jar_g: f64) -> BatchSummary {
    BatchSummary {
        mark: mark.to_owned(),
        recipe: recipe.to_owned(),
        state: BatchStateWord::Complete,
        rehearsal: false,
        opened: "2026-11-02T14:03:00Z".to_owned(),
        closed: Some("2026-11-02T14:20:00Z".to_owned()),
        planned_g: 40.0,
        in_jar_g,
        opened_again: None,
    }
}

fn again(mark: &str, how: AgainWord, what: &[&str], mass_g: f64) -> BatchSummary {
    let opened_again = OpenedAgain {
        jar: "K7F2A".to_owned(),
        recipe: "Slip, grey".to_owned(),
        how,
        what: what.iter().map(|&what| what.to_owned()).collect(),
        from: (how == AgainWord::Joined).then(|| "M3T8C".to_owned()),
        mass_g,
    };
    BatchSummary {
        opened_again: Some(opened_again),
        ..batch(mark, "Slip, grey, K7F2A", 0.0)
    }
}

fn batches() -> Vec<BatchSummary> {
    vec![
        again("T4K8Q", AgainWord::TakenOut, &[], -16.0),
        again("R2M9X", AgainWord::Joined, &["Slip, pale, M3T8C"], 20.0),
        again("Q5H3W", AgainWord::Added, &["flow-drops"], 4.0),
        batch("K7F2A", "Slip, grey", 48.0),
        BatchSummary {
            rehearsal: true,
            ..batch("B6D4N", "Lagoon round, pearl blue over sand", 1_240.5)
        },
    ]
}

#[test]
fn a_jar_that_was_opened_again_is_listed_by_its_mark_with_what_came_in_or_went_out() {
    insta::assert_snapshot!(page(&batches(), Width::Full), @r"
    T4K8Q  2026-11-02 14:03  took from Slip, grey                       -16.0 g  out of K7F2A      complete
    R2M9X  2026-11-02 14:03  poured Slip, pale, M3T8C into Slip, grey   +20.0 g  M3T8C into K7F2A  complete
    Q5H3W  2026-11-02 14:03  added flow-drops to Slip, grey              +4.0 g  into K7F2A        complete
    K7F2A  2026-11-02 14:03  Slip, grey                                  48.0 g  of 40.0           complete
    B6D4N  2026-11-02 14:03  Lagoon round, pearl blue over sand        1240.5 g  of 40.0           complete  rehearsal
    ");
}

#[test]
fn the_list_has_room_on_a_usual_terminal() {
    insta::assert_snapshot!(page(&batches(), Width::Columns(80)), @r"
    T4K8Q  2026-11-02 14:03  took from Slip…   -16.0 g  out of K7F2A      complete
    R2M9X  2026-11-02 14:03  poured Slip, p…   +20.0 g  M3T8C into K7F2A  complete
    Q5H3W  2026-11-02 14:03  added flow-dro…    +4.0 g  into K7F2A        complete
    K7F2A  2026-11-02 14:03  Slip, grey         48.0 g  of 40.0           complete
    B6D4N  2026-11-02 14:03  Lagoon round,…   1240.5 g  of 40.0           complete
        rehearsal
    ");
}

#[test]
fn the_list_is_sane_on_a_narrow_terminal() {
    insta::assert_snapshot!(page(&batches(), Width::Columns(40)), @r"
    T4K8Q  2026-11-02 14:03  took from Sl…
         -16.0 g  out of K7F2A
        complete
    R2M9X  2026-11-02 14:03  poured Slip,…
         +20.0 g  M3T8C into K7F2A
        complete
    Q5H3W  2026-11-02 14:03  added flow-d…
          +4.0 g  into K7F2A
        complete
    K7F2A  2026-11-02 14:03  Slip, grey
          48.0 g  of 40.0
        complete
    B6D4N  2026-11-02 14:03  Lagoon round…
        1240.5 g  of 40.0
        complete  rehearsal
    ");
}
