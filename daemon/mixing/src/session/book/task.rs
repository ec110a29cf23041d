//! One thing to do, and how far it has come.

use tarehand_protocol::Mass;

use super::super::entry::{TaskId, Verdict};
use super::pans::Chosen;
use crate::procedure::{Procedure, Weigh};

/// Why a task is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// The recipe says so.
    Planned,
    /// A rescue added it.
    TopUp,
}

/// One thing to do, and how far it has come.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// Its number.
    pub id: TaskId,
    /// The step of the procedure it does.
    pub step: usize,
    /// Why it is there.
    pub purpose: Purpose,
    /// What it should receive, where that is known in grams.
    pub target: Option<Mass>,
    /// What it has received; below zero where something is taken out.
    pub poured: Mass,
    /// What of it is still in the jar, after what was taken out or spilled.
    pub left: Mass,
    /// How it came out, once it is done.
    pub verdict: Option<Verdict>,
    /// Reopened by the person: only the person finishes it.
    pub reopened: bool,
    /// How it is weighed.
    pub weigh: Weigh,
    /// Why it is weighed so.
    pub chosen: Chosen,
}

impl Task {
    pub(super) fn planned(step: usize, procedure: &Procedure) -> Self {
        Self {
            id: TaskId(u32::try_from(step).unwrap_or(u32::MAX)),
            step,
            purpose: Purpose::Planned,
            target: procedure.steps[step].kind.target().or_else(|| {
                let out = procedure.steps[step].kind.out();
                out.map(|out| Mass::ZERO - out)
            }),
            poured: Mass::ZERO,
            left: Mass::ZERO,
            verdict: None,
            reopened: false,
            weigh: procedure.steps[step].kind.weigh(),
            chosen: Chosen::Recipe,
        }
    }
}
