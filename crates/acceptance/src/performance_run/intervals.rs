//! Samples to intervals, and which of them count.
//!
//! An interval is a whole multiple of its length since the epoch, by true time. It counts when
//! irradiance and power cover it to its ends, too little is missing, and irradiance and wind are
//! within the limits. Missing values are left out of means and counted; nothing is filled in.

use std::collections::BTreeMap;

use quantity::significant;

use super::read::Run;
use super::samples::Channel;
use crate::stats::count;

/// What a channel shows in an interval.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Stats {
    /// Steps that the interval has.
    pub(crate) steps: usize,
    /// Samples in it, missing ones included.
    pub(crate) present: usize,
    /// Values in it.
    pub(crate) valid: usize,
    sum: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
}

impl Stats {
    /// Takes a sample in; none when it is missing.
    pub(crate) fn take(&mut self, value: Option<f64>) {
        self.present += 1;
        let Some(value) = value else { return };
        (self.low, self.high) = match self.valid {
            0 => (value, value),
            _ => (self.low.min(value), self.high.max(value)),
        };
        self.valid += 1;
        self.sum += value;
    }

    /// The mean of the values; none without one.
    pub(crate) fn mean(&self) -> Option<f64> {
        (self.valid > 0).then(|| self.sum / count(self.valid))
    }

    /// Steps without a value.
    pub(crate) const fn missing(&self) -> usize {
        self.steps.saturating_sub(self.valid)
    }

    /// Share of the steps without a value.
    pub(crate) fn missing_share(&self) -> f64 {
        count(self.missing()) / count(self.steps.max(1))
    }
}

/// An interval.
#[derive(Debug, Clone)]
pub(super) struct Interval {
    /// Unix seconds.
    pub(super) start: i64,
    pub(super) irradiance: Stats,
    pub(super) power: Stats,
    pub(super) ambient: Stats,
    pub(super) wind: Stats,
    /// Whether irradiance and power reach to its ends.
    pub(super) covered: bool,
    /// Expected output in kW with the reflectance as measured, and with the reference one.
    pub(super) expected: Option<[f64; 2]>,
    /// Why it does not count; empty when it does.
    pub(super) reasons: Vec<String>,
}

impl Interval {
    pub(super) const fn used(&self) -> bool {
        self.reasons.is_empty()
    }

    /// Mean power in kW.
    pub(super) fn kilowatts(&self) -> Option<f64> {
        self.power.mean().map(|watts| watts / 1e3)
    }
}

/// All intervals between the ends of irradiance and power.
#[derive(Debug)]
pub(super) struct Intervals {
    pub(super) list: Vec<Interval>,
    /// Mean of the survey, as a fraction.
    pub(super) rho: f64,
    /// Steps of irradiance and power without a value, in the intervals covered, and all steps.
    pub(super) missing: (usize, usize),
}

impl Intervals {
    /// The intervals that count.
    pub(super) fn used(&self) -> impl Iterator<Item = &Interval> {
        self.list.iter().filter(|interval| interval.used())
    }

    /// The share missing over the run.
    pub(super) fn missing_share(&self) -> f64 {
        count(self.missing.0) / count(self.missing.1.max(1))
    }

    /// The mean over the intervals that count.
    pub(super) fn mean(&self, of: impl Fn(&Interval) -> Option<f64>) -> Option<f64> {
        let values: Vec<f64> = self.used().filter_map(of).collect();
        (!values.is_empty()).then(|| values.iter().sum::<f64>() / count(values.len()))
    }

    /// The sum over the intervals that count.
    pub(super) fn sum(&self, of: impl Fn(&Interval) -> Option<f64>) -> f64 {
        self.used().filter_map(of).sum()
    }
}

/// What a channel shows in every interval of a length in seconds, by its number since the epoch.
pub(crate) fn by_interval(channel: &Channel, length: i64) -> BTreeMap<i64, Stats> {
    let steps = usize::try_from(length / channel.step).unwrap_or(0);
    let mut intervals: BTreeMap<i64, Stats> = BTreeMap::new();
    for sample in &channel.samples {
        let slot = channel.slot(sample, length);
        intervals.entry(slot).or_insert(Stats { steps, ..Stats::default() }).take(sample.value);
    }
    intervals
}

