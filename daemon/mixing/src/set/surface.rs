//! What is poured on: the face and the edge that runs around it.

use crate::ratio::Ratio;
use crate::units::{Area, Length};

/// The circle's ratio to seventeen decimals; the area of a round panel is off by less than 1e-17 of itself.
const PI: (i64, i64) = (314_159_265_358_979_324, 100_000_000_000_000_000);

/// One kind of piece, and how many there are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Surface {
    /// The shape of its face.
    pub outline: Outline,
    /// How deep the edge is that gets paint too.
    pub edge: Option<Length>,
    /// How many of them.
    pub count: u32,
}

/// The shape of a face.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outline {
    /// Width and height.
    Rectangle {
        /// One side.
        width: Length,
        /// The other.
        height: Length,
    },
    /// A circle.
    Round {
        /// All across it.
        diameter: Length,
    },
    /// Any shape, measured otherwise.
    Any {
        /// Its face.
        area: Area,
        /// The way around it, which only an edge needs.
        around: Option<Length>,
    },
}

impl Outline {
    /// Returns the square millimetres of the face.
    #[must_use]
    pub fn face(&self) -> Ratio {
        match self {
            Self::Rectangle { width, height } => width.mm() * height.mm(),
            Self::Round { diameter } => {
                let square = diameter.mm() * diameter.mm();
                &(&square * &Ratio::new(PI.0, PI.1)) * &Ratio::new(1, 4)
            }
            Self::Any { area, .. } => area.mm2().clone(),
        }
    }

    /// Returns the millimetres around it; `None` for a shape nobody went around.
    #[must_use]
    pub fn around(&self) -> Option<Ratio> {
        match self {
            Self::Rectangle { width, height } => {
                Some(&(width.mm() + height.mm()) * &Ratio::new(2, 1))
            }
            Self::Round { diameter } => Some(diameter.mm() * &Ratio::new(PI.0, PI.1)),
            Self::Any { around, .. } => around.as_ref().map(|around| around.mm().clone()),
        }
    }
}

impl Surface {
    /// Returns the square millimetres of one piece, its edge included.
    #[must_use]
    pub fn one(&self) -> Ratio {
        let edge = self
            .edge
            .as_ref()
            .zip(self.outline.around())
            .map_or_else(Ratio::zero, |(edge, around)| edge.mm() * &around);
        &self.outline.face() + &edge
    }

    /// Returns the square millimetres of all pieces together.
    #[must_use]
    pub fn all(&self) -> Ratio {
        &self.one() * &Ratio::new(i64::from(self.count), 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(text: &str) -> Length {
        text.parse().unwrap()
    }

    #[track_caller]
    fn rectangle(width: &str, height: &str, square_inches: [i64; 2]) {
        let outline = Outline::Rectangle {
            width: length(width),
            height: length(height),
        };
        let with = |edge: Option<Length>| Surface {
            outline: outline.clone(),
            edge,
            count: 1,
        };
        let square_inch = Ratio::new(64_516, 100);
        for (edge, expect) in [None, Some(length("1.5 in"))]
            .into_iter()
            .zip(square_inches)
        {
            assert_eq!(with(edge).one(), &square_inch * &Ratio::new(expect, 1));
        }
    }

    // Geometry: face, and face with an edge of 1.5 in, in square inches.
    #[test]
    fn the_edge_of_a_rectangle_counts() {
        rectangle("16 in", "20 in", [320, 428]);
        rectangle("8 in", "10 in", [80, 134]);
        rectangle("30 in", "40 in", [1_200, 1_410]);
    }

    // Geometry: πd²/4 + πd·e = 706.858 + 188.496 cm² for 30 cm across and an edge of 2 cm.
    #[test]
    fn the_edge_of_a_round_counts() {
        let round = Surface {
            outline: Outline::Round {
                diameter: length("30 cm"),
            },
            edge: Some(length("2 cm")),
            count: 8,
        };
        let expect = std::f64::consts::PI * (300.0 * 300.0 / 4.0 + 300.0 * 20.0);
        assert!((round.one().to_f64() / expect - 1.0).abs() < 1e-15);
        assert_eq!(round.all(), &round.one() * &Ratio::new(8, 1));
    }

    #[test]
    fn any_shape_has_the_edge_it_was_measured_around() {
        let outline = Outline::Any {
            area: "900 cm2".parse().unwrap(),
            around: Some(length("140 cm")),
        };
        let surface = Surface {
            outline,
            edge: Some(length("2 cm")),
            count: 1,
        };
        assert_eq!(surface.one(), Ratio::new(90_000 + 28_000, 1));
    }
}
