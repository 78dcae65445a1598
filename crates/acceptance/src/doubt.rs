//! What is known of an instrument, and how the doubts of several combine into that of a result.
//!
//! Sources: JCGM 100:2008 (GUM) 4.3 for the standard uncertainty of a statement; 5.1.2 for the
//! combination to first order of independent inputs, with sensitivities by central differences
//! (5.1.3, note 2).

use std::fmt::Display;

use quantity::{Bound, Dimension, Field, StandardUncertainty, significant};
use rust_decimal::prelude::ToPrimitive;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::form::{Form, free};
use crate::pressure_decay::Distribution;
use crate::{Combined, DoubtLine, Refusal, schema};

/// What is stated about a measurement: in its own unit, or in percent of what it shows.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Statement {
    /// The size with its unit, without sign.
    #[schemars(schema_with = "schema::statement")]
    pub value: String,
    /// How the size is meant.
    pub distribution: Distribution,
    /// Coverage factor; needed for `expanded` and for nothing else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub coverage_factor: Option<String>,
}

/// A statement, read.
#[derive(Debug, Clone)]
pub(crate) struct Stated {
    /// The standard uncertainty: in the SI unit, or as a fraction where `relative`.
    standard: f64,
    relative: bool,
    /// The statement in words.
    pub(crate) text: String,
}

impl Stated {
    /// The standard uncertainty of a value, in its SI unit.
    pub(crate) fn of(&self, value: f64) -> f64 {
        if self.relative { self.standard * value.abs() } else { self.standard }
    }

    /// Whether it was stated in percent of what the instrument shows.
    pub(crate) const fn relative(&self) -> bool {
        self.relative
    }
}

/// Reads a statement that may be absent. `dimensions` are those of the measurement's own
/// differences; percent of the reading is always allowed, and for a ratio means percent of the
/// reading too; a bare number is then the ratio itself, as 0.003 for ±0.003.
pub(crate) fn stated(
    form: &mut Form,
    field: &'static str,
    meaning: &'static str,
    dimensions: &'static [Dimension],
    statement: Option<&Statement>,
) -> Result<Option<Stated>, Refusal> {
    let Some(statement) = statement else { return Ok(None) };
    let place = free(field, meaning, dimensions);
    let percent = quantity::parse(&statement.value, &Field::of(Dimension::Ratio))
        .ok()
        .filter(|reading| !reading.unit_text().trim().is_empty() && reading.unit().symbol() != "1");
    let (size, relative, shown) = match percent {
        Some(reading) => (number(reading.base()), true, reading.to_string()),
        None => {
            let Some(reading) = form.optional(&place, Some(&statement.value))? else {
                return Ok(None);
            };
            form.inputs.pop();
            (number(reading.base()), false, reading.to_string())
        }
    };
    if size.is_nan() || size < 0.0 {
        return Err(form.refuse(
            "out_of_range",
            field,
            format!("The {meaning} is not a size: “{}”.", statement.value),
            "Type the number without sign, such as 0.5 % for ±0.5 %.",
        ));
    }
    let factor = statement.coverage_factor.as_deref();
    let (standard, text) =
        meant(&form.path(field), meaning, (size, &shown), statement.distribution, factor)?;
    form.show(field, meaning, &text);
    Ok(Some(Stated { standard: standard.value(), relative, text }))
}

fn number(decimal: quantity::Decimal) -> f64 {
    decimal.to_f64().unwrap_or(f64::NAN)
}

/// A size as it is meant: its standard uncertainty, and the statement in words. The size stands
/// beside the text that was typed; `field` is its whole path.
pub(crate) fn meant(
    field: &str,
    meaning: &str,
    (size, shown): (f64, &dyn Display),
    distribution: Distribution,
    factor: Option<&str>,
) -> Result<(StandardUncertainty, String), Refusal> {
    let k = coverage(field, meaning, distribution, factor)?;
    Ok(match distribution {
        Distribution::Rectangular => {
            (StandardUncertainty::rectangular(size), format!("±{shown}, rectangular (/√3)"))
        }
        Distribution::Triangular => {
            (StandardUncertainty::triangular(size), format!("±{shown}, triangular (/√6)"))
        }
        Distribution::Standard => {
            (StandardUncertainty::standard(size), format!("{shown}, standard uncertainty"))
        }
        Distribution::Expanded => {
            (StandardUncertainty::expanded(size, k), format!("{shown}, expanded with k = {k}"))
        }
    })
}

