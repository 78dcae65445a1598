//! The day line: night, day, and where the sun is.

use chrono::{DateTime, Days, FixedOffset};
use serde::Serialize;
use ts_rs::TS;

use super::common::Moment;
use super::eye::Eye;
use crate::calc;
use crate::error::{AppError, Result};

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

impl Eye<'_> {
    /// The sun over the local day of a moment; of now when none is given.
    ///
    /// # Errors
    /// A site that is not described yet, a text that is no time, a year outside the calculation's.
    pub(crate) fn sun_day(&self, at: Option<&str>) -> Result<SunDay> {
        let at = match at {
            None => self.source.now.at(),
            Some(text) => DateTime::parse_from_rfc3339(text).map_err(|cause| {
                AppError::new(
                    "sun.moment",
                    format!("\"{text}\" is no time: {cause}."),
                    "Give it as 2026-08-28T07:31:00-04:00.",
                )
            })?,
        };
        let described = self.site.described.as_ref().ok_or_else(|| {
            AppError::new(
                "sun.no_site",
                "Where the site lies is not described, so the sun can't be computed.",
                "Let whoever runs the site describe it: latitude, longitude, altitude, time zone.",
            )
        })?;
        let local = self.zone.local(&at);
        let start = self.zone.day_start(local.date_naive());
        let tomorrow = local.date_naive() + Days::new(1);
        let day = Span { start, end: self.zone.day_start(tomorrow) };
        let input = serde_json::json!({
            "latitude": described.site.latitude,
            "longitude": described.site.longitude,
            "altitude": described.site.altitude,
            "at": local.to_rfc3339(),
            "day_start": day.start.to_rfc3339(),
            "day_end": day.end.to_rfc3339(),
        });
        let sheet = calc::run("sun-day", &input.to_string())?;
        let edge = |name: &str| self.edge(&sheet, name, &day);
        let noon = edge("noon");
        Ok(SunDay {
            date: self.zone.day(&at),
            now: self.zone.moment(&at),
            now_fraction: day.fraction(&at),
            sunrise: edge("sunrise"),
            sunset: edge("sunset"),
            heights: heights(&sheet, &day),
            noon: noon.map(|noon| noon.clock).unwrap_or_default(),
        })
    }

    fn edge(&self, sheet: &acceptance::Sheet, name: &str, day: &Span) -> Option<SunEdge> {
        let at = DateTime::parse_from_rfc3339(&sheet.result(name)?.value).ok()?;
        Some(SunEdge { fraction: day.fraction(&at), clock: self.zone.moment(&at).clock })
    }
}

/// A local day; it has 23 or 25 hours when the clocks change.
struct Span {
    start: DateTime<FixedOffset>,
    end: DateTime<FixedOffset>,
}

impl Span {
    fn seconds(&self) -> f64 {
        seconds(&self.start, &self.end)
    }

    fn fraction(&self, at: &DateTime<FixedOffset>) -> f64 {
        (seconds(&self.start, at) / self.seconds()).clamp(0.0, 1.0)
    }
}

fn seconds(from: &DateTime<FixedOffset>, to: &DateTime<FixedOffset>) -> f64 {
    // A day has fewer seconds than an i32 holds.
    f64::from(i32::try_from((*to - *from).num_seconds()).unwrap_or(i32::MAX))
}

fn heights(sheet: &acceptance::Sheet, day: &Span) -> Vec<(f64, f64)> {
    let points = sheet.figure.iter().flat_map(|figure| &figure.series).take(1);
    points
        .flat_map(|series| &series.points)
        .filter_map(|point| {
            let hours: f64 = point.x.parse().ok()?;
            Some(((hours * 3600.0 / day.seconds()).min(1.0), point.y.parse().ok()?))
        })
        .collect()
}
