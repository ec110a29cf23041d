//! A second, finer scale among several jars: what it shows belongs to the jar that the person is at.
//!
//! Finished jars that are opened again in a row are weighed into by it. The jars of a set are not: each is weighed on
//! its own scale.

use crate::session::{Effect, FineAt, Input};
use crate::settler::Fact;

use super::{AtHand, Jars, Wishes};

impl Jars {
    /// Every jar that may be weighed into by it hears the finer scale, so that it is known when a step begins.
    pub(super) fn fine(&mut self, wishes: &mut Wishes, fact: Fact) {
        let here = match self.at_hand() {
            AtHand::Jar(jar) => Some(jar),
            AtHand::Bring { .. }
            | AtHand::Resting(_)
            | AtHand::Which { .. }
            | AtHand::OutOfTurn { .. } => None,
        };
        for jar in self.weighed_finely() {
            let input = match here {
                Some(here) if here == jar => Input::Fine(fact),
                Some(_) => Input::FineAside {
                    fact,
                    at: FineAt::OtherJar,
                },
                None => Input::FineAside {
                    fact,
                    at: FineAt::Unknown,
                },
            };
            self.pass(wishes, jar, input);
        }
    }

    /// The jars into which small additions may be weighed by the finer scale.
    pub(super) fn weighed_finely(&self) -> Vec<usize> {
        let jars = 0..self.sessions.len();
        jars.filter(|&jar| self.book(jar).procedure().lets_weigh_finely())
            .collect()
    }

    /// What the finer scale shows with nothing on it, found at one jar, is so for all of them.
    pub(super) fn share_fine_zero(&mut self, wishes: &mut Wishes) {
        let moved = wishes.list.iter().rev().find_map(|wish| match wish.effect {
            Effect::FineEmptyPan(gross) => Some((wish.jar, gross)),
            _ => None,
        });
        let Some((by, gross)) = moved else {
            return;
        };
        for jar in self.weighed_finely() {
            if jar != by {
                self.pass(wishes, jar, Input::FineEmpty(gross));
            }
        }
    }
}
