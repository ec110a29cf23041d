//! What is done with a random scale: known weights put on, the pan lifted and pressed.

use tarehand_protocol::Mass;
use tarehand_protocol::scale::capture::{Capture, Captured, Moment};
use tarehand_protocol::scale::teach::{Aside, Lesson, Pan};

use super::chance::Chance;
use super::random::{Now, Scale};

/// A lesson, and which raw numbers were in it.
pub(crate) struct Told {
    pub(crate) lesson: Lesson,
    /// Those of frames that came as they were sent.
    pub(crate) seen: Range,
    /// Those of all frames, torn and disturbed ones too.
    pub(crate) sent: Range,
}

/// From the least to the greatest raw number.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Range {
    pub(crate) least: i64,
    pub(crate) most: i64,
}

impl Range {
    fn widen(&mut self, raw: i64) {
        self.least = self.least.min(raw);
        self.most = self.most.max(raw);
    }
}

pub(crate) struct Player<'a> {
    pub(crate) scale: &'a Scale,
    pub(crate) chance: &'a mut Chance,
    pub(crate) now: Now,
    pub(crate) moments: Vec<Moment>,
    raw: i64,
    seen: Range,
    sent: Range,
}

impl<'a> Player<'a> {
    pub(crate) fn new(scale: &'a Scale, chance: &'a mut Chance) -> Self {
        Self {
            scale,
            chance,
            now: Now {
                frame: 0,
                millis: 0,
                moving: false,
                strange: false,
            },
            moments: Vec::new(),
            raw: 0,
            seen: Range::default(),
            sent: Range::default(),
        }
    }

    fn say(&mut self, mass: Mass) {
        self.moments.push(Moment {
            at_us: u64::from(self.now.millis) * 1000,
            what: Captured::Pan(mass),
        });
    }

    /// Sends one frame, torn or disturbed once in a while.
    pub(crate) fn send(&mut self, raw: i64) {
        self.sent.widen(raw);
        self.raw = raw;
        let mut bytes = self.scale.frame(raw, &self.now, self.chance);
        self.now.frame += 1;
        let at_us = u64::from(self.now.millis) * 1000;
        self.now.millis += 100;
        let whole = bytes.clone();
        if self.scale.packets {
            self.seen.widen(raw);
            // Another kind of packet now and then.
            if self.now.frame % 50 == 3 {
                let other = vec![0x77, self.chance.byte(), 0x01];
                self.moments.push(Moment {
                    at_us,
                    what: Captured::Packet(other),
                });
            }
            self.moments.push(Moment {
                at_us,
                what: Captured::Packet(bytes),
            });
            return;
        }
        if self.chance.once_in(90) {
            let at = self.chance.within(0, bytes.len() as i64) as usize;
            bytes.remove(at);
        } else if self.chance.once_in(150) {
            let at = self.chance.within(0, bytes.len() as i64) as usize;
            bytes[at] = self.chance.byte();
        }
        if bytes == whole {
            self.seen.widen(raw);
        }
        let split = self.chance.within(0, bytes.len() as i64 + 1) as usize;
        let rest = bytes.split_off(split);
        self.moments.push(Moment {
            at_us,
            what: Captured::Bytes(bytes),
        });
        self.moments.push(Moment {
            at_us: at_us + 4_000,
            what: Captured::Bytes(rest),
        });
    }

    /// Goes to a weight within a second.
    fn go(&mut self, to: i64) {
        let from = self.raw;
        self.now.moving = true;
        let steps = self.chance.within(3, 8);
        for step in 1..=steps {
            self.send(from + (to - from) * step / steps);
        }
    }

    fn stand(&mut self, raw: i64, frames: u32) {
        for at in 0..frames {
            self.now.moving = at < 3;
            let noise = if self.scale.noise == 0 {
                0
            } else {
                self.chance.within(-1, 2)
            };
            let noise = if raw == 0 && !self.scale.goes_below() {
                noise.max(0)
            } else {
                noise
            };
            let noise = if raw == 0 { noise.max(0) } else { noise };
            self.send(raw + noise);
        }
    }

    /// The person's own scale is good to a hundredth and a half.
    fn known(&mut self, raw: i64) -> Mass {
        let error = 1.0 + (self.chance.share() - 0.5) * 0.03;
        Mass::from_estimated_grams((self.scale.grams(raw) * error * 100.0).round() / 100.0)
    }
}

pub(crate) fn lesson(scale: &Scale, chance: &mut Chance) -> (Told, Now) {
    let lifts = scale.goes_below() && chance.once_in(2);
    let presses = chance.once_in(2);
    let top = scale.top;
    let weights = [
        top * chance.within(15, 30) / 100,
        top * chance.within(42, 65) / 100,
        top * chance.within(85, 100) / 100,
    ];
    // A known weight often shows a round number, but not always.
    let odd = if chance.once_in(4) { 0 } else { 97 };
    let weights = weights.map(|weight| {
        weight
            - if odd == 0 {
                0
            } else {
                chance.within(0, (weight / 20).max(2))
            }
    });
    let mut player = Player::new(scale, chance);
    let mut asides = Vec::new();
    player.say(Mass::ZERO);
    player.stand(0, 60);
    for weight in weights {
        player.go(weight);
        let known = player.known(weight);
        player.say(known);
        let frames = player.chance.within(50, 90) as u32;
        player.stand(weight, frames);
        if player.chance.once_in(2) {
            player.go(0);
        }
    }
    player.go(0);
    if lifts {
        let from_us = u64::from(player.now.millis) * 1000;
        player.stand(-top / 7, 30);
        asides.push(Aside {
            from_us,
            until_us: u64::from(player.now.millis) * 1000,
            pan: Pan::Lifted,
        });
        player.go(0);
    }
    if presses {
        let from_us = u64::from(player.now.millis) * 1000;
        for _ in 0..5 {
            let to = top * player.chance.within(5, 99) / 100;
            player.go(to);
        }
        asides.push(Aside {
            from_us,
            until_us: u64::from(player.now.millis) * 1000,
            pan: Pan::Pressed,
        });
        player.go(0);
    }
    player.say(Mass::ZERO);
    player.stand(0, 30);
    let capture = Capture {
        device: String::new(),
        moments: std::mem::take(&mut player.moments),
    };
    let (seen, sent, now) = (player.seen, player.sent, player.now.clone());
    let unit = scale.unit.symbol.parse().unwrap();
    let lesson = Lesson::new(unit).hear(&capture, &asides);
    (Told { lesson, seen, sent }, now)
}
