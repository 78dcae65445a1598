//! Slopes of the dry periods, and when the threshold is reached.

use libm::sqrt;

use super::input::RateFrom;
use super::read::{Period, Survey};
use crate::draw::Draw;
use crate::stats::{TheilSen, count, intercept, kendall_tau, mean, standard_deviation, theil_sen};

/// What a dry period says.
#[derive(Debug, Clone)]
pub(super) struct OfPeriod {
    /// Readings as days since the first reading of all, and value.
    pub(super) points: Vec<(f64, f64)>,
    pub(super) line: Option<TheilSen>,
    pub(super) tau: Option<f64>,
}

/// The date on which the line reaches the threshold, in days since the first reading; infinite
/// where it never does.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crossing {
    pub(super) at: f64,
    pub(super) early: f64,
    pub(super) late: f64,
    /// Of the trials that reach it, in days; not a number when one doesn't.
    pub(super) standard: f64,
    pub(super) trials: u32,
    /// Points more than the lines take to be fitted.
    pub(super) spare: f64,
    /// Share of the trials that reach it not before the planned wash.
    pub(super) in_time: Option<f64>,
    /// Standard deviations in days from the scatter alone and from the shared error alone.
    pub(super) parts: [f64; 2],
}

/// Everything that was found.
#[derive(Debug)]
pub(super) struct Found {
    /// Day of the first reading of all.
    pub(super) origin: f64,
    pub(super) periods: Vec<OfPeriod>,
    /// Of all periods together.
    pub(super) all: TheilSen,
    /// The slope that is carried on.
    pub(super) rate: TheilSen,
    /// Where the line of the last period meets the first day.
    pub(super) level: Option<f64>,
    /// Day of the last reading, since the first.
    pub(super) last: f64,
    pub(super) crossing: Option<Crossing>,
}

/// The seed of the trials.
pub(super) const SEED: u64 = 15;
/// Trials at most and at least, and the work that they may make in pairs of points.
const MOST: usize = 4_000;
const LEAST: usize = 500;
const WORK: usize = 2_000_000;

/// Looks at a survey; none when no period has two readings at different times, or the last has too
/// few for the rate that is asked of it.
pub(super) fn measure(survey: &Survey) -> Option<Found> {
    let readings = || survey.periods.iter().flat_map(|period| &period.readings);
    let origin = readings().map(|reading| reading.day).reduce(f64::min)?;
    let last = readings().map(|reading| reading.day).fold(origin, f64::max) - origin;
    let points = |period: &Period| -> Vec<(f64, f64)> {
        period.readings.iter().map(|reading| (reading.day - origin, reading.value)).collect()
    };
    let periods: Vec<OfPeriod> = survey
        .periods
        .iter()
        .map(points)
        .map(|points| OfPeriod {
            line: theil_sen(std::slice::from_ref(&points), survey.confidence),
            tau: kendall_tau(&points),
            points,
        })
        .collect();
    let groups: Vec<Vec<(f64, f64)>> = periods.iter().map(|period| period.points.clone()).collect();
    let all = theil_sen(&groups, survey.confidence)?;
    let rate = match survey.rate_from {
        RateFrom::AllPeriods => all.clone(),
        RateFrom::LastPeriod => periods.last()?.line.clone()?,
    };
    let current = groups.last().filter(|points| !points.is_empty());
    let level = current.map(|points| intercept(points, rate.slope));
    let crossing = survey
        .threshold
        .zip(level)
        .map(|(threshold, level)| crossing(survey, &groups, &rate, threshold, level, origin));
    Some(Found { origin, periods, all, rate, level, last, crossing })
}

/// Where a falling line reaches a threshold; infinite for one that doesn't fall.
fn reaches(threshold: f64, level: f64, slope: f64) -> f64 {
    if slope < 0.0 { (threshold - level) / slope } else { f64::INFINITY }
}

/// What is drawn from: the line of each period, and the residuals of all.
struct Scatter {
    lines: Vec<Vec<(f64, f64)>>,
    residuals: Vec<f64>,
    /// Points more than the lines take to be fitted.
    spare: f64,
}

fn scatter(groups: &[Vec<(f64, f64)>], slope: f64) -> Scatter {
    let mut residuals = Vec::new();
    let (mut fitted, mut n) = (1.0, 0.0);
    let lines = groups
        .iter()
        .map(|points| {
            let level = intercept(points, slope);
            if points.len() > 1 {
                residuals.extend(points.iter().map(|(x, y)| y - level - slope * x));
                fitted += 1.0;
                n += count(points.len());
            }
            points.iter().map(|(x, _)| (*x, level + slope * x)).collect()
        })
        .collect();
    // Residuals of a fit are smaller than the scatter by the terms that were fitted.
    let scale = sqrt(n / (n - fitted).max(1.0));
    let middle = mean(&residuals);
    for residual in &mut residuals {
        *residual = scale * (*residual - middle);
    }
    Scatter { lines, residuals, spare: n - fitted }
}

