//! From what a person says about a scale to a link and a decoder.

mod error;
mod place;

use std::path::Path;
use std::time::Duration;

use serde::{Deserialize, Serialize};
use tarehand_mixing::settler::Reports;
use tarehand_protocol::api::{AttachScale, AttachWord};
use tarehand_protocol::scale::Decoder;
use tarehand_protocol::scale::binary::Frames;
use tarehand_protocol::scale::profile::{self, Layout, Profile};
use tarehand_protocol::{Mass, MassUnit};

use super::feed::{Form, Manner};
use crate::links::Link;
use crate::links::bluetooth::{self, Named, Piece, Plan, RadioLink};
use crate::links::hid::{self, HidLink};
use crate::links::replay::ReplayLink;
use crate::links::serial::{Line, SerialLink, Settings, SettingsSearch, Wanted};

pub use error::AttachError;
pub use place::Place;

/// What a person said about a scale, checked; kept so that a restarted bench finds its scale again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Attachment {
    // Flat, as it was when there were only ports: what is stored then still loads.
    #[serde(flatten)]
    place: Place,
    unit: Option<MassUnit>,
    profile: Option<Profile>,
    #[serde(default, skip_serializing_if = "AttachWord::is_to_weigh")]
    to: AttachWord,
    // Stored only where they are switched off: what was stored before there were taps still loads.
    #[serde(default, skip_serializing_if = "Taps::are_wanted")]
    taps: Taps,
}

/// Whether taps on the pan are to count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Taps {
    #[default]
    Wanted,
    Off,
}

impl Taps {
    const fn are_wanted(&self) -> bool {
        matches!(self, Self::Wanted)
    }

    const fn of(wanted: bool) -> Self {
        if wanted { Self::Wanted } else { Self::Off }
    }
}

/// How a line is opened whose settings nobody told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Approach {
    /// With the usual settings.
    Usual,
    /// By trying speeds and parities until what comes looks like text.
    Search,
}

impl TryFrom<&AttachScale> for Attachment {
    type Error = AttachError;

    fn try_from(said: &AttachScale) -> Result<Self, Self::Error> {
        let place = match (&said.port, &said.radio) {
            (Some(port), None) if port.trim().is_empty() || port.contains('\0') => {
                return Err(AttachError::NoPort);
            }
            (Some(port), None) if hid::is_hid(port) => Place::Usb(port.clone()),
            // No device is a file with lines in it.
            (Some(port), None) if Path::new(port).is_file() => Place::Capture(port.into()),
            (Some(port), None) => Place::Port(port.clone()),
            (None, Some(radio)) => Place::Radio(radio.parse().map_err(|_| AttachError::NoPort)?),
            (Some(_), Some(_)) | (None, None) => return Err(AttachError::NoPlace),
        };
        if !said.to.is_to_weigh() && !said.scale.is_main() {
            return Err(AttachError::FineHeard);
        }
        let profile = said
            .profile
            .as_deref()
            .map(Profile::parse)
            .transpose()
            .map_err(AttachError::Profile)?;
        if let (Place::Radio(_), Some(profile)) = (&place, &profile)
            && profile.settings().bluetooth.is_none()
        {
            return Err(AttachError::NotByRadio);
        }
        Ok(Self {
            place,
            unit: said.unit.as_deref().map(str::parse).transpose()?,
            profile,
            to: said.to,
            taps: Taps::of(said.taps),
        })
    }
}

impl Attachment {
    /// Returns where the scale is found.
    #[must_use]
    pub const fn place(&self) -> &Place {
        &self.place
    }

    /// Returns whether a batch may be weighed on it, and what was told of it be kept.
    #[must_use]
    pub const fn is_to_weigh(&self) -> bool {
        self.to.is_to_weigh()
    }

    /// Returns whether taps on its pan are to count.
    #[must_use]
    pub const fn taps(&self) -> bool {
        self.taps.are_wanted()
    }

    /// Says whether taps on its pan are to count.
    pub(super) const fn want_taps(&mut self, wanted: bool) {
        self.taps = Taps::of(wanted);
    }

    /// Returns whether nothing else is said of the scale.
    pub(super) fn differs_in_taps_alone(&self, other: &Self) -> bool {
        let taps = self.taps;
        self != other
            && *self
                == Self {
                    taps,
                    ..other.clone()
                }
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
        if self.by_open_service() {
            return Decoder::weight_service();
        }
        match (&self.profile, self.unit) {
            (Some(profile), Some(unit)) => Decoder::of(profile).told(unit),
            (Some(profile), None) => Decoder::of(profile),
            (None, unit) => Decoder::tolerant(unit),
        }
    }

    /// Returns what the scale's frames are made of.
    pub(super) fn form(&self) -> Form {
        let layout = self
            .profile
            .as_ref()
            .map(|profile| &profile.settings().layout);
        match (&self.place, layout) {
            (_, Some(Layout::Binary(_))) | (Place::Usb(_), None) => Form::Bits,
            _ if self.by_open_service() => Form::Bits,
            _ => Form::Text,
        }
    }

    /// Returns who says how the bytes are read.
    pub(super) const fn manner(&self) -> Manner {
        match (&self.place, &self.profile) {
            (Place::Usb(_), None) => Manner::ByDevice { unit: self.unit },
            _ => Manner::Told,
        }
    }

    pub(super) fn read_as(&self) -> String {
        if self.manner() != Manner::Told {
            return "USB weighing reports".to_owned();
        }
        if self.by_open_service() {
            return "the open Weight Scale Service".to_owned();
        }
        match (&self.profile, self.unit) {
            (Some(profile), _) => profile.settings().name.clone(),
            (None, Some(unit)) => format!("plain lines, numbers in {unit}"),
            (None, None) => "plain lines".to_owned(),
        }
    }

