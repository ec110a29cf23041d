//! From what a person says about a scale to a link and a decoder.

use std::time::Duration;

use serde::{Deserialize, Serialize};
use tarehand_mixing::settler::Reports;
use tarehand_protocol::api::AttachScale;
use tarehand_protocol::mass::ParseMassError;
use tarehand_protocol::scale::profile::{self, Profile};
use tarehand_protocol::scale::{Decoder, Problem};
use tarehand_protocol::{Mass, MassUnit};

use crate::links::Link;
use crate::links::serial::{Line, SerialLink, Settings, SettingsSearch, Wanted};

/// What a person said about a scale, checked; kept so that a restarted bench finds its scale again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Attachment {
    port: String,
    unit: Option<MassUnit>,
    profile: Option<Profile>,
}

/// How a line is opened whose settings nobody told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Approach {
    /// With the usual settings.
    Usual,
    /// By trying speeds and parities until what comes looks like text.
    Search,
}

/// Why a scale cannot be attached so.
#[derive(Debug, thiserror::Error)]
pub enum AttachError {
    /// The unit is none.
    #[error("{0}")]
    Unit(#[from] ParseMassError),
    /// The profile is wrong.
    #[error("the scale profile is wrong: {}", list(.0))]
    Profile(Vec<Problem>),
    /// The port has no name.
    #[error("the port has no name")]
    NoPort,
}

fn list(problems: &[Problem]) -> String {
    problems
        .iter()
        .map(|problem| problem.message.as_str())
        .collect::<Vec<_>>()
        .join("; ")
}

impl AttachError {
    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Unit(_) => Some("write g, kg, mg, oz, lb, ozt, ct or gr".to_owned()),
            Self::Profile(problems) => problems.iter().find_map(|problem| problem.help.clone()),
            Self::NoPort => Some("see `tarehand scales`".to_owned()),
        }
    }
}

impl TryFrom<&AttachScale> for Attachment {
    type Error = AttachError;

    fn try_from(said: &AttachScale) -> Result<Self, Self::Error> {
        if said.port.trim().is_empty() || said.port.contains('\0') {
            return Err(AttachError::NoPort);
        }
        Ok(Self {
            port: said.port.clone(),
            unit: said.unit.as_deref().map(str::parse).transpose()?,
            profile: said
                .profile
                .as_deref()
                .map(Profile::parse)
                .transpose()
                .map_err(AttachError::Profile)?,
        })
    }
}

impl Attachment {
    /// Returns the path of the port.
    #[must_use]
    pub fn port(&self) -> &str {
        &self.port
    }

    /// Returns the unit that was told.
    #[must_use]
    pub const fn unit(&self) -> Option<MassUnit> {
        self.unit
    }

    /// Returns the profile that was told.
    #[must_use]
    pub const fn profile(&self) -> Option<&Profile> {
        self.profile.as_ref()
    }

    /// Returns the attachment with what was told earlier about the same device, where nothing newer was said.
    #[must_use]
    pub fn remembering(self, unit: Option<MassUnit>, profile: Option<Profile>) -> Self {
        Self {
            unit: self.unit.or(unit),
            profile: self.profile.or(profile),
            ..self
        }
    }

    pub(super) fn decoder(&self) -> Decoder {
        match (&self.profile, self.unit) {
            (Some(profile), Some(unit)) => Decoder::of(profile).told(unit),
            (Some(profile), None) => Decoder::of(profile),
            (None, unit) => Decoder::tolerant(unit),
        }
    }

    pub(super) fn read_as(&self) -> String {
        match (&self.profile, self.unit) {
            (Some(profile), _) => profile.settings().name.clone(),
            (None, Some(unit)) => format!("plain lines, numbers in {unit}"),
            (None, None) => "plain lines".to_owned(),
        }
    }

    pub(super) fn reports(&self) -> Reports {
        match self
            .profile
            .as_ref()
            .map(|profile| profile.settings().reports)
        {
            Some(profile::Reports::OnChange) => Reports::OnChange,
            Some(profile::Reports::Finished) => Reports::Finished,
            Some(profile::Reports::Stream) | None => Reports::Stream,
        }
    }

    pub(super) fn division(&self) -> Option<Mass> {
        self.profile
            .as_ref()
            .and_then(|profile| profile.settings().division)
    }

    pub(super) fn capacity(&self) -> Option<Mass> {
        self.profile
            .as_ref()
            .and_then(|profile| profile.settings().capacity)
    }

    pub(super) fn lag(&self) -> Option<Duration> {
        self.profile
            .as_ref()
            .and_then(|profile| profile.settings().lag)
    }

    /// Returns whether the settings of the line may be looked for: nobody told them, and it has any.
    pub(super) fn may_search(&self) -> bool {
        let told = self
            .profile
            .as_ref()
            .is_some_and(|profile| profile.settings().serial.is_some());
        // A pseudo-terminal has no speed and no parity: what comes through it is what was written.
        let has_settings =
            std::fs::canonicalize(&self.port).is_ok_and(|path| !path.starts_with("/dev/pts"));
        !told && has_settings
    }

    pub(super) fn link(&self, approach: Approach) -> Box<dyn Link> {
        let settings = self.profile.as_ref().map(Profile::settings);
        let line = match (settings.and_then(|settings| settings.serial), approach) {
            (Some(serial), _) => Line::Known(Settings::from(serial)),
            (None, Approach::Usual) => Line::Known(Settings::default()),
            (None, Approach::Search) => Line::Tried(SettingsSearch::by_text()),
        };
        let link = SerialLink::new(Wanted::Path(self.port.clone()), line);
        Box::new(match settings.and_then(|settings| settings.poll.as_ref()) {
            Some(poll) => link.polling(poll.clone()),
            None => link,
        })
    }
}
