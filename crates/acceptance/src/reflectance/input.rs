//! The input as JSON.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use crate::{StatedLimit, Statement, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// What the instrument measures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Kind")]
    pub kind: Option<Kind>,
    /// Wavelength or band of the instrument, as `660 nm`, or `solar-weighted`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "wavelength")]
    pub wavelength: Option<String>,
    /// Angle of incidence, from the normal of the mirror.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub incidence: Option<String>,
    /// Half-angle within which reflected light is taken in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub acceptance: Option<String>,
    /// The readings: after the wash where there was one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<MirrorReading>,
    /// Readings before the wash. Left out, no gain is computed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub before: Vec<MirrorReading>,
    /// Reflectance of the clean mirror, from a certificate or an earlier survey.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub clean_reference: Option<String>,
    /// Readings of freshly cleaned spots by the same instrument, instead of the reference.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub clean: Vec<MirrorReading>,
    /// The check of the instrument on its tile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tile")]
    pub tile: Option<Tile>,
    /// Confidence of the intervals; 95 % when it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub confidence: Option<String>,
    /// Half-width of the interval that is wanted, for the number of readings that it needs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub wanted_half_width: Option<String>,
    /// The limits. Without any the mean is computed and not judged.
    #[serde(default)]
    pub limits: Limits,
    /// What is known of the instrument and of the clean reference.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// The word for a reflectance weighted by the spectrum of the sun.
pub(super) const SOLAR: &str = "solar-weighted";

fn wavelength(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A wavelength or a band, or the word solar-weighted.",
        "pattern": "^ *[0-9]+([.,][0-9]+)?( *[-–] *[0-9]+([.,][0-9]+)?)? *(nm|µm|um) *$|^solar-weighted$",
        "examples": ["660 nm"],
    })
}

/// What an instrument measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Light reflected into a narrow cone about the mirrored direction.
    Specular,
    /// Light reflected anywhere into the half-space.
    Hemispherical,
}

/// A reading of a mirror.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MirrorReading {
    /// The facet, as `R07/F11`. Spots of one facet are not independent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub facet: Option<String>,
    /// The spot on it, as `upper`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub spot: Option<String>,
    /// What to group by, as a height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub group: Option<String>,
    /// The reflectance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub value: Option<String>,
}

/// The check of an instrument on its tile.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tile {
    /// Reflectance by the tile's certificate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub certificate: Option<String>,
    /// What the instrument showed on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub read: Option<String>,
    /// Difference that is allowed, either way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub allowed: Option<String>,
}

/// The limits; each may be left out.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Mean reflectance, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub mean: Option<StatedLimit>,
    /// Cleanliness, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub cleanliness: Option<StatedLimit>,
    /// Gain of the mean by the wash, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub gain: Option<StatedLimit>,
}

/// What is known of the instrument and of the clean reference. Percent means percent of the
/// reading; a number without unit is a reflectance.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the instrument: an error that all readings share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub instrument: Option<Statement>,
    /// Of the clean reference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub clean_reference: Option<Statement>,
}
