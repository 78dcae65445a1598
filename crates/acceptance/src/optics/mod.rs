//! What the calculations of the concentrator share: the paraboloid, statements of angular errors,
//! a quadrature.

mod angular;
mod paraboloid;
mod quadrature;

pub use angular::{AngularError, Basis, Turned};
pub(crate) use angular::{Scatter, Vague, scatter};
pub(crate) use paraboloid::Paraboloid;
pub(crate) use quadrature::legendre;

use quantity::Si;

use crate::Refusal;
use crate::form::{Form, Place};

/// Mean half-angle of the sun's disc, rad: 4.65 mrad (A. Rabl, Active Solar Collectors, 1985, from
/// memory; the mean semi-diameter of 959.63″ is 4.6524 mrad).
pub(crate) const SUN_HALF_ANGLE: f64 = 4.65e-3;
/// Where that constant comes from.
pub(crate) const SUN_SOURCE: &str = "mean half-angle of the sun's disc, 4.65 mrad: A. Rabl, Active \
                                     Solar Collectors (1985), from memory";

/// The number of a text that may be absent, in SI; zero and less are refused.
pub(crate) fn may_above_zero<Q: Si>(
    form: &mut Form,
    place: &Place,
    text: Option<&str>,
) -> Result<Option<f64>, Refusal> {
    let value = form.may::<Q>(place, text)?.map(Q::si);
    match value {
        Some(value) if value.is_nan() || value <= 0.0 => Err(form.refuse(
            "out_of_range",
            place.field,
            format!("The {} is not more than zero.", place.meaning),
            "Type a value above zero.",
        )),
        value => Ok(value),
    }
}

/// The same of a text that is needed; its absence is noted.
pub(crate) fn above_zero<Q: Si>(
    form: &mut Form,
    place: &Place,
    text: Option<&str>,
) -> Result<Option<f64>, Refusal> {
    if text.is_none() {
        form.miss(place.field, place.meaning);
    }
    may_above_zero::<Q>(form, place, text)
}

/// A whole number of a text that may be absent, between two bounds.
pub(crate) fn may_count(
    form: &mut Form,
    (field, meaning): (&'static str, &'static str),
    (low, high): (u32, u32),
    text: Option<&str>,
) -> Result<Option<u32>, Refusal> {
    let Some(text) = text else { return Ok(None) };
    form.show(field, meaning, text);
    match text.trim().parse::<u32>() {
        Ok(count) if (low..=high).contains(&count) => Ok(Some(count)),
        _ => Err(form.refuse(
            "out_of_range",
            field,
            format!("“{text}” can't be the {meaning}."),
            format!("Type a whole number from {low} to {high}."),
        )),
    }
}
