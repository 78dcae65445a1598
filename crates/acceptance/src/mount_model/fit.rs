//! The fit of the terms, and which of them the readings can tell apart.

use libm::{cos, sin, sqrt};

use super::input::Term;
use super::read::{Reading, Survey};
use crate::Refusal;
use crate::stats::{Fit, NoFit, count, least_squares, student_t_quantile};

/// What a term comes to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub(super) term: Term,
    /// In rad.
    pub(super) value: f64,
    pub(super) error: f64,
    /// Condition index of the direction in which it is softest, and its share in that direction.
    pub(super) softest: (f64, f64),
}

/// What is left of a reading, in rad.
#[derive(Debug, Clone, Copy)]
pub(super) struct Left {
    pub(super) reading: Reading,
    pub(super) before: (f64, f64),
    pub(super) across: f64,
    pub(super) up: f64,
    /// The larger of the two residuals over its own standard deviation; none where the reading is
    /// not fitted.
    pub(super) standardised: Option<f64>,
}

impl Left {
    pub(super) fn size(&self) -> f64 {
        sqrt(self.across * self.across + self.up * self.up)
    }
}

/// The fitted model.
#[derive(Debug)]
pub(super) struct Model {
    pub(super) terms: Vec<Found>,
    pub(super) fit: Fit,
    /// s of unit weight, rad.
    pub(super) s: f64,
    /// Equations less terms.
    pub(super) freedom: f64,
    /// t for a two-sided 95 %.
    pub(super) t: f64,
    /// Condition number with every column scaled to length 1.
    pub(super) scaled_condition: f64,
    pub(super) left: Vec<Left>,
    /// Over the fitted readings, both axes together.
    pub(super) before: f64,
    pub(super) after: f64,
    /// Lowest and highest elevation fitted.
    pub(super) elevations: (f64, f64),
}

/// The two equations of a direction, for ΔA·cos E and for ΔE.
pub(super) fn equations(terms: &[Term], azimuth: f64, elevation: f64) -> [Vec<f64>; 2] {
    let (s, c) = (sin(elevation), cos(elevation));
    let across = |term: &Term| match term {
        Term::AzimuthZero => c,
        Term::Collimation => 1.0,
        Term::Squareness => s,
        Term::TiltNorth => sin(azimuth) * s,
        Term::TiltEast => -cos(azimuth) * s,
        Term::ElevationZero | Term::Sag => 0.0,
    };
    let up = |term: &Term| match term {
        Term::ElevationZero => 1.0,
        Term::TiltNorth => cos(azimuth),
        Term::TiltEast => sin(azimuth),
        Term::Sag => c,
        Term::AzimuthZero | Term::Collimation | Term::Squareness => 0.0,
    };
    [terms.iter().map(across).collect(), terms.iter().map(up).collect()]
}

/// The sum of the products of two lists.
pub(super) fn dot(row: &[f64], values: &[f64]) -> f64 {
    row.iter().zip(values).map(|(a, b)| a * b).sum()
}

/// Fits the terms.
pub(super) fn fit(survey: &Survey) -> Result<Model, Refusal> {
    let terms = &survey.terms;
    let (mut rows, mut values) = (Vec::new(), Vec::new());
    for reading in survey.fitted() {
        let root = sqrt(reading.weight);
        let before = before(reading);
        let both = equations(terms, reading.azimuth, reading.elevation);
        for (row, value) in both.into_iter().zip([before.0, before.1]) {
            rows.push(row.into_iter().map(|x| root * x).collect::<Vec<f64>>());
            values.push(root * value);
        }
    }
    let found = least_squares(&rows, &values).map_err(|no| refusal(terms, no))?;
    let scaled = scaled(&rows, &values, terms)?;
    let freedom = count(rows.len()) - count(terms.len());
    let s = sqrt(found.variance(rows.len()));
    let left = left(survey, &found, s);
    let rms = |square: &dyn Fn(&Left) -> f64| {
        let fitted = left.iter().filter(|left| left.standardised.is_some());
        sqrt(fitted.map(square).sum::<f64>() / survey.count())
    };
    let (before, after) = (
        rms(&|left| left.before.0 * left.before.0 + left.before.1 * left.before.1),
        rms(&|left| left.size() * left.size()),
    );
    let elevations = survey.fitted().map(|r| r.elevation);
    let low = elevations.clone().fold(f64::INFINITY, f64::min);
    let high = elevations.fold(f64::NEG_INFINITY, f64::max);
    Ok(Model {
        terms: terms
            .iter()
            .enumerate()
            .map(|(place, term)| Found {
                term: *term,
                value: found.coefficients.get(place).copied().unwrap_or(f64::NAN),
                error: s * sqrt(found.cofactor(place, place)),
                softest: softest(&scaled, place),
            })
            .collect(),
        s,
        freedom,
        t: student_t_quantile(0.975, freedom).unwrap_or(f64::NAN),
        scaled_condition: scaled.condition(),
        before,
        after,
        left,
        elevations: (low, high),
        fit: found,
    })
}

