//! Theil and Sen's slope: the median of the slopes between pairs of points.
//!
//! Sources: H. Theil, Proc. Kon. Ned. Akad. Wetensch. A 53 (1950) 386, 521, 1397; P. K. Sen, J. Am.
//! Stat. Assoc. 63 (1968) 1379, eq. 2.6 for the interval by Kendall's rank statistic, with the
//! ranks of the ends as `scipy.stats.theilslopes` takes them. Several groups, as the dry periods
//! between rains, are pooled as R. M. Hirsch, J. R. Slack, R. A. Smith, Water Resour. Res. 18
//! (1982) 107 pool seasons: pairs within a group only, variances added.

use super::{count, median};

/// A line through groups of points, by its slope.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TheilSen {
    /// Median of the slopes.
    pub(crate) slope: f64,
    /// Lower end of the interval of the slope.
    pub(crate) low: f64,
    /// Upper end of it.
    pub(crate) high: f64,
    /// How many slopes.
    pub(crate) pairs: usize,
    /// Pairs that rise less pairs that fall.
    pub(crate) score: f64,
    /// Standard deviation of the score where there is no trend.
    pub(crate) deviation: f64,
}

/// The slope of groups of points (x, y) with its two-sided interval of a `confidence` between 0
/// and 1; none without two points of one group at different x.
pub(crate) fn theil_sen(groups: &[Vec<(f64, f64)>], confidence: f64) -> Option<TheilSen> {
    let z = quantity::quantile(0.5 + 0.5 * confidence)?;
    let mut slopes = Vec::new();
    let (mut score, mut variance) = (0.0, 0.0);
    for group in groups {
        for (place, one) in group.iter().enumerate() {
            for other in group.iter().skip(place + 1) {
                let (run, rise) = (other.0 - one.0, other.1 - one.1);
                if run.abs() > 0.0 {
                    slopes.push(rise / run);
                    score += sign(rise) * sign(run);
                }
            }
        }
        let terms = |n: f64| n * (n - 1.0) * (2.0 * n + 5.0);
        let tied = |values: Vec<f64>| ties(values).into_iter().map(terms).sum::<f64>();
        variance += (terms(count(group.len()))
            - tied(group.iter().map(|point| point.0).collect())
            - tied(group.iter().map(|point| point.1).collect()))
            / 18.0;
    }
    slopes.sort_by(f64::total_cmp);
    let deviation = libm::sqrt(variance.max(0.0));
    let pairs = count(slopes.len());
    // Places are counted from zero; half a place is rounded to the even one, as NumPy rounds.
    let upper = libm::rint(0.5 * (pairs + z * deviation)).min(pairs - 1.0);
    let lower = (libm::rint(0.5 * (pairs - z * deviation)) - 1.0).max(0.0);
    Some(TheilSen {
        slope: (!slopes.is_empty()).then(|| median(&slopes))?,
        low: at(&slopes, lower)?,
        high: at(&slopes, upper)?,
        pairs: slopes.len(),
        score,
        deviation,
    })
}

/// The slope alone, without its interval: for many trials.
pub(crate) fn median_slope(groups: &[Vec<(f64, f64)>]) -> Option<f64> {
    let mut slopes = Vec::new();
    for group in groups {
        for (place, one) in group.iter().enumerate() {
            let others = group.iter().skip(place + 1).filter(|other| (other.0 - one.0).abs() > 0.0);
            slopes.extend(others.map(|other| (other.1 - one.1) / (other.0 - one.0)));
        }
    }
    let half = slopes.len() / 2;
    if slopes.is_empty() {
        return None;
    }
    let even = slopes.len() % 2 == 0;
    let (below, middle, _) = slopes.select_nth_unstable_by(half, f64::total_cmp);
    let middle = *middle;
    let before = below.iter().copied().reduce(f64::max).filter(|_| even);
    Some(before.map_or(middle, |before| 0.5 * (before + middle)))
}

/// Where the line of a slope meets x = 0: median of y less slope times median of x.
pub(crate) fn intercept(points: &[(f64, f64)], slope: f64) -> f64 {
    let x: Vec<f64> = points.iter().map(|point| point.0).collect();
    let y: Vec<f64> = points.iter().map(|point| point.1).collect();
    median(&y) - slope * median(&x)
}

