//! The input as JSON.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use crate::pressure_decay::Rule;
use crate::{Statement, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Cleanliness, or reflectance, day by day.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<CleanlinessPoint>,
    /// Rain and washes: each ends a dry period and begins another.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub events: Vec<CleaningEvent>,
    /// Value at which the mirrors are to be washed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub threshold: Option<String>,
    /// Where the threshold comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub threshold_source: Option<String>,
    /// Which rate is carried on from the last period; that of all periods when it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "RateFrom")]
    pub rate_from: Option<RateFrom>,
    /// Day of the wash that is planned. With it, it is judged whether the threshold is reached
    /// before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::day")]
    pub planned_wash: Option<String>,
    /// How it is judged: simple compares the date itself, guarded the early end of its interval.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rule")]
    pub rule: Option<Rule>,
    /// Confidence of the intervals; 95 % when it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub confidence: Option<String>,
    /// What a wash costs and a clean day brings, for the best interval.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Economics")]
    pub economics: Option<Economics>,
    /// What is known of the readings.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// A day of the calendar, or a moment.
fn when(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A day (ISO 8601), or a moment with its offset from UTC (RFC 3339).",
        "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}([Tt ][0-9]{2}:[0-9]{2}:[0-9]{2}(\\.[0-9]+)?([Zz]|[+-][0-9]{2}:[0-9]{2}))?$",
        "examples": ["2026-08-25", "2026-09-08T11:30:00-03:00"],
    })
}

/// Cleanliness at a time.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CleanlinessPoint {
    /// The day; the moment where a wash or rain was on the same day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "when")]
    pub at: Option<String>,
    /// Cleanliness, or reflectance: the same at all points and in the threshold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub value: Option<String>,
}

/// Something that cleaned the mirrors, or dirtied them at once.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CleaningEvent {
    /// The day, or the moment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "when")]
    pub at: Option<String>,
    /// What it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "EventKind")]
    pub kind: Option<EventKind>,
}

/// What ended a dry period.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EventKind {
    /// Rain, dew that ran, or snow.
    Rain,
    /// A wash.
    Wash,
    /// A dust storm, or red rain, that dirtied at once.
    DustStorm,
}

impl EventKind {
    /// In words.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Rain => "rain",
            Self::Wash => "wash",
            Self::DustStorm => "dust storm",
        }
    }
}

/// Which rate is carried on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RateFrom {
    /// The slope of all dry periods together.
    AllPeriods,
    /// The slope of the last dry period alone.
    LastPeriod,
}

/// Cost of a wash against what dirt costs.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Economics {
    /// Cost of one wash, in the site's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub wash_cost: Option<String>,
    /// What a day of clean mirrors brings, in the same currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub clean_day: Option<String>,
}

/// What is known of the readings.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the instrument and the clean reference: an error that all points share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub shared: Option<Statement>,
}
