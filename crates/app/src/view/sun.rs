//! The day line: night, day, and where the sun is.

use serde::Serialize;
use ts_rs::TS;

use super::common::Moment;

/// The sun over one local day.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub(crate) struct SunDay {
    pub(crate) date: String,
    pub(crate) now: Moment,
    /// Now as a part of the local day, 0 to 1.
    pub(crate) now_fraction: f64,
    pub(crate) sunrise: Option<SunEdge>,
    pub(crate) sunset: Option<SunEdge>,
    /// Part of the local day, and degrees above the horizon.
    pub(crate) heights: Vec<(f64, f64)>,
    /// Solar noon by the local clock.
    pub(crate) noon: String,
}

/// A moment of the day line.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub(crate) struct SunEdge {
    pub(crate) fraction: f64,
    pub(crate) clock: String,
}
