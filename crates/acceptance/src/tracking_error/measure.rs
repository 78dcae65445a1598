//! What the samples say: statistics, how many of them are independent, and the clock that would
//! explain them.

use super::read::{Sample, Survey};
use crate::pointing::Error;
use crate::stats::{count, effective, mean, standard_deviation};

/// Statistics of a set of errors, in rad.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Statistics {
    pub(super) samples: usize,
    pub(super) mean_across: f64,
    pub(super) mean_up: f64,
    /// Standard deviations about the means.
    pub(super) scatter_across: f64,
    pub(super) scatter_up: f64,
    /// About zero.
    pub(super) rms_across: f64,
    pub(super) rms_up: f64,
    pub(super) rms: f64,
    pub(super) median: f64,
    /// Error that the stated share does not exceed.
    pub(super) percentile: f64,
    pub(super) largest: f64,
    /// Share of the samples within the stated error, where one is stated.
    pub(super) share_within: Option<f64>,
}

/// A difference this small against the error that is counted within is rounding.
const ROUNDING: f64 = 1e-10;

/// The smallest of the sorted values that at least a share of them does not exceed.
fn at_share(sorted: &[f64], share: f64) -> f64 {
    // A share of a number of samples may end a digit beyond a whole number.
    let place = libm::ceil(share * count(sorted.len()) - 1e-9).max(1.0);
    let at = |wanted: f64| {
        sorted.iter().zip(1_u32..).find(|(_, place)| f64::from(*place) >= wanted).map(|(v, _)| *v)
    };
    at(place).or_else(|| sorted.last().copied()).unwrap_or(f64::NAN)
}

/// The statistics of errors; `share` is what the percentile holds.
pub(super) fn statistics(errors: &[Error], share: f64, within: Option<f64>) -> Statistics {
    let part = |of: &dyn Fn(&Error) -> f64| errors.iter().map(of).collect::<Vec<f64>>();
    let (across, up) = (part(&|e| e.across), part(&|e| e.up));
    let mut sizes = part(&|e| e.size());
    sizes.sort_by(f64::total_cmp);
    let squares = |values: &[f64]| mean(&values.iter().map(|v| v * v).collect::<Vec<_>>());
    let held = |edge: f64| {
        count(sizes.iter().filter(|size| **size <= edge * (1.0 + ROUNDING)).count())
            / count(sizes.len())
    };
    Statistics {
        samples: errors.len(),
        mean_across: mean(&across),
        mean_up: mean(&up),
        scatter_across: standard_deviation(&across),
        scatter_up: standard_deviation(&up),
        rms_across: libm::sqrt(squares(&across)),
        rms_up: libm::sqrt(squares(&up)),
        rms: libm::sqrt(squares(&sizes)),
        median: at_share(&sizes, 0.5),
        percentile: at_share(&sizes, share),
        largest: sizes.last().copied().unwrap_or(f64::NAN),
        share_within: within.map(held),
    }
}

impl Statistics {
    /// Size of the mean error.
    pub(super) fn mean(&self) -> f64 {
        libm::sqrt(self.mean_across * self.mean_across + self.mean_up * self.mean_up)
    }

    /// RMS of the worse axis.
    pub(super) fn worse(&self) -> f64 {
        self.rms_across.max(self.rms_up)
    }

    /// What can be judged, in the order of [`JUDGED`].
    pub(super) fn judged(&self) -> [f64; JUDGED] {
        [
            self.worse(),
            self.rms,
            self.percentile,
            self.largest,
            self.mean(),
            self.share_within.unwrap_or(f64::NAN),
        ]
    }
}

/// How many statistics can be judged: RMS of the worse axis, RMS, percentile, largest, mean, share.
pub(super) const JUDGED: usize = 6;

/// Everything that was found.
#[derive(Debug)]
pub(super) struct Found<'a> {
    /// The samples that are judged, in the order of time within each run.
    pub(super) judged: Vec<&'a Sample>,
    /// Those at too much wind.
    pub(super) windy: Vec<&'a Sample>,
    /// None when no sample is left to judge.
    pub(super) all: Option<Statistics>,
    /// Each run, and each class of wind, by name.
    pub(super) groups: Vec<(String, Statistics, Option<f64>)>,
    /// Number of independent samples that would say as much, of the axis that has fewer.
    pub(super) effective: f64,
    /// Correlation of a sample with the next, of that axis.
    pub(super) first: f64,
    /// Standard uncertainty that the finite number of samples leaves, in the order of [`JUDGED`];
    /// not a number where there is none.
    pub(super) sampling: [f64; JUDGED],
    pub(super) clock: Option<Clock>,
}

/// The error of the clock that would explain the errors best.
#[derive(Debug, Clone, Copy)]
pub(super) struct Clock {
    /// Seconds.
    pub(super) seconds: f64,
    /// Share of the mean square that it explains.
    pub(super) explained: f64,
    /// Error of a second of clock, root mean square, in rad.
    pub(super) each_second: f64,
}

