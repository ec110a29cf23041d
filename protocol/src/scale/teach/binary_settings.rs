//! From an explanation of the bits to the settings of a profile.

use super::binary::Look;
use super::columns::{self, Column};
use super::fields;
use super::numbers::{Fit, Plain};
use super::states;
use crate::scale::binary::{Binary, Constant, Form, Frames, Number, Order, Place, Scaling, State};
use crate::scale::profile::{Layout, Settings};

impl Look<'_> {
    pub(super) fn settings(
        &self,
        number: &Number,
        scaling: Scaling,
        fit: &Fit,
        row: &[Option<f64>],
    ) -> Option<Settings> {
        let Plain { unit, .. } = fit.plain;
        let (scaling, unit) = match scaling {
            Scaling::Factor(_) if matches!(number.form, Form::Medical | Form::Float) => {
                // A number with a point of its own is in some unit: kilograms, grams, milligrams.
                match fit.plain.metric().filter(|_| fit.plain.digit == 1) {
                    Some(unit) => (Scaling::Factor(crate::scale::Factor::ONE), unit),
                    None => return None,
                }
            }
            Scaling::Factor(_) => (Scaling::Factor(fit.plain.factor()?), unit),
            Scaling::Exponent { .. } => (scaling, fit.plain.metric()?),
            Scaling::Decimals { .. } => (scaling, unit),
        };
        let scaling_at = match scaling {
            Scaling::Factor(_) => None,
            Scaling::Exponent { at } | Scaling::Decimals { at, .. } => Some(at),
        };
        let length = self.cut.length;
        let stays: Vec<bool> = (0..length)
            .map(|at| self.stays(at, number) && !lower_part(number, &self.columns, at))
            .collect();
        let byte = |at: usize| self.columns.get(at).map_or(0, |column| column.usual);
        let packets = self.lesson.packets();
        let head = stays.iter().take_while(|&&stays| stays).count();
        let tail = stays.iter().rev().take_while(|&&stays| stays).count();
        let tail = if head == length || packets { 0 } else { tail };
        let head = if packets { 0 } else { head };
        let mut constants: Vec<Constant> = Vec::new();
        for at in (head..length - tail).filter(|&at| stays.get(at) == Some(&true)) {
            match constants.last_mut() {
                Some(last) if usize::from(last.at) + last.bytes.len() == at => {
                    last.bytes.push(byte(at))
                }
                _ => constants.push(Constant {
                    at: u8::try_from(at).ok()?,
                    bytes: vec![byte(at)],
                }),
            }
        }
        let grams: Vec<Option<f64>> = row
            .iter()
            .map(|raw| raw.map(|raw| raw * fit.step_grams))
            .collect();
        let room = (2.5 * fit.step_grams).max(self.lesson.greatest().grams() * 0.002);
        let room = room.max(fit.rough * 4.0);
        let still = states::moving(&self.cut.frames, &self.columns, number, &grams, room);
        let locks = states::locks(&self.columns, number, scaling_at, self.check.as_ref(), unit);
        let mut told: Vec<(State, crate::scale::binary::Bits)> = Vec::new();
        if let Some(still) = still {
            let moves = crate::scale::binary::Bits {
                is: still.is ^ still.mask,
                ..still
            };
            told.extend([(State::Stable, still), (State::Moving, moves)]);
        }
        told.extend(locks.unseen);
        let mut settings = Settings::named("taught scale");
        settings.unit = match locks.unit {
            Some(_) => None,
            None => Some(unit),
        };
        settings.layout = Layout::Binary(Box::new(Binary {
            frames: if packets {
                Frames::Packets
            } else {
                Frames::Stream
            },
            length: Some(u16::try_from(length).ok()?),
            start: (0..head).map(byte).collect(),
            ends: (length - tail..length).map(byte).collect(),
            constants,
            weight: *number,
            scaling,
            at_least: None,
            at_most: None,
            unit: locks.unit,
            states: told,
            check: self.check,
        }));
        Some(settings)
    }

    /// Returns whether the byte belongs to the check.
    pub(super) fn checks(&self, at: usize) -> bool {
        self.check.is_some_and(|check| match check.at {
            Place::FromStart(from) => {
                (usize::from(from)..usize::from(from) + check.length()).contains(&at)
            }
            Place::FromEnd(_) => false,
        })
    }

    /// Returns whether a byte never changes, and is not the high part of something that counts.
    pub(super) fn stays(&self, at: usize, number: &Number) -> bool {
        let Some(column) = self.columns.get(at) else {
            return false;
        };
        let down = |by: usize| at.checked_sub(by);
        let up = |by: usize| at.checked_add(by);
        let of_check = self.checks(at);
        let counts = |low: Option<usize>, middle: Option<usize>, high: Option<usize>| {
            low.zip(middle)
                .zip(high)
                .is_some_and(|((low, middle), high)| self.counts(low, middle, high, number))
        };
        let counted = counts(down(2), down(1), Some(at)) || counts(up(2), up(1), Some(at));
        let highest =
            column.usual == 0 && (counts(down(3), down(2), down(1)) || counts(up(3), up(2), up(1)));
        column.is_constant() && !of_check && !counted && !highest
    }

    /// Returns whether the last one is the high byte of a number that counts, as a time stamp does: it goes up when the
    /// middle one goes round, or may when that does.
    fn counts(&self, low: usize, middle: usize, high: usize, number: &Number) -> bool {
        // The weight counts nothing, what stands above it may be its own, and a check goes with what it checks.
        let weight = [low, middle]
            .iter()
            .any(|&at| fields::covers(number, at) || self.checks(at))
            || above(number, high);
        let column = |at: usize| self.columns.get(at);
        !weight
            && column(middle).is_some_and(|column| column.counts)
            && columns::carries(&self.cut.frames, low, middle)
            && match columns::carried(&self.cut.frames, middle, high) {
                Some(carried) => carried,
                None => column(high).is_some_and(|column| column.usual < 8),
            }
    }
}

/// Returns whether the byte would be a higher one of the number, were it four bytes long.
fn above(number: &Number, at: usize) -> bool {
    let from = usize::from(number.at);
    let until = from + usize::from(number.length);
    match number.order {
        Order::Big => (until.saturating_sub(4)..from).contains(&at),
        Order::Little => (until..from + 4).contains(&at),
    }
}

/// Returns whether the byte belongs to the number, and a higher one of it changes.
fn lower_part(number: &Number, columns: &[Column], at: usize) -> bool {
    let from = usize::from(number.at);
    let higher = match number.order {
        Order::Big => from..at,
        Order::Little => at + 1..from + usize::from(number.length),
    };
    fields::covers(number, at)
        && (number.form == Form::Float
            || columns
                .get(higher)
                .is_some_and(|higher| higher.iter().any(|column| !column.is_constant())))
}