/// Kendall's τ_b (M. G. Kendall, Biometrika 33 (1945) 239); none where all x or all y are alike.
pub(crate) fn kendall_tau(points: &[(f64, f64)]) -> Option<f64> {
    let (mut score, mut by_x, mut by_y) = (0.0, 0.0, 0.0);
    for (place, one) in points.iter().enumerate() {
        for other in points.iter().skip(place + 1) {
            let (run, rise) = (sign(other.0 - one.0), sign(other.1 - one.1));
            score += run * rise;
            by_x += run * run;
            by_y += rise * rise;
        }
    }
    (by_x > 0.0 && by_y > 0.0).then(|| score / libm::sqrt(by_x * by_y))
}

fn sign(value: f64) -> f64 {
    if value.abs() > 0.0 { value.signum() } else { 0.0 }
}

/// How often each value occurs that occurs more than once.
fn ties(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
        .chunk_by(|one, other| (one - other).abs() <= 0.0)
        .filter(|alike| alike.len() > 1)
        .map(|alike| count(alike.len()))
        .collect()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a whole number from zero to the length of the list"
)]
fn at(sorted: &[f64], place: f64) -> Option<f64> {
    sorted.get(place as usize).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn near(got: f64, expected: f64) {
        assert!((got - expected).abs() < 1e-9, "{got} for {expected}");
    }

    /// Against SciPy 1.17.1 `stats.theilslopes` and `stats.kendalltau`; the soiling series of the
    /// table, and one with ties in both.
    #[test]
    fn as_scipy_has_it() {
        let x = [0.0, 2.0, 3.0, 5.0, 7.0, 8.0, 10.0, 12.0, 14.0, 15.0];
        let y = [1.000, 0.992, 0.989, 0.981, 0.972, 0.985, 0.961, 0.953, 0.930, 0.940];
        let points: Vec<_> = x.into_iter().zip(y).collect();
        let fit = theil_sen(std::slice::from_ref(&points), 0.95).unwrap();
        near(fit.slope, -0.004);
        near(fit.low, -0.0045);
        near(fit.high, -0.0038);
        near(intercept(&points, fit.slope), 1.0065);
        near(kendall_tau(&points).unwrap(), -0.866_666_666_666_666_7);
        let tied =
            [(0.0, 1.0), (1.0, 1.0), (1.0, 0.9), (2.0, 0.9), (4.0, 0.7), (5.0, 0.8), (5.0, 0.6)];
        let fit = theil_sen(&[tied.to_vec()], 0.9).unwrap();
        near(fit.slope, TIED.0);
        near(fit.low, TIED.1);
        near(fit.high, TIED.2);
        near(kendall_tau(&tied).unwrap(), TIED.3);
    }

    const TIED: (f64, f64, f64, f64) = (-0.075, -0.1, -0.025, -0.789_473_684_210_526_2);

    /// Pairs are never taken across a rain.
    #[test]
    fn groups_are_kept_apart() {
        let group = |level: f64| vec![(0.0, level), (1.0, level - 0.1), (2.0, level - 0.2)];
        let fit = theil_sen(&[group(1.0), group(5.0), vec![(9.0, 9.0)]], 0.95).unwrap();
        near(fit.slope, -0.1);
        assert_eq!(fit.pairs, 6);
        let odd = [vec![(0.0, 1.0), (1.0, 3.0), (2.0, 4.0)], vec![(5.0, 0.0), (5.0, 9.0)]];
        for groups in [&odd[..], &odd[..1], &[group(1.0), vec![(7.0, 2.0), (8.0, 2.5)]]] {
            let line = theil_sen(groups, 0.95).unwrap();
            near(median_slope(groups).unwrap(), line.slope);
        }
        assert_eq!(median_slope(&[vec![(1.0, 2.0), (1.0, 3.0)]]), None);
        near(fit.score, -6.0);
        // 3·2·11/18 for each group of three, none for a single point.
        near(fit.deviation * fit.deviation, 2.0 * 66.0 / 18.0);
        assert_eq!(theil_sen(&[vec![(1.0, 2.0)], vec![(3.0, 4.0)]], 0.95), None);
        assert_eq!(theil_sen(&[vec![(1.0, 2.0), (1.0, 3.0)]], 0.95), None);
        assert_eq!(kendall_tau(&[(1.0, 2.0), (1.0, 3.0)]), None);
    }
}
