//! A second, finer scale among several jars: what it shows belongs to the jar that the person is at.

use crate::session::{Effect, FineAt, Input};
use crate::settler::Fact;

use super::{AtHand, Jars, Wishes};

impl Jars {
    /// Every jar hears the finer scale, so that it is known when a step begins.
    pub(super) fn fine(&mut self, wishes: &mut Wishes, fact: Fact) {
        let here = match self.at_hand() {
            AtHand::Jar(jar) => Some(jar),
            AtHand::Bring { .. }
            | AtHand::Resting(_)
            | AtHand::Which { .. }
            | AtHand::OutOfTurn { .. } => None,
        };
        for jar in 0..self.sessions.len() {
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

    /// What the finer scale shows with nothing on it, found at one jar, is so for all of them.
    pub(super) fn share_fine_zero(&mut self, wishes: &mut Wishes) {
        let moved = wishes.list.iter().rev().find_map(|wish| match wish.effect {
            Effect::FineEmptyPan(gross) => Some((wish.jar, gross)),
            _ => None,
        });
        let Some((by, gross)) = moved else {
            return;
        };
        for jar in 0..self.sessions.len() {
            if jar != by {
                self.pass(wishes, jar, Input::FineEmpty(gross));
            }
        }
    }
}