/// The coverage factor of an expanded uncertainty; 1 for any other, which must not have one.
pub(crate) fn coverage(
    field: &str,
    meaning: &str,
    distribution: Distribution,
    factor: Option<&str>,
) -> Result<f64, Refusal> {
    let refuse = |sentence: String| {
        Refusal::new(
            "coverage_factor",
            field,
            sentence,
            "Give coverage_factor with an expanded uncertainty, and only there; it is usually 2.",
        )
    };
    match (distribution, factor) {
        (Distribution::Expanded, Some(text)) => {
            let reading = quantity::parse(text, &Field::of(Dimension::Ratio))
                .map_err(|error| refuse(format!("The coverage factor can't be read: {error}.")))?;
            let k = number(reading.base());
            if k > 0.0 && reading.bound() == Bound::Exact {
                Ok(k)
            } else {
                Err(refuse(format!("The coverage factor “{text}” is no number above zero.")))
            }
        }
        (Distribution::Expanded, None) => {
            Err(refuse(format!("The {meaning} is expanded, but by which factor?")))
        }
        (_, Some(_)) => {
            Err(refuse(format!("The {meaning} has a coverage factor but is not expanded.")))
        }
        (_, None) => Ok(1.0),
    }
}

/// An input of a result, with its doubt.
#[derive(Debug, Clone)]
pub(crate) struct Part {
    /// What it is, for people.
    pub(crate) source: String,
    /// What was stated about it.
    pub(crate) statement: String,
    /// Its value, in whatever unit the result is computed from.
    pub(crate) value: f64,
    /// Its standard uncertainty, in the same unit.
    pub(crate) standard: f64,
    /// That unit.
    pub(crate) unit: &'static str,
}

/// The doubt of a result and where it comes from.
#[derive(Debug, Clone)]
pub(crate) struct Budget {
    /// A line for each part.
    pub(crate) lines: Vec<DoubtLine>,
    /// The combined standard uncertainty, in the result's unit.
    pub(crate) standard: f64,
    /// How much the result changes for each unit of each part.
    pub(crate) sensitivities: Vec<f64>,
    unit: &'static str,
}

/// Share of a standard uncertainty by which an input is moved to find its sensitivity.
const STEP: f64 = 0.01;
/// What is taken for the step where an input has no doubt: this share of its size.
const BARE_STEP: f64 = 1e-6;

/// Combines independent parts to first order; `result` computes the result from the parts' values
/// in their order, in `unit`.
pub(crate) fn first_order(
    parts: &[Part],
    unit: &'static str,
    result: impl Fn(&[f64]) -> f64,
) -> Budget {
    let values: Vec<f64> = parts.iter().map(|part| part.value).collect();
    let sensitivities: Vec<f64> = parts
        .iter()
        .enumerate()
        .map(|(place, part)| {
            let step = if part.standard > 0.0 {
                STEP * part.standard
            } else {
                BARE_STEP * part.value.abs().max(1.0)
            };
            let moved = |by: f64| {
                let mut values = values.clone();
                if let Some(value) = values.get_mut(place) {
                    *value += by;
                }
                result(&values)
            };
            (moved(step) - moved(-step)) / (2.0 * step)
        })
        .collect();
    let contributions: Vec<f64> =
        parts.iter().zip(&sensitivities).map(|(part, c)| (part.standard * c).abs()).collect();
    let variance: f64 = contributions.iter().map(|c| c * c).sum();
    let lines = parts
        .iter()
        .zip(&contributions)
        .map(|(part, contribution)| DoubtLine {
            source: part.source.clone(),
            statement: part.statement.clone(),
            standard_uncertainty: significant(part.standard, 4),
            unit: part.unit.to_owned(),
            contribution: significant(*contribution, 4),
            contribution_unit: unit.to_owned(),
            share: if variance > 0.0 {
                format!("{:.1}", 100.0 * contribution * contribution / variance)
            } else {
                "0".to_owned()
            },
            share_of_mass: None,
        })
        .collect();
    Budget { lines, standard: libm::sqrt(variance), sensitivities, unit }
}

impl Budget {
    /// The combined uncertainty as the sheet shows it, for the coverage factor 2.
    pub(crate) fn combined(&self, of: &str) -> Combined {
        Combined {
            of: of.to_owned(),
            standard: significant(self.standard, 3),
            coverage_factor: "2".to_owned(),
            expanded: significant(2.0 * self.standard, 3),
            unit: self.unit.to_owned(),
        }
    }
}

