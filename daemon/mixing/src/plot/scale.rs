//! Round numbers along an axis.

/// An axis from the least to the most of its values, with round numbers to read it by.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    pub(super) low: f64,
    pub(super) high: f64,
    /// The distance from one number to the next.
    pub(super) step: f64,
}

impl Axis {
    /// Makes an axis over values with about `wanted` numbers, whose distance is one of `steps` times a power of ten.
    pub(super) fn over(low: f64, high: f64, wanted: f64, steps: &[f64]) -> Self {
        let span = if high > low { high - low } else { 1.0 };
        let rough = span / wanted;
        let power = 10.0_f64.powf(rough.log10().floor());
        let step = steps
            .iter()
            .map(|step| step * power)
            .find(|step| rough <= *step)
            .unwrap_or(10.0 * power);
        Self {
            low: (low / step).floor() * step,
            high: ((low + span) / step).ceil() * step,
            step,
        }
    }

    /// Returns where a value is, from 0 at the low end to 1.
    pub(super) fn place(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low)
    }

    /// Returns the round numbers.
    pub(super) fn numbers(&self) -> impl Iterator<Item = f64> {
        let count = ((self.high - self.low) / self.step).round();
        // An axis has a handful of numbers.
        let count = (0..=64_u8).take_while(move |n| f64::from(*n) <= count);
        count.map(|n| f64::from(n).mul_add(self.step, self.low))
    }

    /// Returns how many decimals tell the numbers apart.
    pub(super) fn decimals(&self) -> usize {
        [0, 1, 2, 3]
            .into_iter()
            .find(|decimals| {
                let shifted = self.step * 10.0_f64.powi(*decimals);
                (shifted - shifted.round()).abs() < 1e-6
            })
            .map_or(3, |decimals| decimals.unsigned_abs() as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_round_and_cover_the_values() {
        let steps = [1.0, 2.0, 5.0];
        let axis = Axis::over(86.4, 236.9, 5.0, &steps);
        assert_eq!((axis.low, axis.high, axis.step), (50.0, 250.0, 50.0));
        assert_eq!(
            axis.numbers().collect::<Vec<_>>(),
            [50.0, 100.0, 150.0, 200.0, 250.0]
        );
        let axis = Axis::over(0.0, 0.47, 5.0, &steps);
        assert_eq!(axis.decimals(), 1);
        let flat = Axis::over(3.0, 3.0, 5.0, &steps);
        assert!(flat.low < flat.high);
        assert!((flat.place(3.0) - 0.0).abs() < 1e-9);
    }
}
