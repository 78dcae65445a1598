//! Mean with its interval, cleanliness and gain.

use libm::sqrt;

use super::read::{Clean, Mirror, Survey};
use crate::stats::{count, mean, standard_deviation, student_t_quantile};

/// What a list of readings says.
#[derive(Debug, Clone)]
pub(super) struct Sample {
    pub(super) readings: usize,
    /// Facets, or readings where none repeats: what is independent.
    pub(super) clusters: usize,
    pub(super) mean: f64,
    /// Of the readings; not a number below two.
    pub(super) deviation: f64,
    /// Standard error of the mean, from the clusters.
    pub(super) error: f64,
    /// t for the confidence and clusters − 1.
    pub(super) t: f64,
    pub(super) lowest: f64,
    pub(super) highest: f64,
}

impl Sample {
    /// Half-width of the interval of the mean.
    pub(super) fn half_width(&self) -> f64 {
        self.t * self.error
    }

    /// Whether spots of one facet stand in the list.
    pub(super) const fn clustered(&self) -> bool {
        self.clusters < self.readings
    }

    /// Deviation of what is independent: of the readings, or that of the facets' means as their
    /// standard error says it.
    pub(super) fn independent_deviation(&self) -> f64 {
        if self.clustered() { self.error * sqrt(count(self.clusters)) } else { self.deviation }
    }
}

/// Looks at a list. The standard error is that of a mean of clusters of any size: u² =
/// m/(m − 1)·Σ(Σ(x − x̄))²/n², which is s²/n where no facet repeats (W. G. Cochran, Sampling
/// Techniques (1977), chapter 9, from memory).
pub(super) fn sample(mirrors: &[Mirror], confidence: f64) -> Sample {
    let values: Vec<f64> = mirrors.iter().map(|mirror| mirror.value).collect();
    let middle = mean(&values);
    let mut sums: Vec<(Option<&str>, f64)> = Vec::new();
    for mirror in mirrors {
        let name = mirror.facet.as_deref();
        match sums.iter_mut().find(|(of, _)| of.is_some() && *of == name) {
            Some((_, sum)) => *sum += mirror.value - middle,
            None => sums.push((name, mirror.value - middle)),
        }
    }
    let m = count(sums.len());
    let squares: f64 = sums.iter().map(|(_, sum)| sum * sum).sum();
    let error =
        if m > 1.0 { sqrt(m / (m - 1.0) * squares) / count(values.len()) } else { f64::NAN };
    Sample {
        readings: values.len(),
        clusters: sums.len(),
        mean: middle,
        deviation: standard_deviation(&values),
        error,
        t: student_t_quantile(0.5 + 0.5 * confidence, m - 1.0).unwrap_or(f64::NAN),
        lowest: values.iter().copied().fold(f64::INFINITY, f64::min),
        highest: values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    }
}

/// Readings that nobody will take.
const TOO_MANY: u32 = 100_000;

