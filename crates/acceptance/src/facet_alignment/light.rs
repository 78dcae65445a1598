//! What misaligned facets cost in light: the share of each facet's spot that misses the aperture of
//! the receiver, against the same facet on its aim point.
//!
//! The spot of a facet is an elliptical Gaussian in the focal plane, σ_r = pσ/cos φ along the radius
//! and σ_t = pσ across (P. Bendt and A. Rabl, Appl. Opt. 20 (1981) 674, from memory), where σ is the
//! one-axis beam error of everything but alignment. Its middle lies where exact reflection of
//! sunlight puts it. A facet of area A sends ρ·G·A·cos(φ/2) on its way.

use quantity::{Angle, Area, Dimension, Irradiance, Length, Ratio};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::geometry::{Bench, Polar, Spot};
use super::spill::{Gaussian, share_within};
use crate::form::{Form, Place, between};
use crate::{Refusal, schema};

/// What has to be known of the dish's light to say what misalignment costs. Where a part is
/// missing, the cost is not worked out; nothing else changes.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Light {
    /// Spread of the reflected light about its middle, one standard deviation on one axis, from
    /// everything but alignment: sun, slope, specularity, focus of the facet, tracking.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub beam_error: Option<String>,
    /// Radius of the receiver's aperture, in the focal plane about the dish axis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub aperture_radius: Option<String>,
    /// Area of one facet's face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub facet_area: Option<String>,
    /// Reflectance of the facets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub reflectance: Option<String>,
    /// Direct irradiance that the cost is worked out for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// Electric power gained for each unit of light more through the aperture. Left out, only light
    /// is counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub efficiency: Option<String>,
}

impl Light {
    /// Whether every part that is given can be read, as a design is checked before it is adopted.
    ///
    /// # Errors
    /// What the calculation would refuse, with the field's path below `light`.
    pub fn check(&self) -> Result<(), Refusal> {
        read(&mut Form::default(), self).map(|_| ())
    }
}

/// The light, read, in SI units.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beam {
    pub(super) sigma: f64,
    pub(super) radius: f64,
    pub(super) area: f64,
    pub(super) reflectance: f64,
    pub(super) irradiance: f64,
    pub(super) efficiency: Option<f64>,
}

/// The light of one facet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Caught {
    /// What the facet sends on its way, W.
    pub(super) sent: f64,
    /// Standard deviations of its spot, m.
    pub(super) sigma: Polar,
    /// Where its spot lies in sunlight, m.
    pub(super) lies: Polar,
    /// Share through the aperture with the spot on the aim point.
    pub(super) aimed: f64,
    /// Share through the aperture as it stands.
    pub(super) now: f64,
}

const SIGMA: Place = between(
    "beam_error",
    "spread of the reflected light without alignment, one axis",
    &[Dimension::Angle],
    (0, 50, "mrad"),
);
const RADIUS: Place = between(
    "aperture_radius",
    "radius of the receiver's aperture",
    &[Dimension::Length],
    (1, 5000, "mm"),
);
const AREA: Place = between("facet_area", "area of a facet", &[Dimension::Area], (0, 200, "m²"));
const REFLECTANCE: Place =
    between("reflectance", "reflectance of the facets", &[Dimension::Ratio], (0, 100, "%"));
const IRRADIANCE: Place =
    between("irradiance", "direct irradiance", &[Dimension::Irradiance], (0, 1500, "W/m²"));
const EFFICIENCY: Place = between(
    "efficiency",
    "electric power for each unit of light through the aperture",
    &[Dimension::Ratio],
    (0, 100, "%"),
);

/// The light as read: what is known, or what is missing.
#[derive(Debug, Clone)]
pub(super) enum Read {
    Known(Beam),
    Lacks(Vec<&'static str>),
}

/// Reads the light, with its fields named below `light`.
pub(super) fn read(form: &mut Form, input: &Light) -> Result<Read, Refusal> {
    form.within("light", |form| {
        let sigma = form.may_above_zero::<Angle>(&SIGMA, input.beam_error.as_deref())?;
        let radius = form.may_above_zero::<Length>(&RADIUS, input.aperture_radius.as_deref())?;
        let area = form.may_above_zero::<Area>(&AREA, input.facet_area.as_deref())?;
        let reflectance =
            form.may_above_zero::<Ratio>(&REFLECTANCE, input.reflectance.as_deref())?;
        let irradiance =
            form.may_above_zero::<Irradiance>(&IRRADIANCE, input.irradiance.as_deref())?;
        let efficiency = form.may_above_zero::<Ratio>(&EFFICIENCY, input.efficiency.as_deref())?;
        if let (Some(sigma), Some(radius), Some(area), Some(reflectance), Some(irradiance)) =
            (sigma, radius, area, reflectance, irradiance)
        {
            let beam = Beam { sigma, radius, area, reflectance, irradiance, efficiency };
            return Ok(Read::Known(beam));
        }
        let needed = [
            (sigma, SIGMA.meaning),
            (radius, RADIUS.meaning),
            (area, AREA.meaning),
            (reflectance, REFLECTANCE.meaning),
            (irradiance, IRRADIANCE.meaning),
        ];
        let lacks = needed.iter().filter(|(value, _)| value.is_none()).map(|(_, name)| *name);
        Ok(Read::Lacks(lacks.collect()))
    })
}

impl Beam {
    /// The light of a facet whose spot lies there in sunlight.
    pub(super) fn caught(&self, focal_length: f64, spot: Spot, aim: Polar, lies: Polar) -> Caught {
        let ray = Bench::focal_plane(focal_length).ray(spot);
        let sigma = Polar { r: ray.p * self.sigma / ray.cos_axis, t: ray.p * self.sigma };
        Caught {
            sent: self.reflectance * self.irradiance * self.area * ray.cos_incidence,
            sigma,
            lies,
            aimed: self.share(sigma, aim),
            now: self.share(sigma, lies),
        }
    }

    /// Share of a spot through the aperture.
    pub(super) fn share(&self, sigma: Polar, at: Polar) -> f64 {
        share_within(self.radius, Gaussian { middle: (at.r, at.t), sigma: (sigma.r, sigma.t) })
    }
}

impl Caught {
    /// Light that the misalignment costs, W; less than zero where the facet gains by it.
    pub(super) fn lost(&self) -> f64 {
        self.sent * (self.aimed - self.now)
    }
}
