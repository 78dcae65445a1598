//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::doubt::Statement;
use crate::optics::AngularError;
use crate::{StatedLimit, schema};

/// What the calculation takes: an ideal whole dish, or facets; never both.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// From vertex to focus, of the dish.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub focal_length: Option<String>,
    /// An ideal whole paraboloid instead of facets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WholeDish")]
    pub dish: Option<WholeDish>,
    /// Every facet of the dish.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<MirrorFacet>")]
    pub facets: Option<Vec<MirrorFacet>>,
    /// Errors that all mirrors have. Facets may state their own slope and scatter instead.
    #[serde(default)]
    pub errors: MirrorErrors,
    /// The sun. Left out, an even disc of 4.65 mrad.
    #[serde(default)]
    pub sun: Sun,
    /// Fixed pointing error of the whole dish. Left out, none.
    #[serde(default)]
    pub pointing: Pointing,
    /// Diameter of the receiver's aperture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub receiver_diameter: Option<String>,
    /// Where the middle of the aperture lies beside the axis. Left out, on it.
    #[serde(default)]
    pub receiver_offset: Offset,
    /// Distance of the plane from the focus, positive away from the mirror. Left out, the focal
    /// plane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub plane_distance: Option<String>,
    /// The body behind the aperture that shades the mirror. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "ReceiverBody")]
    pub receiver_body: Option<ReceiverBody>,
    /// Width of the map. Left out, twice the diameter of the aperture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub map_width: Option<String>,
    /// Direct normal irradiance, for heat and kW/m².
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// Reflectance of the mirrors as they are, weighted with the sun's spectrum.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub reflectance: Option<String>,
    /// How many rays, at most 20 million. Left out, 100 000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub rays: Option<String>,
    /// Seed of the draws; the same seed gives the same result. Left out, 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub seed: Option<String>,
    /// Least intercept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// What is known beyond the draws.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// An ideal whole paraboloid.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WholeDish {
    /// Diameter, rim to rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub aperture_diameter: Option<String>,
    /// Diameter of the middle without mirror. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub inner_diameter: Option<String>,
}

/// A facet: where it is, how large, how curved, and how it is set.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MirrorFacet {
    /// Its name, as `R09/F14`.
    pub facet: String,
    /// The rack that it is fitted on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub rack: Option<String>,
    /// Distance of its middle from the dish axis.
    #[schemars(schema_with = "schema::length")]
    pub radius: String,
    /// Bearing of its middle, clockwise from up, seen from the focus.
    #[schemars(schema_with = "schema::angle")]
    pub bearing: String,
    /// Across the radius; with the height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub width: Option<String>,
    /// Along the radius; with the width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub height: Option<String>,
    /// Area instead of width and height; taken as a square.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub area: Option<String>,
    /// Radius of curvature of a spherical facet. Left out with the focal length, it is a piece of the
    /// dish's paraboloid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub radius_of_curvature: Option<String>,
    /// Focal length of a spherical facet, half of its radius of curvature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub focal_length: Option<String>,
    /// Where on the focal plane its light goes by design: to the right. Left out, the axis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub aim_x: Option<String>,
    /// The same, upward.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub aim_y: Option<String>,
    /// Error of its normal to the right, from the alignment survey. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub tilt_x: Option<String>,
    /// The same, upward.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub tilt_y: Option<String>,
    /// Its own slope error, instead of that of all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub slope: Option<AngularError>,
    /// Its own scatter, instead of that of all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub specularity: Option<AngularError>,
    /// Whether it sends light. Left out, it does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FacetUse")]
    pub state: Option<FacetUse>,
}

/// Whether a facet sends light.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FacetUse {
    /// It reflects.
    Reflecting,
    /// Covered or broken, and sends no light.
    Masked,
}

/// Errors of the mirrors and of tracking, as rms.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MirrorErrors {
    /// Slope of the surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub slope: Option<AngularError>,
    /// Scatter of the surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub specularity: Option<AngularError>,
    /// Alignment of facets whose own tilt is not known: a tilt is drawn for each. With a whole dish
    /// it is added to the slope.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub alignment: Option<AngularError>,
    /// Tracking that wanders, beside the fixed pointing error; of the light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub tracking: Option<AngularError>,
}

/// How the sun looks.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sun {
    /// Half-angle of the disc. Left out, the mean of 4.65 mrad.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub half_angle: Option<String>,
    /// How much darker the limb is than the middle: 0 for an even disc, about 0.6 as seen. Left out,
    /// 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub limb_darkening: Option<String>,
    /// Share of the light that comes from around the disc; with its half-angle. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub circumsolar_share: Option<String>,
    /// Half-angle up to which light around the disc is counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub circumsolar_half_angle: Option<String>,
}

/// A fixed pointing error; positive where the light goes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pointing {
    /// To the right, seen from the focus looking at the mirror.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub x: Option<String>,
    /// Upward.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub y: Option<String>,
}

/// A place beside the axis.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Offset {
    /// To the right, seen from the focus looking at the mirror.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub x: Option<String>,
    /// Upward.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub y: Option<String>,
}

/// A round body on the axis.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReceiverBody {
    /// Its diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub diameter: Option<String>,
}

/// What is known beyond the draws.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Doubt of the intercept by what is known of mirrors, sun and receiver, as the calculation
    /// intercept gives it. Needed for the guarded rule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub intercept: Option<Statement>,
}