    /// Returns what a person should know of how the scale reports.
    pub(super) fn remark(&self) -> Option<String> {
        self.by_open_service().then(|| {
            format!(
                "the open Weight Scale Service reports finished weighings in steps of {} at best",
                bluetooth::FINEST
            )
        })
    }

    /// Returns whether it is read by the open Weight Scale Service, which needs no profile.
    const fn by_open_service(&self) -> bool {
        matches!((&self.place, &self.profile), (Place::Radio(_), None))
    }

    pub(super) fn reports(&self) -> Reports {
        if self.by_open_service() {
            return Reports::Finished;
        }
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
        let has_settings = match &self.place {
            // A pseudo-terminal has no speed and no parity: what comes through it is what was written.
            Place::Port(port) => {
                std::fs::canonicalize(port).is_ok_and(|path| !path.starts_with("/dev/pts"))
            }
            Place::Radio(_) | Place::Usb(_) | Place::Capture(_) => false,
        };
        // What is only heard is to arrive as it is: the settings are the person's to say.
        !told && has_settings && self.is_to_weigh()
    }

    pub(super) fn link(&self, approach: Approach) -> Box<dyn Link> {
        let port = match &self.place {
            Place::Port(port) => port,
            Place::Radio(named) => return Box::new(RadioLink::new(self.plan(named.clone()))),
            Place::Usb(said) => return Box::new(HidLink::new(hid::Wanted::said(said))),
            Place::Capture(path) => return Box::new(ReplayLink::new(path.clone())),
        };
        let settings = self.profile.as_ref().map(Profile::settings);
        let line = match (settings.and_then(|settings| settings.serial), approach) {
            (Some(serial), _) => Line::Known(Settings::from(serial)),
            (None, Approach::Usual) => Line::Known(Settings::default()),
            (None, Approach::Search) => Line::Tried(SettingsSearch::by_text()),
        };
        let link = SerialLink::new(Wanted::Path(port.clone()), line);
        Box::new(match settings.and_then(|settings| settings.poll.as_ref()) {
            Some(poll) => link.polling(poll.clone()),
            None => link,
        })
    }

    fn plan(&self, named: Named) -> Plan {
        let settings = self.profile.as_ref().map(Profile::settings);
        let told = settings.and_then(|settings| Some((settings, settings.bluetooth.as_ref()?)));
        match told {
            Some((settings, bluetooth)) => {
                let piece = match &settings.layout {
                    Layout::Binary(binary) => match binary.frames {
                        Frames::Packets | Frames::Silence => Piece::Packet,
                        Frames::Stream => Piece::Stream,
                    },
                    Layout::Tolerant | Layout::Shape(..) | Layout::Patterns(_) => Piece::Stream,
                };
                Plan::of(named, bluetooth.source.clone(), settings.reports, piece)
            }
            None => Plan::weight_service(named),
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;
    use tarehand_protocol::api::ScaleWord;

    use super::*;

    fn radio(profile: Option<&str>) -> Result<Attachment, AttachError> {
        Attachment::try_from(&AttachScale {
            port: None,
            radio: Some("aa:bb:cc:00:11:22".to_owned()),
            unit: None,
            profile: profile.map(str::to_owned),
            scale: ScaleWord::Main,
            to: AttachWord::Weigh,
            taps: true,
        })
    }

    #[test]
    fn what_was_stored_when_there_were_only_ports_still_loads() {
        let stored = json!({"port": "/dev/ttyUSB0", "unit": null, "profile": null});
        let attachment: Attachment = serde_json::from_value(stored.clone()).unwrap();
        assert_eq!(*attachment.place(), Place::Port("/dev/ttyUSB0".to_owned()));
        assert_eq!(serde_json::to_value(&attachment).unwrap(), stored);
    }

    #[test]
    fn a_radio_scale_is_stored_by_its_name_and_read_back() {
        let attachment = radio(None).unwrap();
        let stored = serde_json::to_value(&attachment).unwrap();
        assert_eq!(stored["radio"], "AA:BB:CC:00:11:22");
        assert_eq!(
            serde_json::from_value::<Attachment>(stored).unwrap(),
            attachment
        );
        assert_eq!(attachment.reports(), Reports::Finished);
        let key = attachment.place().key();
        assert_eq!(key.as_deref(), Some("bluetooth:AA:BB:CC:00:11:22"));
    }

    #[test]
    fn taps_are_stored_where_they_are_switched_off() {
        let mut attachment = radio(None).unwrap();
        let before = attachment.clone();
        assert!(attachment.taps());
        attachment.want_taps(false);
        assert!(before.differs_in_taps_alone(&attachment));
        let stored = serde_json::to_value(&attachment).unwrap();
        assert_eq!(stored["taps"], "off");
        let again: Attachment = serde_json::from_value(stored).unwrap();
        assert!(!again.taps());
    }

    #[test]
    fn one_place_is_needed_and_a_profile_by_radio_must_say_how() {
        let both = AttachScale {
            port: Some("/dev/ttyUSB0".to_owned()),
            radio: Some("pan".to_owned()),
            unit: None,
            profile: None,
            scale: ScaleWord::Main,
            to: AttachWord::Weigh,
            taps: true,
        };
        assert!(matches!(
            Attachment::try_from(&both),
            Err(AttachError::NoPlace)
        ));
        let wired = radio(Some("name = \"on a wire\""));
        assert!(matches!(wired, Err(AttachError::NotByRadio)));
    }
}
