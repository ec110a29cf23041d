//! A lesson at the scale: what is asked of the person, one thing after the other.

use std::time::Duration;

use tarehand_protocol::api::View;
use tarehand_protocol::scale::capture::{Captured, Hand, hex};
use tarehand_protocol::scale::profile::Settings;
use tarehand_protocol::scale::{Decoded, Decoder};
use tarehand_protocol::{Mass, MassUnit, Reading};
use tokio::time::Instant;

use super::TeachArgs;
use super::ear::{Ear, Halt, Happened};
use super::notes::{Notes, Tally};
use super::taught::{self, Told, UNNAMED, open_service};
use super::words::{Which, is_no, known, unit};
use crate::capture_file::CaptureFile;
use crate::client::Client;
use crate::commands::Place;
use crate::commands::hear::Hearing;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::words::{Troubles, as_bytes, shown};

/// What stands is listened to for so long, in the bench's time, and for so many frames: enough for a reader of text and
/// of bits (our own choice, as the finder's tests have it).
const STAND_US: u64 = 6_000_000;
const ENOUGH: u64 = 30;
/// A scale that speaks seldom is listened to no longer than this for one weight.
const LONGEST: Duration = Duration::from_secs(30);
/// After so long a silence the person is told.
const SILENCE: Duration = Duration::from_secs(5);
/// After so long a silence nothing comes any more.
const GIVE_UP: Duration = Duration::from_secs(90);

/// Teaches the scale that is attached.
pub(super) async fn run(
    args: &TeachArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let mut settings = args.known()?;
    let file = args
        .capture
        .as_deref()
        .map(CaptureFile::begin)
        .transpose()?;
    let client = service::ensure(&place.folders).await?;
    // Heard before the scale is attached, so that nothing it says is missed.
    let bytes = client.events(&args.scale.bytes_path()).await?;
    let by_air = args.scale.says_radio() && settings.bluetooth.is_none();
    let opened = match by_air {
        true => None,
        false => Some(Settings {
            serial: settings.serial,
            poll: settings.poll.clone(),
            bluetooth: settings.bluetooth.clone(),
            ..Settings::named("being taught")
        }),
    };
    if by_air {
        settings.bluetooth = Some(open_service());
    }
    let opened = opened.map(|opened| opened.render());
    let hearing = args.scale.hear(&client, output, opened).await?;
    let views = client.events(&args.scale.events_path()).await?;
    let mut teaching = Teaching {
        ear: Ear::open(bytes, views)?,
        notes: Notes::begin(file),
        troubles: Troubles::default(),
        division: Mass::ZERO,
        told: Told::nothing_yet(),
        args,
        place,
        settings,
        client: &client,
        hearing,
        output,
    };
    let ended = teaching.go().await;
    teaching.end(ended).await
}

/// What became of a lesson.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Outcome {
    /// The scale is known now.
    Learnt,
    /// It is not, and why was said.
    NotLearnt,
}

/// A lesson.
pub(super) struct Teaching<'a> {
    pub(super) ear: Ear,
    pub(super) notes: Notes,
    troubles: Troubles,
    /// The scale's division, as the bench knows it.
    pub(super) division: Mass,
    pub(super) told: Told,
    pub(super) args: &'a TeachArgs,
    place: &'a Place,
    pub(super) settings: Settings,
    pub(super) client: &'a Client,
    pub(super) hearing: Hearing,
    pub(super) output: &'a mut Output,
}

