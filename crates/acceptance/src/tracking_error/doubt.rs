//! How doubtful the statistics are: errors that all readings share, by trials from a seed, and the
//! finite number of samples.

use quantity::significant;

use super::measure::{Found, JUDGED, statistics};
use super::read::{Sample, Survey};
use crate::doubt::Stated;
use crate::draw::Draw;
use crate::pointing::Error;
use crate::stats::standard_deviation;

/// The seed of the trials.
pub(super) const SEED: u64 = 12;

/// A source of doubt, with what it does to each statistic.
#[derive(Debug, Clone)]
pub(super) struct Source {
    pub(super) name: &'static str,
    pub(super) statement: String,
    /// Standard uncertainty as shown, with its unit.
    pub(super) standard: String,
    pub(super) unit: &'static str,
    pub(super) spread: [f64; JUDGED],
}

/// The doubt of the statistics.
#[derive(Debug, Clone)]
pub(super) struct Doubt {
    pub(super) sources: Vec<Source>,
    /// All together, samples included.
    pub(super) all: [f64; JUDGED],
    pub(super) trials: u32,
}

#[derive(Debug, Clone, Copy)]
enum What {
    Azimuth,
    Elevation,
    Offset,
    FocalLength,
    Clock,
}

/// Trials at most, and the work that they may make in samples.
const MOST: usize = 2_000;
const LEAST: usize = 200;
const WORK: usize = 500_000;

/// The doubt, where at least one instrument is stated and there is something to judge.
pub(super) fn doubt(survey: &Survey, found: &Found<'_>) -> Option<Doubt> {
    let doubts = &survey.doubts;
    let stated: Vec<(What, &Stated, f64)> = [
        (What::Azimuth, &doubts.azimuth, 0.0),
        (What::Elevation, &doubts.elevation, 0.0),
        (What::Offset, &doubts.offset, 0.0),
        (What::FocalLength, &doubts.focal_length, survey.focal_length.unwrap_or(0.0)),
        (What::Clock, &doubts.clock, 0.0),
    ]
    .into_iter()
    .filter_map(|(what, stated, value)| {
        stated.as_ref().map(|stated| (what, stated, stated.of(value)))
    })
    .collect();
    if stated.is_empty() || found.judged.is_empty() {
        return None;
    }
    let trials = (WORK / found.judged.len()).clamp(LEAST, MOST);
    let mut sources: Vec<Source> = stated
        .iter()
        .map(|&(what, stated, u)| {
            let (name, standard, unit) = shown(what, u);
            let spread = spread(survey, found, &[(what, u)], trials);
            Source { name, statement: stated.text.clone(), standard, unit, spread }
        })
        .collect();
    let each: Vec<(What, f64)> = stated.iter().map(|&(what, _, u)| (what, u)).collect();
    let mut all = spread(survey, found, &each, trials);
    for (all, sampling) in all.iter_mut().zip(found.sampling) {
        *all = libm::sqrt(*all * *all + sampling * sampling);
    }
    sources.push(Source {
        name: "finite number of samples",
        statement: format!("{} independent ones", significant(found.effective, 3)),
        standard: "1".to_owned(),
        unit: "1",
        spread: found.sampling,
    });
    Some(Doubt { sources, all, trials: u32::try_from(trials).unwrap_or(u32::MAX) })
}

fn shown(what: What, u: f64) -> (&'static str, String, &'static str) {
    let degrees = significant(u.to_degrees(), 4);
    match what {
        What::Azimuth => ("azimuth read, shared by all readings", degrees, "°"),
        What::Elevation => ("elevation read, shared by all readings", degrees, "°"),
        What::Offset => ("centre of the target, on each axis", significant(1e3 * u, 4), "mm"),
        What::FocalLength => ("distance of the target", significant(1e3 * u, 4), "mm"),
        What::Clock => ("clock of the readings", significant(u, 4), "s"),
    }
}

/// Standard deviations of the statistics when the sources are drawn.
fn spread(
    survey: &Survey,
    found: &Found<'_>,
    sources: &[(What, f64)],
    trials: usize,
) -> [f64; JUDGED] {
    let mut draw = Draw::new(SEED, 0);
    let mut columns: [Vec<f64>; JUDGED] = core::array::from_fn(|_| Vec::with_capacity(trials));
    for _ in 0..trials {
        let drawn: Vec<(What, f64, f64)> =
            sources.iter().map(|&(what, u)| (what, u * draw.normal(), u * draw.normal())).collect();
        let errors: Vec<Error> =
            found.judged.iter().map(|sample| moved(sample, survey, &drawn)).collect();
        let values = statistics(&errors, survey.share, survey.within).judged();
        for (column, value) in columns.iter_mut().zip(values) {
            column.push(value);
        }
    }
    columns.map(|column| standard_deviation(&column))
}

/// The error of a sample when the instruments are off by what was drawn.
fn moved(sample: &Sample, survey: &Survey, drawn: &[(What, f64, f64)]) -> Error {
    let mut error = sample.error;
    let f = survey.focal_length.unwrap_or(f64::INFINITY);
    for &(what, one, other) in drawn {
        match what {
            What::Azimuth => error.across += sample.cosine.unwrap_or(1.0) * one,
            What::Elevation => error.up += one,
            What::Offset => {
                error.across += one / f;
                error.up += other / f;
            }
            What::FocalLength => {
                error.across *= 1.0 - one / f;
                error.up *= 1.0 - one / f;
            }
            What::Clock => {
                error.across += sample.rate.map_or(0.0, |rate| rate.across) * one;
                error.up += sample.rate.map_or(0.0, |rate| rate.up) * one;
            }
        }
    }
    error
}
