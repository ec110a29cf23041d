//! A voice for faces that have none: `espeak-ng` makes sound of text, where it is installed.

use std::io;
use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;

use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::process::{Child, Command};
use tokio::sync::Semaphore;

/// The program that speaks; it is looked for where the service's own programs are (`PATH`).
const PROGRAM: &str = "espeak-ng";
/// How long a person waits for a word, and how long the program may take.
const PATIENCE: Duration = Duration::from_secs(5);
/// How many speak at a time: two browsers that look on, on a small machine.
const AT_A_TIME: usize = 2;
/// The most sound that is kept, in bytes: six minutes at 22,050 samples of two bytes a second, far more than any text that is
/// taken makes.
const MOST_SOUND: u64 = 16 * 1024 * 1024;
/// Where the WAV form keeps how long the whole and its samples are, when nothing else stands before them.
const WHOLE_AT: usize = 4;
const SAMPLES_AT: usize = 40;

/// A language that is spoken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Language {
    /// English.
    English,
    /// German.
    German,
}

impl Language {
    /// Returns the name of its voice. A name of ours, never a text of somebody else's: it stands among the options.
    const fn voice(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }
}

/// A text that is short enough to be spoken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text(String);

impl Text {
    /// The most characters that are spoken at once.
    pub const MOST: usize = 400;

    /// Takes a text; `None` where it is empty, or longer than [`Text::MOST`] characters.
    #[must_use]
    pub fn new(text: String) -> Option<Self> {
        (1..=Self::MOST)
            .contains(&text.chars().count())
            .then_some(Self(text))
    }
}

/// Why nothing is said.
#[derive(Debug, thiserror::Error)]
pub enum SpeechError {
    /// The program is not installed.
    #[error("`{PROGRAM}` is not installed on this machine")]
    Missing,
    /// It took too long, or others spoke all the while.
    #[error("nothing was said within {} s", PATIENCE.as_secs())]
    TooSlow,
    /// It ended badly, or said more than it can have been asked to.
    #[error("`{PROGRAM}` made no sound of it")]
    NoSound,
    /// The system refused.
    #[error("`{PROGRAM}` cannot be run: {0}")]
    System(#[from] io::Error),
}

impl SpeechError {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::Missing => {
                "install the package `espeak-ng`, or use a browser that has a voice of its own"
            }
            Self::TooSlow => "wait a moment, and say it again",
            Self::NoSound | Self::System(_) => "try `espeak-ng hello` in a terminal",
        }
    }
}

/// The voice of the service.
#[derive(Clone, Debug)]
pub struct Speech {
    turns: Arc<Semaphore>,
}

impl Default for Speech {
    fn default() -> Self {
        Self {
            turns: Arc::new(Semaphore::new(AT_A_TIME)),
        }
    }
}

impl Speech {
    /// Makes sound of a text: a whole WAV file.
    ///
    /// Dropped before it is done, it ends the program.
    ///
    /// # Errors
    /// When the program is missing, fails, or takes longer than five seconds, waiting for its turn included.
    pub async fn say(&self, language: Language, text: &Text) -> Result<Vec<u8>, SpeechError> {
        let said = async {
            // The turns are never closed.
            let _turn = self.turns.acquire().await;
            spoken(language, text).await
        };
        tokio::time::timeout(PATIENCE, said)
            .await
            .unwrap_or(Err(SpeechError::TooSlow))
    }

    /// Returns whether the program is there and runs.
    pub async fn is_there(&self) -> bool {
        let version = Command::new(PROGRAM)
            .arg("--version")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .kill_on_drop(true)
            .status();
        matches!(tokio::time::timeout(PATIENCE, version).await, Ok(Ok(status)) if status.success())
    }
}

async fn spoken(language: Language, Text(text): &Text) -> Result<Vec<u8>, SpeechError> {
    let mut child = start(language)?;
    let (Some(mut ears), Some(mut mouth)) = (child.stdin.take(), child.stdout.take()) else {
        return Err(SpeechError::NoSound);
    };
    // It reads all before it says a word, and a text is shorter than what a pipe holds.
    ears.write_all(text.as_bytes()).await?;
    drop(ears);
    let mut sound = Vec::new();
    let read = (&mut mouth)
        .take(MOST_SOUND)
        .read_to_end(&mut sound)
        .await?;
    let is_whole = u64::try_from(read).is_ok_and(|read| read < MOST_SOUND);
    if !is_whole || !child.wait().await?.success() {
        return Err(SpeechError::NoSound);
    }
    sized(sound).ok_or(SpeechError::NoSound)
}

fn start(language: Language) -> Result<Child, SpeechError> {
    let child = Command::new(PROGRAM)
        // The text never stands among the options; it is UTF-8.
        .args(["--stdout", "--stdin", "-b", "1", "-v", language.voice()])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .kill_on_drop(true)
        .spawn();
    child.map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => SpeechError::Missing,
        _ => SpeechError::System(error),
    })
}

/// Writes into a WAV file how long it is: a program that writes to a pipe cannot know it when it begins.
fn sized(mut sound: Vec<u8>) -> Option<Vec<u8>> {
    let is_wav = sound.starts_with(b"RIFF") && sound.get(8..16) == Some(b"WAVEfmt ");
    if !is_wav || sound.get(SAMPLES_AT - 4..SAMPLES_AT) != Some(b"data") {
        return None;
    }
    for at in [WHOLE_AT, SAMPLES_AT] {
        let rest = u32::try_from(sound.len().checked_sub(at + 4)?).ok()?;
        sound
            .get_mut(at..at + 4)?
            .copy_from_slice(&rest.to_le_bytes());
    }
    Some(sound)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_some_and_not_more_than_four_hundred_characters() {
        assert_eq!(Text::new(String::new()), None);
        assert!(Text::new("ü".repeat(400)).is_some());
        assert_eq!(Text::new("ü".repeat(401)), None);
    }

    /// The form is that of the WAV files of Microsoft and IBM, 1991: whole after `RIFF`, samples after `data`, little end first.
    #[test]
    fn a_sound_says_how_long_it_is() {
        let mut sound = b"RIFF\xff\xff\xff\x7fWAVEfmt ".to_vec();
        sound.extend([0; 20]);
        sound.extend(b"data\xff\xff\xff\x7f\x01\x02\x03\x04");
        let sized_sound = sized(sound).unwrap();
        assert_eq!(sized_sound.len(), 48);
        assert_eq!(sized_sound[4..8], 40_u32.to_le_bytes());
        assert_eq!(sized_sound[40..44], 4_u32.to_le_bytes());
        assert_eq!(sized(b"RIFF".to_vec()), None);
        assert_eq!(sized(Vec::new()), None);
    }
}
