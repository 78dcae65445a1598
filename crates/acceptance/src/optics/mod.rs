//! What the calculations of the concentrator share: the paraboloid, statements of angular errors,
//! a quadrature.

mod angular;
mod paraboloid;
mod quadrature;

pub use angular::{AngularError, Basis, Turned};
pub(crate) use angular::{Scatter, Vague, scatter};
pub(crate) use paraboloid::Paraboloid;
pub(crate) use quadrature::legendre;

/// Mean half-angle of the sun's disc, rad: 4.65 mrad (A. Rabl, Active Solar Collectors, 1985, from
/// memory; the mean semi-diameter of 959.63″ is 4.6524 mrad).
pub(crate) const SUN_HALF_ANGLE: f64 = 4.65e-3;
/// Where that constant comes from.
pub(crate) const SUN_SOURCE: &str = "mean half-angle of the sun's disc, 4.65 mrad: A. Rabl, Active \
                                     Solar Collectors (1985), from memory";
