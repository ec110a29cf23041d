//! A bench in short: the settler and the session of the program, one pour at a time.

use std::time::Duration;

use tarehand_mixing::learnt::{Run, StopLead, runs};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::session::{Cue, Effect, Entry, Input, Limits, Record, Session};
use tarehand_mixing::settler::{Reports, Settler, Signal};
use tarehand_mixing::tick::Tick;
use tarehand_mixing::weighing::Scale;
use tarehand_mixing::{Addition, Amount, Ingredient, Procedure, Step, StepKind, Weigh, Within};
use tarehand_protocol::{Basis, Decimal, Mass, MassUnit, Motion, Reading, Sent, Weighed};

use super::world::{Chances, Hand, World};

const JAR_G: f64 = 80.0;
pub(crate) const PAINT: &str = "paint";

/// What became of a pour.
#[derive(Clone, Debug)]
pub(crate) struct Poured {
    /// How far the first weight that settled after the word lay from the target, in grams.
    pub(crate) off_g: f64,
    /// What the journal tells of it.
    pub(crate) told: Vec<Run>,
}

/// Pours once, stops when the session says so, and waits until it has settled.
pub(crate) fn pour(hand: &Hand, chances: &Chances, lead: Option<StopLead>) -> Poured {
    let target = Mass::from_estimated_grams(chances.target_g);
    let mut limits = Limits::default();
    limits
        .stop_leads
        .extend(lead.map(|lead| (PAINT.to_owned(), lead)));
    let scale = Scale {
        division: Some(Mass::from_estimated_grams(hand.scale.division_g)),
        capacity: None,
    };
    let (session, opening) = Session::open(Tick::ZERO, procedure(target), limits, scale);
    let mut bench = Bench {
        world: World::new(hand, chances.clone()),
        settler: Settler::new(Reports::Stream, scale.division),
        session,
        journal: Vec::new(),
    };
    bench.keep(opening);
    bench.run(|bench| bench.session.empty_pan_seen());
    bench.world.put(JAR_G);
    bench.run(|bench| bench.session.book().current().is_some());
    bench.world.begin();
    bench.run(|bench| bench.world.is_told() && bench.poured().is_some() || bench.world.is_over());
    let poured = bench.poured().expect("what was poured has settled");
    Poured {
        off_g: (poured - target).grams(),
        told: runs(&bench.journal),
    }
}

struct Bench {
    world: World,
    settler: Settler,
    session: Session,
    journal: Vec<Record>,
}

impl Bench {
    fn run(&mut self, until: impl Fn(&Self) -> bool) {
        let end = 4_000;
        for _ in 0..end {
            if until(self) {
                return;
            }
            self.reading();
        }
        panic!(
            "what was waited for did not come: {:?}",
            self.journal.last()
        );
    }

    fn reading(&mut self) {
        let (at_s, grams) = self.world.reading();
        let now = Tick::ZERO + Duration::from_secs_f64(at_s);
        let gross = Mass::from_estimated_grams(grams);
        let thousandths = Decimal::new(gross.micrograms() / 1_000, 3).unwrap();
        let reading = Reading::Weight(Weighed {
            gross,
            sent: Sent::Single(thousandths, MassUnit::Gram),
            basis: Basis::Gross,
            motion: Motion::Unknown,
        });
        for fact in self.settler.step(now, Signal::Reading(reading)) {
            let effects = self.session.step(now, Input::Fact(fact));
            self.keep(effects);
        }
    }

    fn keep(&mut self, effects: Vec<Effect>) {
        for effect in effects {
            match effect {
                Effect::Record(record) => self.journal.push(*record),
                Effect::Cue(Cue::Stop) => self.world.tell_to_stop(),
                Effect::EmptyPan(gross) => self.settler.set_empty(gross),
                _ => {}
            }
        }
    }

    /// What was booked first after the word.
    fn poured(&self) -> Option<Mass> {
        self.journal.iter().find_map(|record| match record.entry {
            Entry::Poured { before, after, .. } if self.world.is_told() => Some(after - before),
            _ => None,
        })
    }
}

fn procedure(target: Mass) -> Procedure {
    let kind = StepKind::Add(Addition {
        ingredient: Ingredient::by_name(PAINT),
        amount: Amount::Weighed {
            share: Ratio::one(),
            target,
            within: Within::Fraction(Ratio::new(1, 50)),
        },
        weigh: Weigh::Jar,
    });
    Procedure::of_steps("one paint", target, vec![Step { kind, note: None }])
}
