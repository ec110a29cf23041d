//! Whether what was learnt of a random scale is right.

use tarehand_protocol::scale::teach::{Taught, teach};
use tarehand_protocol::scale::{Decoded, Decoder, Profile};
use tarehand_protocol::{Motion, Reading};

use super::chance::Chance;
use super::random::{Now, Scale};
use super::script::lesson;

/// What came of teaching one scale.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Verdict {
    /// Of frames that it never saw, of weights within those it saw, still and moving, at least 98 in a hundred
    /// are read, and each as what it is; of frames outside of that none is.
    Right,
    /// The finder says that it is unsure, or that it found nothing.
    Unsure(String),
    /// It reads none of those frames wrong, but fewer of them: this share.
    Narrow(f64),
    /// It reads a frame as another weight than it tells, or one that moves as one that stands.
    Wrong(String),
    /// It reads a frame that it must not believe: outside of what was seen, or with strange bits.
    Invented(String),
}

/// So many frames of weights within those seen are read.
const FRAMES: usize = 400;
/// So many in a hundred of them must be read.
const READ: usize = 98;

pub(crate) fn judge(seed: u64) -> Verdict {
    let mut chance = Chance::new(seed);
    let scale = Scale::random(&mut chance);
    let (told, now) = lesson(&scale, &mut chance);
    let profile = match teach(&told.lesson).unwrap() {
        Taught::Found { best, .. } => best.profile,
        Taught::Doubtful { doubt, candidates } => {
            let numbers = candidates.iter().map(|one| one.evidence.get(1).cloned());
            let numbers: Vec<Option<String>> = numbers.take(2).collect();
            return Verdict::Unsure(format!("{doubt} {numbers:?}"));
        }
        Taught::Nothing(because) => return Verdict::Unsure(because.to_string()),
    };
    let inside: Vec<i64> = (0..FRAMES)
        .map(|at| match told.seen.least {
            least if least < 0 && at % 5 == 0 => chance.within(least, 0),
            _ => chance.within(0, told.seen.most + 1),
        })
        .collect();
    let mut play = Play {
        profile: &profile,
        scale: &scale,
        now,
        chance: &mut chance,
    };
    let paused = play.paused(&inside);
    let read = paused.iter().filter(|read| read.told.is_some()).count();
    let wrong = paused.iter().find(|read| !read.is_right(&scale));
    let wrong = wrong.cloned().or_else(|| play.hurried(&inside));
    if let Some(wrong) = wrong {
        let truth = scale.grams(wrong.raw);
        return Verdict::Wrong(format!("{truth} g as {wrong:?}"));
    }
    let mut outside: Vec<i64> = (1..40)
        .map(|at| told.sent.most + 3 + told.sent.most * at / 40)
        .collect();
    if scale.goes_below() {
        outside.extend((1..40).map(|at| told.sent.least - 3 - told.sent.most * at / 80));
    }
    let mut beyond = play.paused(&outside);
    if scale.has_strange() {
        play.now.strange = true;
        beyond.extend(play.paused(&inside));
    }
    if let Some(read) = beyond.iter().find(|read| read.told.is_some()) {
        return Verdict::Invented(format!("{} g as {read:?}", scale.grams(read.raw)));
    }
    match read * 100 < FRAMES * READ {
        true => Verdict::Narrow(read as f64 / FRAMES as f64),
        false => Verdict::Right,
    }
}

/// A frame that was sent, and what it was read as.
#[derive(Clone, Debug)]
struct Read {
    raw: i64,
    moving: bool,
    /// Grams and motion.
    told: Option<(f64, Motion)>,
}

impl Read {
    fn is_right(&self, scale: &Scale) -> bool {
        let Some((grams, motion)) = self.told else {
            return true;
        };
        let truth = scale.grams(self.raw);
        let weight = (truth - grams).abs() <= 2e-6 + truth.abs() * 1e-9;
        let motion = !scale.tells_motion()
            || match motion {
                Motion::Stable => !self.moving,
                Motion::Moving => self.moving,
                Motion::Unknown => true,
            };
        weight && motion
    }
}

/// Further frames of a scale that was taught.
struct Play<'a> {
    profile: &'a Profile,
    scale: &'a Scale,
    now: Now,
    chance: &'a mut Chance,
}

impl Play<'_> {
    fn next(&mut self, raw: i64) -> Vec<u8> {
        self.now.moving = self.chance.once_in(2);
        self.now.frame += 1;
        self.now.millis += 100;
        self.scale.frame(raw, &self.now, self.chance)
    }

    /// Reads frames with a silence behind each, as the lesson had them.
    fn paused(&mut self, raws: &[i64]) -> Vec<Read> {
        let mut decoder = Decoder::of(self.profile);
        let mut all = Vec::new();
        for &raw in raws {
            let frame = self.next(raw);
            let mut told = Vec::new();
            let mut sink = |decoded: Decoded| told.extend(weight(&decoded));
            if self.scale.packets {
                decoder.packet(&frame, &mut sink);
            } else {
                decoder.push(&frame, &mut sink);
                decoder.flush(&mut sink);
            }
            // More than one weight of one frame is judged as any other.
            let told = told.into_iter().map(Some);
            let moving = self.now.moving;
            let read = |told| Read { raw, moving, told };
            let before = all.len();
            all.extend(told.map(read));
            if all.len() == before {
                all.push(read(None));
            }
        }
        all
    }

    /// Reads frames without any silence, and returns one that is read as neither the frame at hand nor the one before.
    fn hurried(&mut self, raws: &[i64]) -> Option<Read> {
        let mut decoder = Decoder::of(self.profile);
        let mut before: Option<(i64, bool)> = None;
        for &raw in raws.iter().filter(|_| !self.scale.packets) {
            let frame = self.next(raw);
            let moving = self.now.moving;
            let mut told = Vec::new();
            decoder.push(&frame, &mut |decoded| told.extend(weight(&decoded)));
            for told in told.into_iter().map(Some) {
                let sent = [Some((raw, moving)), before].into_iter().flatten();
                let of = |(raw, moving)| Read { raw, moving, told };
                if !sent.map(of).any(|read| read.is_right(self.scale)) {
                    return Some(Read { raw, moving, told });
                }
            }
            before = Some((raw, moving));
        }
        None
    }
}

fn weight(decoded: &Decoded) -> Option<(f64, Motion)> {
    match decoded {
        Decoded::Reading(Reading::Weight(weighed)) => Some((weighed.gross.grams(), weighed.motion)),
        _ => None,
    }
}