/// Effective degrees of freedom by Welch and Satterthwaite (JCGM 100:2008, G.4.1, eq. G.2b);
/// `freedoms` are those of the contributions, infinite where nothing was estimated from a sample.
pub(crate) fn effective_freedom(contributions: &[f64], freedoms: &[f64]) -> f64 {
    let variance: f64 = contributions.iter().map(|c| c * c).sum();
    let share: f64 = contributions.iter().zip(freedoms).map(|(c, v)| c * c * c * c / v).sum();
    variance * variance / share
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(value: f64, standard: f64) -> Part {
        let (source, statement) = (String::new(), String::new());
        Part { source, statement, value, standard, unit: "1" }
    }

    /// JCGM 100:2008 (GUM) H.1, the end gauge, in nm and mm: l = 50.000 838 mm, contributions 25,
    /// 9.7, 0, 0, 2.9 and 16.6 nm, u 32 nm, 16.7 degrees of freedom. Printed figures carry rounded
    /// intermediates; metrolopy 1.1.1 gives u 31.711 nm and 16.66.
    #[test]
    fn the_end_gauge_of_the_guide() {
        let parts = [
            part(50.000_623e6, 25.0),
            part(215.0, 9.7),
            part(11.5e-6, 1.2e-6),
            part(-0.1, 0.41),
            part(0.0, 0.58e-6),
            part(0.0, 0.029),
        ];
        let budget = first_order(&parts, "nm", |v| match v {
            [standard, difference, alpha, theta, alphas, thetas] => {
                standard + difference - standard * (alphas * theta + alpha * thetas)
            }
            _ => f64::NAN,
        });
        assert!((budget.standard - 31.711).abs() < 0.005, "{}", budget.standard);
        let contributions: Vec<f64> =
            budget.lines.iter().map(|line| line.contribution.parse().unwrap()).collect();
        for (got, printed) in contributions.iter().zip([25.0, 9.7, 0.0, 0.0, 2.9, 16.6]) {
            assert!((got - printed).abs() < 0.08, "{got} for {printed}");
        }
        let infinite = f64::INFINITY;
        let freedom =
            effective_freedom(&contributions, &[18.0, 25.6, infinite, infinite, 50.0, 2.0]);
        assert!((freedom - 16.66).abs() < 0.05, "{freedom}");
        let t = crate::stats::student_t_quantile(0.995, 16.0).unwrap();
        assert!((t - 2.92).abs() < 0.005 && (t * budget.standard - 93.0).abs() < 1.0);
    }

    /// JCGM 100:2008 (GUM) H.2, resistance, reactance and impedance from correlated means: R
    /// 127.732 (0.071), X 219.847 (0.295), Z 254.260 (0.236) Ω.
    #[test]
    fn the_impedance_of_the_guide() {
        let rows = [
            [5.007, 4.994, 5.005, 4.990, 4.999],
            [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
            [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
        ];
        let mean = rows.map(|row| crate::stats::mean(&row));
        let u = rows.map(|row| crate::stats::standard_deviation(&row) / libm::sqrt(5.0));
        let r = |i: usize, j: usize| {
            let products: f64 =
                rows[i].iter().zip(rows[j]).map(|(x, y)| (x - mean[i]) * (y - mean[j])).sum();
            products / 20.0 / (u[i] * u[j])
        };
        for ((i, j), printed) in [((0, 1), -0.36), ((0, 2), 0.86), ((1, 2), -0.65)] {
            assert!((r(i, j) - printed).abs() < 0.005, "{} for {printed}", r(i, j));
        }
        let parts: Vec<Part> = mean.iter().zip(u).map(|(m, u)| part(*m, u)).collect();
        type Result = fn(&[f64]) -> f64;
        let wanted: [(Result, f64, f64); 3] = [
            (|v| v[0] / v[1] * libm::cos(v[2]), 127.732, 0.071),
            (|v| v[0] / v[1] * libm::sin(v[2]), 219.847, 0.295),
            (|v| v[0] / v[1], 254.260, 0.236),
        ];
        for (result, value, doubt) in wanted {
            let budget = first_order(&parts, "Ω", result);
            // The inputs are correlated, so their contributions combine by 5.2.2, eq. 16.
            let c: Vec<f64> = budget.sensitivities.iter().zip(u).map(|(c, u)| c * u).collect();
            let pairs = (0..3).flat_map(|i| (0..3).map(move |j| (i, j)));
            let got = libm::sqrt(pairs.map(|(i, j)| c[i] * c[j] * r(i, j)).sum());
            assert!((result(&mean) - value).abs() < 6e-4, "{} for {value}", result(&mean));
            assert!((got - doubt).abs() < 6e-4, "{got} for {doubt}");
        }
    }
}
