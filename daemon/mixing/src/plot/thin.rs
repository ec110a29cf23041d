//! No more points than the picture has columns, and no peak lost.

/// Leaves of each column its first, lowest, highest and last point; points are from 0 to 1 in both directions, in order
/// of the first.
pub(super) fn thin(points: &[(f64, f64)], columns: u32) -> Vec<(f64, f64)> {
    let column = |x: f64| (x * f64::from(columns)).floor();
    let mut kept = Vec::new();
    let mut rest = points;
    while let Some(first) = rest.first() {
        let end = rest
            .partition_point(|point| column(point.0) <= column(first.0))
            .max(1);
        let (here, after) = rest.split_at(end);
        rest = after;
        let by_height = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
        let extremes = [
            here.first(),
            here.iter().min_by(by_height),
            here.iter().max_by(by_height),
            here.last(),
        ];
        let mut some: Vec<(f64, f64)> = extremes.into_iter().flatten().copied().collect();
        some.sort_by(|a, b| a.0.total_cmp(&b.0));
        some.dedup();
        kept.extend(some);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_peak_of_one_point_stays() {
        let mut points: Vec<(f64, f64)> = (0..100_000).map(|n| (f64::from(n) / 1e5, 0.5)).collect();
        points[54_321].1 = 0.9;
        let kept = thin(&points, 800);
        assert!(kept.len() <= 4 * 801, "{}", kept.len());
        assert!(kept.contains(&points[54_321]));
        assert_eq!(kept.first(), points.first());
        assert_eq!(kept.last(), points.last());
        assert_eq!(thin(&[], 800), []);
    }
}