impl Scatter {
    /// The lines with residuals drawn anew.
    fn draw(&self, draw: &mut Draw) -> Vec<Vec<(f64, f64)>> {
        let mut residual = || {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a place in the list"
            )]
            let place = (draw.even() * count(self.residuals.len())) as usize;
            self.residuals.get(place).copied().unwrap_or(0.0)
        };
        self.lines
            .iter()
            .map(|line| line.iter().map(|(x, y)| (*x, y + residual())).collect())
            .collect()
    }
}

fn crossing(
    survey: &Survey,
    groups: &[Vec<(f64, f64)>],
    rate: &TheilSen,
    threshold: f64,
    level: f64,
    origin: f64,
) -> Crossing {
    let of_all = survey.rate_from == RateFrom::AllPeriods;
    let used: Vec<Vec<(f64, f64)>> =
        if of_all { groups.to_vec() } else { groups.last().cloned().into_iter().collect() };
    let scatter = scatter(&used, rate.slope);
    let shared = survey.shared.as_ref().map_or(0.0, |stated| stated.of(threshold) / threshold);
    let trials = (WORK / rate.pairs.max(1)).clamp(LEAST, MOST);
    let run = |scattered: bool, shared: f64| -> Vec<f64> {
        let mut draw = Draw::new(SEED, 0);
        let mut dates: Vec<f64> = (0..trials)
            .map(|_| {
                let off = 1.0 + shared * draw.normal();
                if !scattered {
                    return reaches(threshold / off, level, rate.slope);
                }
                let drawn = scatter.draw(&mut draw);
                let slope = theil_sen(&drawn, survey.confidence).map_or(rate.slope, |l| l.slope);
                let level = drawn.last().map_or(level, |points| intercept(points, slope));
                reaches(threshold / off, level, slope)
            })
            .collect();
        dates.sort_by(f64::total_cmp);
        dates
    };
    let dates = run(true, shared);
    let deviation = |dates: &[f64]| {
        if dates.iter().all(|date| date.is_finite()) { standard_deviation(dates) } else { f64::NAN }
    };
    let tail = 0.5 * (1.0 - survey.confidence);
    let in_time = survey.planned.map(|planned| {
        let before = dates.iter().filter(|date| origin + **date < planned).count();
        1.0 - count(before) / count(dates.len())
    });
    Crossing {
        at: reaches(threshold, level, rate.slope),
        early: at_share(&dates, tail),
        late: at_share(&dates, 1.0 - tail),
        standard: deviation(&dates),
        spare: scatter.spare,
        trials: u32::try_from(trials).unwrap_or(u32::MAX),
        in_time,
        parts: [deviation(&run(true, 0.0)), deviation(&run(false, shared))],
    }
}

/// The value below which a share of sorted values lies.
fn at_share(sorted: &[f64], share: f64) -> f64 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place in the list"
    )]
    let place = (share * count(sorted.len())) as usize;
    sorted.get(place.min(sorted.len().saturating_sub(1))).copied().unwrap_or(f64::NAN)
}

/// Fewer points to spare than this don't say how much the readings scatter. Common practice, no
/// source.
const SPARE: f64 = 3.0;

impl Crossing {
    /// Whether the readings say how sure the date is.
    pub(super) fn has_interval(&self) -> bool {
        self.spare >= SPARE
    }
}

impl Found {
    /// What the line says for the last reading's day.
    pub(super) fn now(&self) -> Option<f64> {
        self.level.map(|level| level + self.rate.slope * self.last)
    }

    /// Days from the last reading to the threshold.
    pub(super) fn days_left(&self) -> Option<f64> {
        self.crossing.map(|crossing| crossing.at - self.last)
    }
}

/// Days between washes at which cost of washing and of dirt together are least: the least of
/// C/T + r·V·T/2 lies at T = √(2C/(r·V)).
pub(super) fn best_interval(slope: f64, wash: f64, day: f64) -> Option<f64> {
    (slope < 0.0).then(|| sqrt(2.0 * wash / (-slope * day)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The best interval is cheaper than any other of a list.
    #[test]
    fn the_best_interval_is_the_cheapest() {
        let (slope, wash, day) = (-0.004, 120.0, 60.0);
        let best = best_interval(slope, wash, day).unwrap();
        assert!((best - 1000.0_f64.sqrt()).abs() < 1e-9, "√(2·120/(0.004·60)) = √1000: {best}");
        let cost = |t: f64| wash / t - slope * day * t / 2.0;
        for step in 1..400 {
            assert!(cost(best) <= cost(f64::from(step) * 0.25));
        }
        assert_eq!(best_interval(0.0, wash, day), None);
    }
}
