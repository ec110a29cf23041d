//! What is to be heard of a radio scale, and how it speaks.

use tarehand_protocol::scale::profile::{Notified, Reports, Source, Uuid};

use super::course::Way;
use super::freshness::{Piece, Rhythm};
use super::named::Named;
use super::radio::WEIGHT_SCALE;

/// Weight Measurement: Bluetooth Assigned Numbers, 3.8.
const WEIGHT_MEASUREMENT: Uuid = Uuid::assigned(0x2a9d);

/// What is to be heard of a radio scale, and how it speaks.
#[derive(Clone, Debug)]
pub struct Plan {
    pub(super) named: Named,
    pub(super) source: Source,
    pub(super) rhythm: Rhythm,
    pub(super) piece: Piece,
}

impl Plan {
    /// Makes the plan for a scale with the open Weight Scale Service, which reports finished weighings.
    #[must_use]
    pub const fn weight_service(named: Named) -> Self {
        Self {
            named,
            source: Source::Characteristic(Notified {
                service: WEIGHT_SCALE,
                characteristic: WEIGHT_MEASUREMENT,
                start: None,
            }),
            rhythm: Rhythm::Seldom,
            piece: Piece::Packet,
        }
    }

    /// Makes the plan for a scale that a profile describes.
    #[must_use]
    pub const fn of(named: Named, source: Source, reports: Reports, piece: Piece) -> Self {
        Self {
            named,
            source,
            rhythm: match reports {
                Reports::Stream => Rhythm::Steady,
                Reports::OnChange | Reports::Finished => Rhythm::Seldom,
            },
            piece,
        }
    }

    pub(super) const fn way(&self) -> Way {
        match self.source {
            Source::Characteristic(_) => Way::Connected,
            Source::Manufacturer(_) | Source::ServiceData(_) => Way::CalledOut,
        }
    }
}
