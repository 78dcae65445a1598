//! Statements of angular errors: how large, meant how, and of what.
//!
//! The usual errors of a factor come from here: a radial (two-dimensional) rms is √2 times the rms
//! of one axis, and an error of the mirror's normal turns the light by twice itself. So both have
//! to be stated.

use quantity::Dimension;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::doubt::{Stated, Statement, stated};
use crate::draw::Draw;
use crate::form::{Form, Place};
use crate::pressure_decay::Distribution;
use crate::{Refusal, schema};

/// An angular error as an rms, and how it is meant.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AngularError {
    /// The rms with its unit; 0 mrad where there is none.
    #[schemars(schema_with = "schema::angle")]
    pub value: String,
    /// Along one axis, or in two dimensions together.
    pub basis: Basis,
    /// Of the mirror's normal, or of the reflected light.
    pub of: Turned,
    /// What is known of this value; percent of it, or an angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub doubt: Option<Statement>,
}

/// What an rms of an angle in space counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// One of two axes across each other: the standard deviation on it.
    OneAxis,
    /// Both axes together, √(x² + y²): √2 times the value of one.
    Radial,
}

/// What is turned by an error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Turned {
    /// The normal of the mirror: the light turns by twice the error in the plane of incidence, and
    /// by twice the error times cos(φ/2) across it.
    Normal,
    /// The light itself, counted once.
    Ray,
}

/// An angular error, read.
#[derive(Debug, Clone)]
pub(crate) struct Scatter {
    /// As stated, in rad.
    pub(crate) stated: f64,
    /// Over the standard deviation on one axis: 1 or √2.
    pub(crate) divisor: f64,
    pub(crate) of: Turned,
    /// In words: "1.5 mrad, one axis, of the normal".
    pub(crate) text: String,
    pub(crate) doubt: Option<Vague>,
}

impl Scatter {
    /// The standard deviation on one axis, in rad, of what is turned.
    pub(crate) fn one_axis(&self) -> f64 {
        self.stated / self.divisor
    }
}

/// What is known of a value, ready to be drawn from.
#[derive(Debug, Clone)]
pub(crate) struct Vague {
    pub(crate) stated: Stated,
    distribution: Distribution,
}

impl Vague {
    /// Reads a statement that may be absent.
    pub(crate) fn read(
        form: &mut Form,
        field: &'static str,
        meaning: &'static str,
        dimensions: &'static [Dimension],
        statement: Option<&Statement>,
    ) -> Result<Option<Self>, Refusal> {
        let stated = stated(form, field, meaning, dimensions, statement)?;
        Ok(stated
            .zip(statement)
            .map(|(stated, statement)| Self { stated, distribution: statement.distribution }))
    }

    /// A value drawn about `value`, by the distribution that was stated (JCGM 101:2008, 6.4).
    pub(crate) fn drawn(&self, value: f64, draw: &mut Draw) -> f64 {
        let standard = self.stated.of(value);
        value
            + standard
                * match self.distribution {
                    Distribution::Rectangular => libm::sqrt(12.0) * (draw.even() - 0.5),
                    Distribution::Triangular => libm::sqrt(6.0) * (draw.even() + draw.even() - 1.0),
                    Distribution::Standard | Distribution::Expanded => draw.normal(),
                }
    }
}

/// Reads an angular error, its doubt with it.
pub(crate) fn scatter(
    form: &mut Form,
    place: &Place,
    error: &AngularError,
) -> Result<Option<Scatter>, Refusal> {
    let Some(value) = form.may::<quantity::Angle>(place, Some(&error.value))? else {
        return Ok(None);
    };
    let stated = value.radians();
    let (divisor, basis) = match error.basis {
        Basis::OneAxis => (1.0, "one axis"),
        Basis::Radial => (core::f64::consts::SQRT_2, "radial"),
    };
    let of = match error.of {
        Turned::Normal => "of the normal",
        Turned::Ray => "of the light",
    };
    let text = format!("{}, {basis}, {of}", error.value.trim());
    if let Some(shown) = form.inputs.last_mut() {
        shown.typed.clone_from(&text);
    }
    let doubt = form.within(place.field, |form| {
        Vague::read(form, "doubt", "doubt of this error", &[Dimension::Angle], error.doubt.as_ref())
    })?;
    Ok(Some(Scatter { stated, divisor, of: error.of, text, doubt }))
}