/// Puts the samples into intervals and says which count.
pub(super) fn intervals(run: &Run) -> Intervals {
    let length = run.limits.interval_length;
    let [irradiance, power, ambient, wind] =
        [&run.irradiance, &run.power, &run.ambient, &run.wind].map(|c| by_interval(c, length));
    let rho = run.reflectance.iter().sum::<f64>() / count(run.reflectance.len().max(1));
    let first = irradiance.keys().next().max(power.keys().next());
    let last = match (irradiance.keys().next_back(), power.keys().next_back()) {
        (Some(one), Some(other)) => Some(one.min(other)),
        _ => None,
    };
    let mut all = Intervals { list: Vec::new(), rho, missing: (0, 0) };
    let (Some(first), Some(last)) = (first, last) else { return all };
    // Series of different days have no interval in common; those of a day have few.
    if irradiance.is_empty() || power.is_empty() || last - first > 86_400 {
        return all;
    }
    for slot in *first..=*last {
        let of = |channel: &Channel, stats: &BTreeMap<i64, Stats>| {
            let steps = usize::try_from(length / channel.step).unwrap_or(0);
            stats.get(&slot).copied().unwrap_or(Stats { steps, ..Stats::default() })
        };
        let mut interval = Interval {
            start: slot * length,
            irradiance: of(&run.irradiance, &irradiance),
            power: of(&run.power, &power),
            ambient: of(&run.ambient, &ambient),
            wind: of(&run.wind, &wind),
            covered: true,
            expected: None,
            reasons: Vec::new(),
        };
        let at_an_end = slot == *first || slot == *last;
        let short = |stats: &Stats| stats.present < stats.steps;
        if at_an_end && (short(&interval.irradiance) || short(&interval.power)) {
            interval.covered = false;
            interval.reasons.push("the series do not reach to its ends".into());
        } else {
            weigh(run, rho, &mut interval);
            let both = [&interval.irradiance, &interval.power];
            all.missing.0 += both.iter().map(|stats| stats.missing()).sum::<usize>();
            all.missing.1 += both.iter().map(|stats| stats.steps).sum::<usize>();
        }
        all.list.push(interval);
    }
    all
}

/// Says whether an interval counts, and what was to be expected in it.
fn weigh(run: &Run, rho: f64, interval: &mut Interval) {
    let limits = &run.limits;
    let mut reasons = Vec::new();
    for (name, stats) in [
        ("irradiance", &interval.irradiance),
        ("power", &interval.power),
        ("air temperature", &interval.ambient),
        ("wind", &interval.wind),
    ] {
        if stats.present > stats.steps {
            reasons.push(format!("{name}: more values than steps"));
        } else if stats.missing_share() > limits.missing.value {
            reasons.push(format!("{name}: {} of {} missing", stats.missing(), stats.steps));
        }
    }
    if let Some(mean) = interval.irradiance.mean() {
        let (low, high) = (interval.irradiance.low, interval.irradiance.high);
        if low < limits.irradiance.value {
            reasons.push(format!(
                "irradiance down to {} W/m², limit {}",
                significant(low, 4),
                limits.irradiance.text
            ));
        }
        let change = (high - mean).max(mean - low) / mean;
        if change.is_nan() || change > limits.irradiance_change.value {
            reasons.push(format!(
                "irradiance changes by {} %, limit {}",
                significant(100.0 * change, 3),
                limits.irradiance_change.text
            ));
        }
    }
    if let Some(wind) = interval.wind.mean()
        && wind > limits.wind.value
    {
        reasons.push(format!("wind {} m/s, limit {}", significant(wind, 3), limits.wind.text));
    }
    if let (Some(irradiance), Some(ambient)) = (interval.irradiance.mean(), interval.ambient.mean())
    {
        let at = |rho: f64| run.model.expected(irradiance, ambient, rho);
        let expected = [at(rho), at(run.model.rho_ref)];
        if expected.iter().all(|kilowatts| *kilowatts > 0.0) {
            interval.expected = Some(expected);
        } else {
            reasons.push("the expected output is not above zero".into());
        }
    }
    interval.reasons = reasons;
}
