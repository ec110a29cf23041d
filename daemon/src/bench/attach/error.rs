//! Why a scale cannot be attached as it was said.

use tarehand_protocol::mass::ParseMassError;
use tarehand_protocol::scale::Problem;

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
    /// Neither a port nor a radio scale was named, or both.
    #[error("one scale is needed: a port or a radio scale")]
    NoPlace,
    /// The bytes of the finer scale are told to nobody.
    #[error("only the scale that the jar stands on can be heard")]
    FineHeard,
    /// The profile is of a scale on a wire.
    #[error("the scale profile says nothing of Bluetooth")]
    NotByRadio,
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
            Self::NotByRadio => Some(
                "add a table `[bluetooth]` to it; or leave it out where the scale speaks the open Weight Scale Service"
                    .to_owned(),
            ),
            Self::FineHeard => Some("attach it as the main scale of a bench of its own".to_owned()),
            Self::NoPort | Self::NoPlace => Some("see `tarehand scales`".to_owned()),
        }
    }
}