/// Looks at the samples.
pub(super) fn measure(survey: &Survey) -> Found<'_> {
    let calm = |sample: &&Sample| match (&survey.wind, sample.wind) {
        (Some((most, _)), Some(wind)) => wind <= most * (1.0 + ROUNDING),
        _ => true,
    };
    let (judged, windy): (Vec<&Sample>, Vec<&Sample>) = survey.samples.iter().partition(calm);
    let of = |samples: &[&Sample]| {
        let errors: Vec<Error> = samples.iter().map(|sample| sample.error).collect();
        statistics(&errors, survey.share, survey.within)
    };
    let runs = runs(&judged);
    let mut groups = Vec::new();
    if runs.len() > 1 {
        groups.extend(runs.iter().map(|(name, run)| {
            let name = if name.is_empty() { "no name".to_owned() } else { name.clone() };
            (name, of(run), length(run))
        }));
    }
    if !windy.is_empty() {
        groups.push(("too much wind, not judged".to_owned(), of(&windy), None));
    }
    let all = (!judged.is_empty()).then(|| of(&judged));
    let series = |part: &dyn Fn(&Error) -> f64| -> Vec<Vec<f64>> {
        runs.iter().map(|(_, run)| run.iter().map(|s| part(&s.error)).collect()).collect()
    };
    let axes = [effective(&series(&|e| e.across)), effective(&series(&|e| e.up))];
    let fewer = axes
        .into_iter()
        .min_by(|one, other| one.samples.total_cmp(&other.samples))
        .map_or((f64::NAN, f64::NAN), |axis| (axis.samples, axis.first));
    Found {
        sampling: all
            .as_ref()
            .map_or([f64::NAN; JUDGED], |all| sampling(&judged, all, fewer.0, survey)),
        clock: clock(&judged),
        all,
        groups,
        effective: fewer.0,
        first: fewer.1,
        judged,
        windy,
    }
}

/// The samples of each run, in the order of time where it is known.
fn runs<'a>(samples: &[&'a Sample]) -> Vec<(String, Vec<&'a Sample>)> {
    let mut runs: Vec<(String, Vec<&Sample>)> = Vec::new();
    for sample in samples {
        let name = sample.run.clone().unwrap_or_default();
        match runs.iter_mut().find(|(of, _)| *of == name) {
            Some((_, run)) => run.push(sample),
            None => runs.push((name, vec![sample])),
        }
    }
    for (_, run) in &mut runs {
        if run.iter().all(|sample| sample.at.is_some()) {
            let time = |sample: &&Sample| sample.at.map_or(0.0, |at| at.unix);
            run.sort_by(|one, other| time(one).total_cmp(&time(other)));
        }
    }
    runs
}

/// Seconds from the first to the last sample of a run.
fn length(run: &[&Sample]) -> Option<f64> {
    let (first, last) = (run.first()?.at?, run.last()?.at?);
    Some(last.unix - first.unix)
}

/// Standard uncertainty of each statistic from so many independent samples: of a mean s/√n; of an
/// RMS by that of the mean square; of a share by the binomial; of a percentile by the values one
/// binomial deviation of places to either side.
fn sampling(samples: &[&Sample], all: &Statistics, n: f64, survey: &Survey) -> [f64; JUDGED] {
    let of_square = |part: &dyn Fn(&Error) -> f64, rms: f64| {
        let squares: Vec<f64> = samples.iter().map(|s| part(&s.error) * part(&s.error)).collect();
        if rms > 0.0 { standard_deviation(&squares) / libm::sqrt(n) / (2.0 * rms) } else { 0.0 }
    };
    let worse = if all.rms_across >= all.rms_up {
        of_square(&|e| e.across, all.rms_across)
    } else {
        of_square(&|e| e.up, all.rms_up)
    };
    let mut sizes: Vec<f64> = samples.iter().map(|sample| sample.error.size()).collect();
    sizes.sort_by(f64::total_cmp);
    let step = libm::sqrt(survey.share * (1.0 - survey.share) / n);
    let percentile = 0.5
        * (at_share(&sizes, (survey.share + step).min(1.0))
            - at_share(&sizes, survey.share - step));
    let scatter =
        libm::sqrt(all.scatter_across * all.scatter_across + all.scatter_up * all.scatter_up);
    let share = all.share_within.map_or(f64::NAN, |p| libm::sqrt(p * (1.0 - p) / n));
    [worse, of_square(&|e| e.size(), all.rms), percentile, 0.0, scatter / libm::sqrt(n), share]
}

/// Fits e = v·τ to the errors, v being how fast the sun goes.
fn clock(samples: &[&Sample]) -> Option<Clock> {
    let (mut both, mut rates, mut errors) = (0.0, 0.0, 0.0);
    for sample in samples {
        let (rate, error) = (sample.rate?, sample.error);
        both += error.across * rate.across + error.up * rate.up;
        rates += rate.across * rate.across + rate.up * rate.up;
        errors += error.size() * error.size();
    }
    (rates > 0.0 && errors > 0.0).then(|| Clock {
        seconds: both / rates,
        explained: both * both / (rates * errors),
        each_second: libm::sqrt(rates / count(samples.len())),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The set of the trade sheet for facets, 2-D: RMS x 0.561, y 0.339, both 0.656, largest 0.9
    /// (worked out by hand).
    #[test]
    fn four_errors_by_hand() {
        let errors: Vec<Error> = [(0.3, -0.4), (0.6, 0.2), (-0.9, 0.1), (0.0, 0.5)]
            .map(|(across, up)| Error { across, up })
            .to_vec();
        let found = statistics(&errors, 0.75, Some(0.5));
        let near =
            |got: f64, expected: f64| assert!((got - expected).abs() < 6e-4, "{got} {expected}");
        near(found.rms_across, 0.561);
        near(found.rms_up, 0.339);
        near(found.rms, 0.656);
        near(found.largest, 0.9055);
        near(found.percentile, 0.6325);
        near(found.median, 0.5);
        near(found.share_within.unwrap(), 0.5);
        near(found.mean_across, 0.0);
        near(found.mean_up, 0.1);
    }

    #[test]
    fn a_share_counts_whole_samples() {
        let hundred: Vec<f64> = (1..=100).map(f64::from).collect();
        for (share, expected) in
            [(0.07, 7.0), (0.95, 95.0), (0.951, 96.0), (1.0, 100.0), (0.001, 1.0)]
        {
            assert!((at_share(&hundred, share) - expected).abs() < 1e-12, "{share}");
        }
    }
}
