//! The site described: where it lies, how its dishes stand, and what to do in an emergency.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Where one dish stands, from the site's own datum.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct PlanPlace {
    /// The dish position.
    pub position: String,
    /// Distance east of the datum, with unit; west is negative.
    pub east: String,
    /// Distance north of the datum, with unit; south is negative.
    pub north: String,
}

/// What everyone on the site needs to know before anything happens.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Emergency {
    /// Whom to call, as it is dialled.
    pub number: String,
    /// Where people gather, who comes, how the rescue goes.
    pub rescue_plan: String,
}

/// The site was described. The latest description counts; earlier ones stay.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct SiteDescribed {
    /// Latitude with unit, north positive, such as `-23.10 °`.
    pub latitude: String,
    /// Longitude with unit, east positive.
    pub longitude: String,
    /// Altitude above sea level with unit.
    pub altitude: String,
    /// Name of the time zone in the IANA database, such as `America/Santiago`.
    pub time_zone: String,
    /// How the dishes stand.
    pub plan: Vec<PlanPlace>,
    /// In an emergency.
    pub emergency: Emergency,
}
