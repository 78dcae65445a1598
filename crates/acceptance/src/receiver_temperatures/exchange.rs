//! Two channels that are exchanged, found from the pattern of the temperatures.
//!
//! The readings y are fitted by the columns of the expected pattern (level and scale of expected
//! temperatures, or a level for each quadrant and a step for each place). Every pair is exchanged in
//! turn and the fit made anew; the pair that lowers the sum of squares most is the candidate, and
//! T = 1 − SSQ_exchanged/SSQ the share that it lowers it by. How often chance alone reaches T, over
//! all pairs, is found by drawing readings from the fit with its own scatter and searching them the
//! same way. Where a pair truly is exchanged that scatter is too large, so that the probability errs
//! to the careful side.
//!
//! With the residuals r = R·y and R = 1 − H, exchanging i and j adds d = y_j − y_i to place i and
//! takes it from j: SSQ' = SSQ + 2d·(r_i − r_j) + d²·(R_ii + R_jj − 2R_ij).

use libm::sqrt;

use super::input::Pattern;
use super::read::Survey;
use crate::draw::Draw;
use crate::stats::{Fit, count, least_squares, student_t_quantile};

/// A pair, by the numbers of its channels, and the RMS of the residuals after exchanging it, in K.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    pub(super) one: usize,
    pub(super) other: usize,
    pub(super) rms: f64,
}

/// What the search found.
#[derive(Debug)]
pub(super) struct Search {
    /// RMS of the residuals as read, in K, with the degrees of freedom.
    pub(super) rms: f64,
    pub(super) freedom: f64,
    /// The pairs that lower it most, best first.
    pub(super) pairs: Vec<Pair>,
    /// Share of the sum of squares that the best pair takes away.
    pub(super) share: f64,
    /// Probability that chance alone reaches that share.
    pub(super) chance: f64,
    /// Pairs that can't be told from the best, itself left out.
    pub(super) rivals: usize,
    pub(super) trials: u32,
    /// Residual of each channel as read, in K; none where it was not used.
    pub(super) residuals: Vec<Option<f64>>,
}

/// Why there was no search.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoSearch {
    /// The channels are too few for the pattern.
    TooFew,
    /// The pattern's columns can't be told apart.
    Pattern,
}

/// The seed of the trials, and how many.
pub(super) const SEED: u64 = 10;
const TRIALS: u32 = 1_000;
/// Degrees of freedom below which nothing is searched. Common practice, no source.
const FEWEST: f64 = 4.0;
/// Pairs that are kept for the table.
const KEPT: usize = 5;

/// Searches the channels that are neither open nor stuck.
pub(super) fn search(
    survey: &Survey,
    pattern: Pattern,
    usable: &[Option<f64>],
) -> Result<Search, NoSearch> {
    let first = survey.scans.first();
    let at: Vec<(usize, f64)> = usable
        .iter()
        .enumerate()
        .filter(|(place, _)| {
            let of_first = || first.and_then(|scan| scan.get(*place)).copied().flatten();
            pattern != Pattern::FirstScan || of_first().is_some()
        })
        .filter_map(|(place, value)| value.map(|value| (place, value)))
        .collect();
    let rows = rows(survey, pattern, &at).ok_or(NoSearch::TooFew)?;
    let values: Vec<f64> = at.iter().map(|(_, value)| *value).collect();
    let freedom = count(rows.len()) - count(rows.first().map_or(0, Vec::len));
    if freedom < FEWEST {
        return Err(NoSearch::TooFew);
    }
    let fit = least_squares(&rows, &values).map_err(|_| NoSearch::Pattern)?;
    let maker = residual_maker(&fit, &rows);
    let ssq = fit.left();
    let mut pairs = all_pairs(&maker, &values, &fit.residuals);
    pairs.sort_by(|one, other| one.rms.total_cmp(&other.rms));
    let best = pairs.first().copied().ok_or(NoSearch::TooFew)?;
    let share = lowered(ssq, best.rms);
    let t = student_t_quantile(0.975, freedom).unwrap_or(f64::NAN);
    // Here `rms` still is the sum of squares.
    let alike = best.rms * (1.0 + t * t / freedom);
    let rivals = pairs.iter().skip(1).filter(|pair| pair.rms <= alike && pair.rms < ssq).count();
    let chance = chance(&maker, &fit, &values, share, sqrt(ssq / freedom));
    let mut residuals = vec![None; usable.len()];
    for ((place, _), residual) in at.iter().zip(&fit.residuals) {
        if let Some(slot) = residuals.get_mut(*place) {
            *slot = Some(*residual);
        }
    }
    let named = |pair: &Pair| {
        let number = |row: usize| at.get(row).map_or(0, |(place, _)| *place);
        let rms = sqrt(pair.rms.max(0.0) / count(at.len()));
        Pair { one: number(pair.one), other: number(pair.other), rms }
    };
    Ok(Search {
        rms: sqrt(ssq / count(at.len())),
        freedom,
        pairs: pairs.iter().take(KEPT).map(named).collect(),
        share,
        chance,
        rivals,
        trials: TRIALS,
        residuals,
    })
}