/// The smallest number whose interval is no wider than wanted: t·s/√n ≤ E; none within reason.
pub(super) fn needed(deviation: f64, wanted: f64, confidence: f64) -> Option<u32> {
    let enough = |n: u32| {
        let n = f64::from(n);
        student_t_quantile(0.5 + 0.5 * confidence, n - 1.0)
            .is_some_and(|t| t * deviation / sqrt(n) <= wanted * (1.0 + 1e-12))
    };
    let (mut low, mut high) = (1, 2);
    while !enough(high) {
        if high > TOO_MANY {
            return None;
        }
        low = high;
        high *= 2;
    }
    while high - low > 1 {
        let middle = u32::midpoint(low, high);
        if enough(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

/// How the mean rose by the wash.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gain {
    pub(super) value: f64,
    pub(super) error: f64,
    pub(super) t: f64,
    /// Degrees of freedom.
    pub(super) freedom: f64,
    /// The same places before and after, each with its own difference.
    pub(super) paired: bool,
}

/// Everything that was found.
#[derive(Debug)]
pub(super) struct Found {
    pub(super) all: Sample,
    pub(super) groups: Vec<(String, Sample)>,
    pub(super) before: Option<Sample>,
    pub(super) gain: Option<Gain>,
    /// Of the clean mirror, with its standard uncertainty where it is known.
    pub(super) clean: Option<(f64, Option<f64>)>,
    pub(super) clean_sample: Option<Sample>,
    /// Standard uncertainty of the instrument at the mean.
    pub(super) instrument: Option<f64>,
}

/// Looks at a survey.
pub(super) fn measure(survey: &Survey) -> Found {
    let of = |mirrors: &[Mirror]| sample(mirrors, survey.confidence);
    let all = of(&survey.readings);
    let mut groups: Vec<(String, Vec<Mirror>)> = Vec::new();
    for mirror in &survey.readings {
        let Some(name) = &mirror.group else { continue };
        match groups.iter_mut().find(|(of, _)| of == name) {
            Some((_, members)) => members.push(mirror.clone()),
            None => groups.push((name.clone(), vec![mirror.clone()])),
        }
    }
    let before = (!survey.before.is_empty()).then(|| of(&survey.before));
    let clean_sample = match &survey.clean {
        Some(Clean::Readings(readings)) => Some(of(readings)),
        _ => None,
    };
    let clean = match (&survey.clean, &clean_sample) {
        (Some(Clean::Reference(value, doubt)), _) => {
            Some((*value, doubt.as_ref().map(|doubt| doubt.of(*value))))
        }
        (_, Some(sample)) => Some((sample.mean, sample.error.is_finite().then_some(sample.error))),
        _ => None,
    };
    Found {
        instrument: survey.instrument.as_ref().map(|stated| stated.of(all.mean)),
        gain: before.as_ref().map(|before| gain(survey, before, &all)),
        groups: groups.into_iter().map(|(name, members)| (name, of(&members))).collect(),
        all,
        before,
        clean,
        clean_sample,
    }
}

impl Found {
    /// Standard uncertainty of the mean: scatter, and the instrument where it is stated.
    pub(super) fn mean_doubt(&self) -> Option<f64> {
        let instrument = self.instrument.unwrap_or(0.0);
        let error = self.all.error;
        error.is_finite().then(|| sqrt(error * error + instrument * instrument))
    }

    /// Mean over that of the clean mirror.
    pub(super) fn cleanliness(&self) -> Option<f64> {
        self.clean.map(|(clean, _)| self.all.mean / clean)
    }

    /// Its standard uncertainty: u_χ/χ = √((u_ρ/ρ)² + (u_c/ρ_c)²). An error that the instrument
    /// makes on both alike falls out where the clean spots were read by it too.
    pub(super) fn cleanliness_doubt(&self) -> Option<f64> {
        let (clean, u_clean) = self.clean?;
        let of_mean = match self.clean_sample {
            Some(_) => self.all.error,
            None => self.mean_doubt()?,
        };
        let (one, other) = (of_mean / self.all.mean, u_clean? / clean);
        let u = self.all.mean / clean * sqrt(one * one + other * other);
        u.is_finite().then_some(u)
    }
}

/// The gain: the mean of the differences where both lists name the same places, else the
/// difference of the means with Welch's degrees of freedom (B. L. Welch, Biometrika 34 (1947) 28).
fn gain(survey: &Survey, before: &Sample, after: &Sample) -> Gain {
    if let Some(differences) = pairs(&survey.before, &survey.readings) {
        let paired = sample(&differences, survey.confidence);
        return Gain {
            value: paired.mean,
            error: paired.error,
            t: paired.t,
            freedom: count(paired.clusters) - 1.0,
            paired: true,
        };
    }
    let (one, other) = (before.error * before.error, after.error * after.error);
    let freedom = (one + other) * (one + other)
        / (one * one / (count(before.clusters) - 1.0)
            + other * other / (count(after.clusters) - 1.0));
    Gain {
        value: after.mean - before.mean,
        error: sqrt(one + other),
        t: student_t_quantile(0.5 + 0.5 * survey.confidence, freedom).unwrap_or(f64::NAN),
        freedom,
        paired: false,
    }
}

/// The differences after less before, place by place; none unless both name the same places, each
/// once.
fn pairs(before: &[Mirror], after: &[Mirror]) -> Option<Vec<Mirror>> {
    let key = |mirror: &Mirror| {
        (mirror.facet.is_some() || mirror.spot.is_some())
            .then(|| (mirror.facet.clone(), mirror.spot.clone()))
    };
    let sorted = |list: &[Mirror]| -> Option<Vec<_>> {
        let mut keys = list.iter().map(key).collect::<Option<Vec<_>>>()?;
        keys.sort();
        let long = keys.len();
        keys.dedup();
        (keys.len() == long).then_some(keys)
    };
    if sorted(before)? != sorted(after)? {
        return None;
    }
    after
        .iter()
        .map(|mirror| {
            let other = before.iter().find(|other| key(other) == key(mirror))?;
            Some(Mirror { value: mirror.value - other.value, ..mirror.clone() })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mirrors(rows: &[(&str, f64)]) -> Vec<Mirror> {
        rows.iter()
            .map(|(facet, value)| Mirror {
                facet: Some((*facet).to_owned()),
                spot: None,
                group: None,
                value: *value,
            })
            .collect()
    }

    /// Clusters of one size: the standard error is that of the facets' means (worked out by hand:
    /// means 0.90, 0.92, 0.88, s 0.02).
    #[test]
    fn spots_of_one_facet_count_once() {
        let list = mirrors(&[
            ("a", 0.89),
            ("a", 0.91),
            ("b", 0.92),
            ("b", 0.92),
            ("c", 0.87),
            ("c", 0.89),
        ]);
        let found = sample(&list, 0.95);
        assert_eq!((found.readings, found.clusters), (6, 3));
        assert!((found.error - 0.02 / 3.0_f64.sqrt()).abs() < 1e-12);
        assert!((found.t - 4.302_653).abs() < 1e-6);
        assert!((found.independent_deviation() - 0.02).abs() < 1e-12);
    }

    /// n by iteration of t: 9, 18, 18, 99 (SciPy 1.17.1 `stats.t.ppf` in a loop).
    #[test]
    fn numbers_needed() {
        for (s, e, n) in
            [(0.006, 0.005, 9), (0.006, 0.003, 18), (0.010, 0.005, 18), (0.010, 0.002, 99)]
        {
            assert_eq!(needed(s, e, 0.95), Some(n), "{s} {e}");
        }
        assert_eq!(needed(0.0, 0.001, 0.95), Some(2));
        assert_eq!(needed(0.1, 1e-6, 0.95), None);
    }
}
