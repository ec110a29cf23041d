//! Report descriptors and reports of USB devices.

use tarehand_protocol::MassUnit;
use tarehand_protocol::scale::hid::Reports;
use tarehand_protocol::scale::{Decoded, Decoder};

use super::feed::Feed;
use super::run;

pub(crate) fn holds(input: &[u8]) {
    let mut feed = Feed::new(input);
    let told = feed.maybe(|feed| feed.one_of(&MassUnit::ALL));
    let report = feed.bytes(70);
    let descriptor = feed.rest();
    let mut reports = match Reports::find(descriptor) {
        Ok(reports) => reports,
        Err(none) => return assert!(!none.to_string().is_empty()),
    };
    if let Some(unit) = told {
        reports.tell(unit);
    }
    for id in [reports.capacity_id(), reports.division_id()]
        .into_iter()
        .flatten()
    {
        let named = [&[id], report].concat();
        let told = [reports.capacity(&named), reports.division(&named)];
        assert!(told.into_iter().flatten().all(|mass| 0 < mass.micrograms()));
    }
    let decoder = Decoder::reports(reports);
    let whole = run::of_packet(&decoder, report);
    whole.iter().for_each(run::an_outcome_says_what_it_is);
    // What is left of a report that was cut off gives its own number or none.
    let number = run::weights(&whole);
    for end in 0..report.len() {
        let cut = run::weights(&run::of_packet(&decoder, &report[..end]));
        assert!(cut.is_empty() || cut == number, "{report:02x?} up to {end}");
    }
    // A scale that has not weighed sends nothing but zeros.
    let mut silent = vec![0; report.len()];
    if let (Some(to), Some(&id)) = (silent.first_mut(), report.first()) {
        *to = id;
        let got = run::of_packet(&decoder, &silent);
        let zeros = report.iter().skip(1).all(|&byte| byte == 0);
        assert!(!zeros || got == whole);
        if id == 0 {
            assert_eq!(run::weights(&got), []);
        }
    }
    let stream = run::outcomes(&decoder, [report]);
    assert!(stream.iter().all(|got| matches!(got, Decoded::Rejected(_))));
    run::memory_is_bounded(&decoder, report);
}
