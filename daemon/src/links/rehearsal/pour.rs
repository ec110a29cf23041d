//! One tilt of the bottle: how the flow rises, tapers and ends.

use std::time::Duration;

use tarehand_protocol::Mass;

use super::plan::Liquid;

/// How long the flow takes from nothing to full, and back: our own choice.
pub(super) const RAMP: Duration = Duration::from_millis(300);

/// Near the mark a person pours what is still missing in about this many seconds: our own choice.
const TAPER_S: f64 = 2.5;

/// A practised hand stops what flows in this many seconds before the mark: our own choice.
///
/// It makes up for the scale's lag and the fall, so that without a slip the mark is rarely passed.
const LEAD_S: f64 = 1.0;

/// A slipping bottle pours this many times as fast as at full flow: our own choice.
const GUSH: f64 = 2.0;

/// How a liquid flows; all of it our own choice, so that 100 g take some ten to thirty seconds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Flow {
    full_g_per_s: f64,
    trickle_g_per_s: f64,
    /// The least a tilt lets out.
    pub(super) dab: Mass,
}

impl Flow {
    pub(super) const fn of(liquid: Liquid) -> Self {
        match liquid {
            Liquid::Thin => Self {
                full_g_per_s: 12.0,
                trickle_g_per_s: 0.4,
                dab: Mass::from_milligrams(30),
            },
            Liquid::Thick => Self {
                full_g_per_s: 5.0,
                trickle_g_per_s: 0.25,
                dab: Mass::from_milligrams(50),
            },
        }
    }

    /// Returns the least for which a person looks at the display while pouring; below, they dab by feel.
    pub(super) fn by_display(self) -> Mass {
        Mass::from_estimated_grams(self.trickle_g_per_s * TAPER_S)
    }
}

/// One pour, from the first drop to the last.
#[derive(Clone, Debug)]
pub(super) struct Pour {
    flow: Flow,
    now_g_per_s: f64,
    poured: Mass,
    enough: Mass,
    phase: Phase,
}

#[derive(Clone, Copy, Debug)]
enum Phase {
    /// Watching the display, faster the more is missing.
    ByDisplay,
    /// Too little for the display to help: a trickle by feel.
    ByFeel,
    /// The bottle is being righted.
    Closing,
    /// The bottle slips until this much more has come out; nothing stops it.
    Slipping { left: Mass },
    /// Nothing comes out any more.
    Over,
}

impl Pour {
    /// Begins to pour what is missing, but no more than `enough` of it in this go.
    pub(super) fn begin(flow: Flow, missing: Mass, enough: Mass) -> Self {
        Self {
            flow,
            now_g_per_s: 0.0,
            poured: Mass::ZERO,
            enough: enough.max(flow.dab),
            phase: if missing < flow.by_display() {
                Phase::ByFeel
            } else {
                Phase::ByDisplay
            },
        }
    }

    /// Rights the bottle, unless it slips.
    pub(super) fn close(&mut self) {
        match self.phase {
            Phase::ByDisplay | Phase::ByFeel => self.phase = Phase::Closing,
            Phase::Closing | Phase::Slipping { .. } | Phase::Over => {}
        }
    }

    /// Lets the bottle slip until this much more has come out.
    pub(super) fn slip(&mut self, left: Mass) {
        self.phase = Phase::Slipping { left };
    }

    pub(super) fn is_closing(&self) -> bool {
        matches!(self.phase, Phase::Closing | Phase::Over)
    }

    pub(super) fn is_over(&self) -> bool {
        matches!(self.phase, Phase::Over)
    }

    /// Lets time go by while the display shows `missing`; returns what left the bottle.
    pub(super) fn advance(&mut self, time: Duration, missing: Mass) -> Mass {
        let full = self.flow.full_g_per_s;
        let trickle = self.flow.trickle_g_per_s;
        let lead = Mass::from_estimated_grams(self.now_g_per_s * LEAD_S);
        match self.phase {
            Phase::ByDisplay if missing <= lead || self.enough <= self.poured => self.close(),
            Phase::ByFeel if self.enough <= self.poured => self.close(),
            Phase::ByDisplay
            | Phase::ByFeel
            | Phase::Closing
            | Phase::Slipping { .. }
            | Phase::Over => {}
        }
        let wanted = match self.phase {
            Phase::ByDisplay => (missing.grams() / TAPER_S).clamp(trickle, full),
            Phase::ByFeel => trickle,
            Phase::Slipping { .. } => full * GUSH,
            Phase::Closing | Phase::Over => 0.0,
        };
        let most = full * time.as_secs_f64() / RAMP.as_secs_f64();
        self.now_g_per_s += (wanted - self.now_g_per_s).clamp(-most, most);
        let out = Mass::from_estimated_grams(self.now_g_per_s * time.as_secs_f64());
        let out = match self.phase {
            Phase::Slipping { left } => {
                let out = out.min(left);
                self.phase = if out < left {
                    Phase::Slipping { left: left - out }
                } else {
                    // Caught: the bottle is snatched away, nothing more comes.
                    self.now_g_per_s = 0.0;
                    Phase::Over
                };
                out
            }
            Phase::Closing if self.now_g_per_s <= 0.0 => {
                self.phase = Phase::Over;
                out
            }
            Phase::ByDisplay | Phase::ByFeel | Phase::Closing | Phase::Over => out,
        };
        self.poured += out;
        out
    }
}