/// ΔA·cos E and ΔE.
fn before(reading: &Reading) -> (f64, f64) {
    (reading.azimuth_error * cos(reading.elevation), reading.elevation_error)
}

/// The same fit with every column scaled to length 1, for the condition indices.
fn scaled(rows: &[Vec<f64>], values: &[f64], terms: &[Term]) -> Result<Fit, Refusal> {
    let length = |column: usize| {
        sqrt(rows.iter().filter_map(|row| row.get(column)).map(|x| x * x).sum::<f64>())
    };
    let lengths: Vec<f64> = (0..terms.len()).map(length).collect();
    let rows: Vec<Vec<f64>> = rows
        .iter()
        .map(|row| row.iter().zip(&lengths).map(|(x, length)| x / length).collect())
        .collect();
    least_squares(&rows, values).map_err(|no| refusal(terms, no))
}

/// The condition index of the direction that holds most of a term's variance, and that share
/// (variance-decomposition proportion).
fn softest(scaled: &Fit, place: usize) -> (f64, f64) {
    let largest = scaled.singular.iter().copied().fold(0.0, f64::max);
    let whole = scaled.cofactor(place, place);
    scaled
        .singular
        .iter()
        .zip(&scaled.directions)
        .map(|(s, direction)| {
            let part = direction.get(place).copied().unwrap_or(0.0) / s;
            (largest / s, part * part / whole)
        })
        .max_by(|one, other| one.1.total_cmp(&other.1))
        .unwrap_or((f64::NAN, f64::NAN))
}

fn left(survey: &Survey, found: &Fit, s: f64) -> Vec<Left> {
    let mut leverages = found.leverages.iter();
    survey
        .readings
        .iter()
        .map(|reading| {
            let [across, up] = equations(&survey.terms, reading.azimuth, reading.elevation);
            let before = before(reading);
            let across = before.0 - dot(&across, &found.coefficients);
            let up = before.1 - dot(&up, &found.coefficients);
            let standardised = (reading.weight > 0.0).then(|| {
                let mut of = |residual: f64| {
                    let free = (1.0 - leverages.next().copied().unwrap_or(0.0)).max(0.0);
                    sqrt(reading.weight) * residual.abs() / (s * sqrt(free))
                };
                let (one, other) = (of(across), of(up));
                one.max(other)
            });
            Left { reading: *reading, before, across, up, standardised }
        })
        .collect()
}

/// Why there is no fit, with what to do.
fn refusal(terms: &[Term], no: NoFit) -> Refusal {
    match no {
        NoFit::TooFew => Refusal::new(
            "too_few",
            "readings",
            "There are fewer equations than terms.",
            "Take more readings, spread over the sky, or fit fewer terms.",
        ),
        NoFit::Dependent(columns) => {
            let names: Vec<_> = columns
                .iter()
                .filter_map(|column| terms.get(*column))
                .map(|term| term.words())
                .collect();
            let sentence = match names.as_slice() {
                [one] => format!("These readings say nothing of the {one}."),
                several => format!(
                    "These readings can't tell apart: {}. Any of them could stand for the others.",
                    several.join(", ")
                ),
            };
            Refusal::new(
                "cannot_tell_apart",
                "terms",
                sentence,
                "Take readings at more elevations and azimuths, or leave one of these terms out.",
            )
        }
    }
}