/// The share by which a sum of squares is lowered.
fn lowered(from: f64, to: f64) -> f64 {
    if from > 0.0 { (1.0 - to / from).max(0.0) } else { 0.0 }
}

/// The columns of the pattern for the channels that are used; none when they are too few.
fn rows(survey: &Survey, pattern: Pattern, at: &[(usize, f64)]) -> Option<Vec<Vec<f64>>> {
    match pattern {
        Pattern::Expected => scaled(at, |place| survey.expected.get(place).copied()),
        Pattern::FirstScan => {
            let first = survey.scans.first()?;
            scaled(at, |place| first.get(place).copied().flatten())
        }
        Pattern::Symmetrical => {
            let channels: Vec<_> =
                at.iter().filter_map(|(place, _)| survey.channels.get(*place)).collect();
            let mut quadrants: Vec<&str> = channels.iter().map(|c| c.quadrant.as_str()).collect();
            let mut places: Vec<&str> =
                channels.iter().filter_map(|c| c.place.as_deref()).collect();
            quadrants.sort_unstable();
            quadrants.dedup();
            places.sort_unstable();
            places.dedup();
            let is = |yes: bool| if yes { 1.0 } else { 0.0 };
            let row = |channel: &&super::read::Channel| -> Vec<f64> {
                let of_quadrant = quadrants.iter().map(|name| is(channel.quadrant == **name));
                let of_place =
                    places.iter().skip(1).map(|name| is(channel.place.as_deref() == Some(*name)));
                of_quadrant.chain(of_place).collect()
            };
            Some(channels.iter().map(row).collect())
        }
    }
}

/// A level and a scale of known temperatures; the level alone where these are all alike.
fn scaled(at: &[(usize, f64)], known: impl Fn(usize) -> Option<f64>) -> Option<Vec<Vec<f64>>> {
    let known: Vec<f64> = at.iter().map(|(place, _)| known(*place)).collect::<Option<_>>()?;
    let middle = crate::stats::mean(&known);
    let alike = known.iter().all(|value| (value - middle).abs() < 1e-9);
    Some(
        known
            .iter()
            .map(|value| if alike { vec![1.0] } else { vec![1.0, value - middle] })
            .collect(),
    )
}

/// 1 − M(MᵀM)⁻¹Mᵀ, row by row.
fn residual_maker(fit: &Fit, rows: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let product = |one: &[f64], other: &[f64]| -> f64 {
        one.iter()
            .enumerate()
            .flat_map(|(i, a)| other.iter().enumerate().map(move |(j, b)| (i, j, a * b)))
            .map(|(i, j, ab)| ab * fit.cofactor(i, j))
            .sum()
    };
    rows.iter()
        .enumerate()
        .map(|(i, one)| {
            rows.iter()
                .enumerate()
                .map(|(j, other)| if i == j { 1.0 } else { 0.0 } - product(one, other))
                .collect()
        })
        .collect()
}

/// Every pair with the sum of squares after exchanging it, in the place of its RMS.
fn all_pairs(maker: &[Vec<f64>], values: &[f64], residuals: &[f64]) -> Vec<Pair> {
    let ssq: f64 = residuals.iter().map(|r| r * r).sum();
    let mut out = Vec::new();
    let each = || maker.iter().zip(values).zip(residuals).enumerate();
    for (i, ((row, y_i), r_i)) in each() {
        for (j, ((other, y_j), r_j)) in each().skip(i + 1) {
            let (Some(ii), Some(ij), Some(jj)) = (row.get(i), row.get(j), other.get(j)) else {
                continue;
            };
            let d = y_j - y_i;
            let after = ssq + 2.0 * d * (r_i - r_j) + d * d * (ii + jj - 2.0 * ij);
            out.push(Pair { one: i, other: j, rms: after.max(0.0) });
        }
    }
    out
}

/// How often readings drawn from the fit, with its scatter, reach the share by chance.
fn chance(maker: &[Vec<f64>], fit: &Fit, values: &[f64], share: f64, scatter: f64) -> f64 {
    if scatter <= 0.0 {
        return 1.0;
    }
    let fitted: Vec<f64> = values.iter().zip(&fit.residuals).map(|(y, r)| y - r).collect();
    let mut draw = Draw::new(SEED, 0);
    let mut reached = 0_u32;
    for _ in 0..TRIALS {
        let noise: Vec<f64> = fitted.iter().map(|_| scatter * draw.normal()).collect();
        let residuals: Vec<f64> = maker
            .iter()
            .map(|row| row.iter().zip(&noise).map(|(a, b)| a * b).sum::<f64>())
            .collect();
        let drawn: Vec<f64> = fitted.iter().zip(&noise).map(|(a, b)| a + b).collect();
        let ssq: f64 = residuals.iter().map(|r| r * r).sum();
        let best = all_pairs(maker, &drawn, &residuals)
            .into_iter()
            .map(|pair| pair.rms)
            .fold(f64::INFINITY, f64::min);
        if lowered(ssq, best) >= share {
            reached += 1;
        }
    }
    f64::from(reached + 1) / f64::from(TRIALS + 1)
}
