//! The two checks that find a clock or a time zone read wrongly: the lag between irradiance and
//! power, and the peak of the irradiance against solar noon.
//!
//! Lag: the shift with the largest cross-correlation of the two series about their means, zero where
//! nothing was measured, within two hours either way (`scipy.signal.correlate`, mode `full`). Peak:
//! the vertex of the least-squares parabola through the irradiance (`numpy.polyfit`, degree 2), with
//! its standard uncertainty by first order.

use std::collections::BTreeMap;

use libm::sqrt;
use quantity::{AbsolutePressure, Angle, Length, Temperature};

use super::read::{Noon, Run};
use super::samples::Channel;
use crate::Refusal;
use crate::stats::count;
use crate::sun::{self, Observer};
use crate::time::Moment;

/// The widest lag looked for, in seconds.
const WIDEST: i64 = 7200;
/// The finest grid of the lag, in seconds.
const FINEST: i64 = 10;
/// Below this correlation the two series don't resemble each other, and no lag is said. The
/// procedure's own rule.
pub(super) const RESEMBLE: f64 = 0.5;

/// What the checks found.
#[derive(Debug, Clone)]
pub(super) struct Checks {
    /// Step of the lag, in seconds.
    pub(super) grid: i64,
    /// Seconds by which power follows irradiance, and the correlation there; none without values.
    pub(super) lag: Option<(i64, f64)>,
    /// The irradiance's peak.
    pub(super) peak: Option<Peak>,
    /// Solar noon of the day.
    pub(super) noon: Moment,
    /// Whether noon was worked out here.
    pub(super) worked_out: bool,
}

/// The vertex of the parabola.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peak {
    /// Unix seconds.
    pub(super) at: f64,
    /// Its standard uncertainty in seconds.
    pub(super) doubt: f64,
}

impl Checks {
    /// The lag where the two series resemble each other.
    pub(super) fn clear_lag(&self) -> Option<i64> {
        self.lag.filter(|(_, correlation)| *correlation >= RESEMBLE).map(|(lag, _)| lag)
    }

    /// Seconds from solar noon to the peak, where the peak is known to half the limit.
    pub(super) fn clear_peak(&self, limit: f64) -> Option<f64> {
        let peak = self.peak.filter(|peak| 2.0 * peak.doubt <= limit)?;
        Some(peak.at - self.noon.unix())
    }
}

/// Runs both checks.
pub(super) fn checks(run: &Run) -> Result<Checks, Refusal> {
    let grid = run.irradiance.step.max(run.power.step).max(FINEST);
    let noon = noon(run)?;
    Ok(Checks {
        grid,
        lag: lag(&on_grid(&run.irradiance, grid), &on_grid(&run.power, grid), grid),
        peak: peak(&run.irradiance),
        noon,
        worked_out: matches!(run.noon, Noon::At { .. }),
    })
}

/// The means of a channel on a grid.
pub(super) fn on_grid(channel: &Channel, grid: i64) -> BTreeMap<i64, f64> {
    let mut sums: BTreeMap<i64, (f64, usize)> = BTreeMap::new();
    for sample in &channel.samples {
        if let Some(value) = sample.value {
            let sum = sums.entry(channel.slot(sample, grid)).or_default();
            *sum = (sum.0 + value, sum.1 + 1);
        }
    }
    sums.into_iter().map(|(slot, (sum, n))| (slot, sum / count(n))).collect()
}

fn about_mean(series: &BTreeMap<i64, f64>) -> Vec<(i64, f64)> {
    let mean = series.values().sum::<f64>() / count(series.len().max(1));
    series.iter().map(|(slot, value)| (*slot, value - mean)).collect()
}

fn lag(
    irradiance: &BTreeMap<i64, f64>,
    power: &BTreeMap<i64, f64>,
    grid: i64,
) -> Option<(i64, f64)> {
    let (x, y) = (about_mean(irradiance), about_mean(power));
    let square = |series: &[(i64, f64)]| series.iter().map(|(_, v)| v * v).sum::<f64>();
    let scale = sqrt(square(&x) * square(&y));
    if scale.is_nan() || scale <= 0.0 {
        return None;
    }
    let (first, last) = (y.first()?.0, y.last()?.0);
    let width = usize::try_from(last - first).ok().filter(|width| *width < 1_000_000)?;
    let mut dense = vec![0.0; width + 1];
    for (slot, value) in &y {
        if let Some(place) = usize::try_from(slot - first).ok().and_then(|at| dense.get_mut(at)) {
            *place = *value;
        }
    }
    let at = |slot: i64| {
        usize::try_from(slot - first).ok().and_then(|at| dense.get(at)).copied().unwrap_or(0.0)
    };
    let mut best: Option<(i64, f64)> = None;
    let most = WIDEST / grid;
    // From the smallest shift outward, so that the smaller of equal ones is taken.
    for size in 0..=most {
        for shift in if size == 0 { vec![0] } else { vec![size, -size] } {
            let r = x.iter().map(|(slot, v)| v * at(slot + shift)).sum::<f64>() / scale;
            if best.is_none_or(|(_, most)| r > most) {
                best = Some((shift, r));
            }
        }
    }
    best.map(|(shift, r)| (shift * grid, r))
}