impl Teaching<'_> {
    async fn go(&mut self) -> Result<Outcome, Halt> {
        self.listen().await?;
        let unit = self.unit().await?;
        self.notes.say(Captured::Display(unit))?;
        self.ask("1  Take everything off the pan; then Enter.")
            .await?;
        self.stands(Mass::ZERO).await?;
        let mut stood = Vec::new();
        for which in Which::ALL {
            // Only the third may be left out.
            if let Some(mass) = self.weight(which.question(), unit, &stood).await? {
                self.stands(mass).await?;
                stood.push(mass);
            }
        }
        self.ask("5  Take everything off the pan; then Enter.")
            .await?;
        self.stands(Mass::ZERO).await?;
        self.by_hand(
            "6  Press the pan with a finger, again and again, here more and there less, until\n   you are told. Begin, then Enter; `n` leaves it out.",
            "pressing",
            Hand::Pressed,
        )
        .await?;
        self.by_hand(
            "7  Make the display show less than zero: lift the pan, or pull at it. Hold it so;\n   then Enter; `n` where it cannot be done.",
            "below zero",
            Hand::Lifted,
        )
        .await?;
        for _attempt in 0..2 {
            let Some(best) = self.learn(unit, &mut stood).await? else {
                return Ok(Outcome::NotLearnt);
            };
            if let Some(outcome) = self.prove(&best, unit, &mut stood).await? {
                return Ok(outcome);
            }
        }
        self.output.say(
            "What was learnt does not hold on the scale, so no profile is written.\nTeach again, with weights that you weighed on another scale.",
        );
        Ok(Outcome::NotLearnt)
    }

    /// Waits until the scale says something, and shows it.
    async fn listen(&mut self) -> Result<(), Halt> {
        let mut tally = Tally::default();
        let mut first = None;
        let begun = Instant::now();
        let mut silence = Some(begun + SILENCE);
        while first.is_none_or(|first: Instant| first.elapsed() < Duration::from_secs(2)) {
            let at = self.happens(&mut tally).await?;
            if at {
                first.get_or_insert_with(Instant::now);
            }
            if first.is_none() && silence.is_some_and(|end| end <= Instant::now()) {
                silence = None;
                if !self.troubles.is_any() {
                    self.output.say("Nothing comes yet: is the scale on? Some speak only when the weight changes:\npress the pan for a moment.");
                }
            }
            if first.is_none() && GIVE_UP <= begun.elapsed() {
                return Err(silent().into());
            }
            self.show("listening", &tally);
        }
        let said = tally.rates().map_or_else(String::new, |(bytes, frames)| {
            format!(": {bytes} bytes a second, about {frames} frames a second")
        });
        self.output
            .say(format_args!("The scale speaks{said}. The last of it:"));
        if let Some((at_us, bytes)) = self.notes.latest() {
            self.output.say(as_bytes(at_us, &hex(bytes)));
        }
        if let Some(weight) = understood(&self.notes.streamed()) {
            self.output.say(format_args!(
                "It is understood without teaching: {weight} now. Ctrl-C ends here, and\n`tarehand mix` and `tarehand watch` read it."
            ));
        }
        Ok(())
    }

    async fn unit(&mut self) -> Result<MassUnit, Halt> {
        if let Some(unit) = self.args.scale.said_unit() {
            return Ok(unit);
        }
        loop {
            let said = self
                .ask(
                    "In which unit does the display show the weight? Enter is g; else type kg, oz, lb …",
                )
                .await?;
            match unit(&said) {
                Ok(unit) => return Ok(unit),
                Err(error) => self.output.say(error),
            }
        }
    }

    /// Asks for a weight until it is one; `None` where nothing is said.
    pub(super) async fn weight(
        &mut self,
        question: &str,
        unit: MassUnit,
        stood: &[Mass],
    ) -> Result<Option<Mass>, Halt> {
        let mut said = self.ask(question).await?;
        loop {
            let again = match (said.as_str(), known(&said, unit, stood)) {
                (_, Ok(mass)) => return Ok(Some(mass)),
                ("", Err(_)) if 2 <= stood.len() => return Ok(None),
                ("", Err(_)) => {
                    "Two known weights are needed. Type what stands on the pan; then Enter."
                        .to_owned()
                }
                (_, Err(error)) => format!(
                    "{error}.\nType what stands on the pan, as in 20 g, or what the display shows; then Enter."
                ),
            };
            said = self.ask(&again).await?;
        }
    }

    /// Listens while this stands on the pan.
    pub(super) async fn stands(&mut self, mass: Mass) -> Result<(), Halt> {
        let what = match mass.is_zero() {
            true => "empty".to_owned(),
            false => mass.to_string(),
        };
        self.collect(&what, Captured::Pan(mass)).await
    }

    async fn by_hand(&mut self, question: &str, what: &str, hand: Hand) -> Result<(), Halt> {
        if is_no(&self.ask(question).await?) {
            return Ok(());
        }
        self.collect(what, Captured::Hand(hand)).await
    }

    /// Listens for a while to what is so from now on.
    async fn collect(&mut self, what: &str, so: Captured) -> Result<(), Halt> {
        let still = matches!(so, Captured::Pan(_));
        self.notes.say(so)?;
        let (begun_us, begun) = (self.notes.now_us(), Instant::now());
        let mut last = begun;
        let mut tally = Tally::default();
        let mut silence = still.then(|| begun + SILENCE);
        loop {
            if self.happens(&mut tally).await? {
                last = Instant::now();
            }
            let long_enough = begun_us + STAND_US <= self.notes.now_us();
            let nothing_more = SILENCE <= last.elapsed() || LONGEST <= begun.elapsed();
            if tally.frames != 0 && ((long_enough && ENOUGH <= tally.frames) || nothing_more) {
                break;
            }
            if tally.frames == 0 && silence.is_some_and(|end| end <= Instant::now()) {
                silence = None;
                self.output.say(
                    "   nothing comes while it stands still: press the pan for a moment, and let it be",
                );
            }
            if tally.frames == 0 && (!still && SILENCE <= begun.elapsed()) {
                break;
            }
            if tally.frames == 0 && GIVE_UP <= begun.elapsed() {
                return Err(silent().into());
            }
            self.show(what, &tally);
        }
        self.notes.say(Captured::Hand(Hand::Busy))?;
        self.output.say(format_args!(
            "   {what}: {} bytes heard, about {} frames",
            tally.bytes, tally.frames
        ));
        Ok(())
    }

    /// Takes what happens next; returns whether bytes came.
    async fn happens(&mut self, tally: &mut Tally) -> Result<bool, Halt> {
        let happened = self.ear.next().await?;
        Ok(self.take(happened, tally)?.0)
    }

    /// Takes what happened; returns whether bytes came, and what was typed.
    pub(super) fn take(
        &mut self,
        happened: Happened,
        tally: &mut Tally,
    ) -> Result<(bool, Option<String>), Halt> {
        match happened {
            Happened::Chunk(chunk) => {
                self.notes.hear(&chunk)?;
                tally.add(self.notes.now_us(), chunk.hex.len() / 2);
                return Ok((true, None));
            }
            Happened::Begin(Some(device)) => self.notes.device(&device)?,
            Happened::Begin(None) => self
                .output
                .say("Some bytes were too late to be news and were thrown away."),
            Happened::Missed(count) => self.output.say(format_args!(
                "{count} pieces were missed: they came too fast"
            )),
            Happened::View(view) => self.view(&view)?,
            Happened::Typed(line) => return Ok((false, Some(line))),
            Happened::Time => {}
        }
        Ok((false, None))
    }

    fn view(&mut self, view: &View) -> Result<(), Halt> {
        if let Some(line) = self.troubles.line_of_closed_scale(view) {
            self.output.say(line);
        }
        if let Some(scale) = &view.scale {
            self.division = scale
                .division_g
                .map_or(Mass::ZERO, Mass::from_estimated_grams);
            if scale.open {
                self.notes.device(&scale.device)?;
            }
        }
        Ok(())
    }

    /// Asks, and listens on while the answer is waited for.
    pub(super) async fn ask(&mut self, question: &str) -> Result<String, Halt> {
        self.output.say(format_args!("\n{question}"));
        let mut tally = Tally::default();
        loop {
            let happened = self.ear.next_or_typed().await?;
            if let (_, Some(line)) = self.take(happened, &mut tally)? {
                return Ok(line);
            }
        }
    }

    fn show(&mut self, what: &str, tally: &Tally) {
        let rates = tally.rates().map_or_else(String::new, |(bytes, frames)| {
            format!(", {bytes} bytes a second, about {frames} frames a second")
        });
        self.output
            .pass(format_args!("   {what}: {} bytes{rates}", tally.bytes));
    }

    /// Asks what the scale is called, unless it was said.
    pub(super) async fn name(&mut self) -> Result<String, Halt> {
        if self.settings.name.is_empty() {
            let said = self
                .ask("What do you call this scale? Enter alone: taught scale")
                .await?;
            self.settings.name = match said.as_str() {
                "" => UNNAMED.to_owned(),
                said => said.to_owned(),
            };
        }
        Ok(self.settings.name.clone())
    }

    /// Writes the profile.
    pub(super) fn write(&mut self, text: &str, name: &str) -> Result<(), Halt> {
        let folder = self.place.folders.config.join("scales");
        let path = taught::write(text, self.args.output.as_deref(), &folder, name)?;
        let path = shown(&path.display().to_string()).into_owned();
        self.told.profile = Some(text.to_owned());
        self.told.file = Some(path.clone());
        if !self.args.json {
            self.output
                .say("The profile is written; the bench keeps it for this scale:");
            self.output.data(path)?;
        }
        Ok(())
    }

    /// Ends the lesson: the bench keeps the scale, or is as it was before.
    async fn end(self, ended: Result<Outcome, Halt>) -> Result<Exit, Failure> {
        let Self {
            notes,
            told,
            args,
            client,
            hearing,
            output,
            ..
        } = self;
        let learnt = matches!(ended, Ok(Outcome::Learnt));
        let kept = match learnt {
            true => hearing.keep(client).await.map_err(Failure::from),
            false => {
                hearing.end(client).await;
                Ok(())
            }
        };
        if let Some((path, _)) = notes.end()? {
            let path = shown(&path.display().to_string()).into_owned();
            output.say(format_args!("All that was heard and said is in {path}"));
            if !learnt {
                output.suggest(format_args!("tarehand scales teach --from {path}"));
            }
        }
        let exit = match ended {
            Ok(Outcome::Learnt) => {
                kept?;
                output.suggest("tarehand mix RECIPE");
                Exit::Done
            }
            Ok(Outcome::NotLearnt) => Exit::Failed,
            Err(Halt::Stopped) => {
                output.say("Ended before anything was learnt; no profile is written.");
                Exit::Failed
            }
            Err(Halt::NobodyThere) => {
                return Err(Failure::Refused {
                    what: "nobody answers any more".to_owned(),
                    hint: Some("teach at a terminal; or from a capture, with --from".to_owned()),
                });
            }
            Err(Halt::Failed(failure)) => return Err(failure),
        };
        if args.json {
            output.json(&told)?;
        }
        Ok(exit)
    }
}

fn silent() -> Failure {
    Failure::Missing {
        what: "the scale says nothing".to_owned(),
        hint: "switch it on, and look at the cable, the speed (--line) or the radio; `tarehand scales` says what is known".to_owned(),
    }
}

/// Returns the weight that is read of these bytes without any profile.
fn understood(bytes: &[u8]) -> Option<Mass> {
    let (mut weight, mut read, mut rejected) = (None, 0, 0);
    Decoder::tolerant(None).push(bytes, &mut |decoded| match decoded {
        Decoded::Reading(Reading::Weight(weighed)) => {
            weight = Some(weighed.gross);
            read += 1;
        }
        Decoded::Reading(Reading::NoWeight(_)) => {}
        Decoded::Rejected(_) => rejected += 1,
    });
    weight.filter(|_| 3 <= read && rejected <= read / 3)
}
