//! How much the readings of a quiet pan scatter.

use tarehand_protocol::Mass;

/// Readings of one look at the noise.
const BLOCK: usize = 10;

/// The whole scatter of a quiet pan is at most this many times what its steps explain: once for white noise,
/// about twice after a median of three, five times and more while somebody stirs (our own choice).
const WHITE: f64 = 3.0;

/// The scatter of the quiet pan.
///
/// From the differences of neighbouring readings (von Neumann's estimate: variance = half the mean
/// square difference), so that a slow drift does not look like noise. Blocks that wander are somebody
/// pouring or stirring and are not looked at: their whole scatter is larger than their steps explain.
#[derive(Clone, Debug, Default)]
pub(super) struct QuietNoise {
    block: Vec<Mass>,
    sigma_g: Option<f64>,
}

impl QuietNoise {
    pub(super) fn observe(&mut self, gross: Mass, division: Mass) {
        self.block.push(gross);
        if self.block.len() < BLOCK {
            return;
        }
        let steps: Vec<f64> = self
            .block
            .windows(2)
            .map(|pair| (pair[1] - pair[0]).grams())
            .collect();
        let masses: Vec<f64> = self.block.iter().map(|mass| mass.grams()).collect();
        self.block.clear();
        let count = |len: usize| f64::from(u32::try_from(len).unwrap_or(1));
        let variance_of_steps =
            steps.iter().map(|step| step * step).sum::<f64>() / count(steps.len()) / 2.0;
        let mean = masses.iter().sum::<f64>() / count(BLOCK);
        let scatter = masses.iter().map(|mass| (mass - mean).powi(2)).sum::<f64>() / count(BLOCK);
        let signs_agree =
            steps.iter().all(|&step| 0.0 <= step) || steps.iter().all(|&step| step <= 0.0);
        let sigma = variance_of_steps.sqrt();
        let flicker = division.grams() / 2.0;
        let quiet = scatter <= WHITE * variance_of_steps + flicker * flicker
            && (!signs_agree || sigma <= division.grams());
        if quiet {
            self.sigma_g = Some(match self.sigma_g {
                None => sigma,
                // A quieter look is believed, a noisier one only little by little.
                Some(known) if sigma < known => f64::midpoint(known, sigma),
                Some(known) => known + (sigma.min(2.0 * known + division.grams()) - known) / 8.0,
            });
        }
    }

    /// Returns three sigma, at most sixteen divisions: beyond that a scale is not quiet but broken.
    pub(super) fn three_sigma(&self, division: Mass) -> Mass {
        let most = Mass::from_micrograms(division.micrograms().saturating_mul(16));
        self.sigma_g.map_or(Mass::ZERO, |sigma| {
            Mass::from_estimated_grams(3.0 * sigma).min(most)
        })
    }
}