/// The vertex of the parabola through the irradiance, when it is a maximum inside the data.
fn peak(channel: &Channel) -> Option<Peak> {
    let points: Vec<(f64, f64)> = channel
        .samples
        .iter()
        .filter_map(|sample| {
            let middle = Moment { seconds: sample.start, offset: 0 }.unix()
                + Moment { seconds: channel.step, offset: 0 }.unix() / 2.0;
            sample.value.map(|value| (middle, value))
        })
        .collect();
    let n = count(points.len());
    if points.len() < 6 {
        return None;
    }
    let centre = points.iter().map(|(t, _)| t).sum::<f64>() / n;
    let mean = points.iter().map(|(_, v)| v).sum::<f64>() / n;
    // Hours from the middle keep the equations well conditioned.
    let points: Vec<(f64, f64)> =
        points.iter().map(|(t, v)| ((t - centre) / 3600.0, v - mean)).collect();
    let sum = |power: i32, with_value: bool| {
        points
            .iter()
            .map(|(t, v)| {
                let t = (0..power).fold(1.0, |product, _| product * t);
                if with_value { t * v } else { t }
            })
            .sum::<f64>()
    };
    let [s1, s2, s3, s4] = [1, 2, 3, 4].map(|power| sum(power, false));
    let [y0, y1, y2] = [0, 1, 2].map(|power| sum(power, true));
    // Inverse of the symmetric matrix [[n, s1, s2], [s1, s2, s3], [s2, s3, s4]] by cofactors.
    let c00 = s2 * s4 - s3 * s3;
    let c01 = s2 * s3 - s1 * s4;
    let c02 = s1 * s3 - s2 * s2;
    let c11 = n * s4 - s2 * s2;
    let c12 = s1 * s2 - n * s3;
    let c22 = n * s2 - s1 * s1;
    let determinant = n * c00 + s1 * c01 + s2 * c02;
    if determinant.is_nan() || determinant <= 0.0 {
        return None;
    }
    let level = (c00 * y0 + c01 * y1 + c02 * y2) / determinant;
    let slope = (c01 * y0 + c11 * y1 + c12 * y2) / determinant;
    let bend = (c02 * y0 + c12 * y1 + c22 * y2) / determinant;
    if bend.is_nan() || bend >= 0.0 {
        return None;
    }
    let vertex = -slope / (2.0 * bend);
    let inside = points.first()?.0 <= vertex && vertex <= points.last()?.0;
    let rest = points.iter().map(|(t, v)| v - level - slope * t - bend * t * t);
    let variance = rest.map(|d| d * d).sum::<f64>() / (n - 3.0);
    let (by_slope, by_bend) = (-1.0 / (2.0 * bend), slope / (2.0 * bend * bend));
    let spread =
        by_slope * by_slope * c11 + 2.0 * by_slope * by_bend * c12 + by_bend * by_bend * c22;
    let doubt = 3600.0 * sqrt((variance * spread / determinant).max(0.0));
    inside.then_some(Peak { at: centre + 3600.0 * vertex, doubt })
}

/// Solar noon: as given, or the sun's passage of the meridian nearest to the run's middle.
fn noon(run: &Run) -> Result<Moment, Refusal> {
    let (latitude, longitude) = match run.noon {
        Noon::Given(moment) => return Ok(moment),
        Noon::At { latitude, longitude } => (latitude, longitude),
    };
    let starts = run.irradiance.samples.iter().map(|sample| sample.start);
    let (first, last) = (starts.clone().min().unwrap_or(0), starts.max().unwrap_or(0));
    let middle = Moment { seconds: first + (last - first) / 2, offset: run.irradiance.offset };
    sun::require_years("irradiance.times", middle)?;
    let unix = middle.unix();
    let beyond = |error: solar_positioning::Error| sun::beyond("longitude", &error);
    let delta_t = sun::estimated_delta_t(unix).map_err(beyond)?;
    // Altitude and air don't enter the time of the passage.
    let observer = Observer {
        latitude: Angle::from_radians(latitude),
        longitude: Angle::from_radians(longitude),
        altitude: Length::from_metres(0.0),
        pressure: AbsolutePressure::from_pascals(101_325.0),
        temperature: Temperature::from_kelvins(288.15),
    };
    let day = 86_400.0;
    let passages = sun::transits(&observer, unix - day, unix + day, delta_t).map_err(beyond)?;
    let distance = |passage: &f64| (passage - unix).abs();
    let nearest = passages.into_iter().min_by(|a, b| distance(a).total_cmp(&distance(b)));
    Ok(nearest.map_or(middle, |passage| middle.after(passage - unix)))
}
