//! Claimed times: what a person or a tablet says the time was, with its offset from UTC.

use std::fmt;

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// A claimed time in RFC 3339 with offset, kept exactly as written.
///
/// A claim is shown, compared and flagged; it orders nothing in the ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment {
    text: String,
    at: DateTime<FixedOffset>,
}

/// A text that is no time with an offset.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no time with its offset from UTC. Write it like 2026-08-25T18:10:00-04:00.")]
pub struct NotAMoment(String);

impl Moment {
    /// Reads RFC 3339 with offset.
    ///
    /// # Errors
    /// Any other form, among them a time without offset.
    pub fn parse(text: &str) -> Result<Self, NotAMoment> {
        DateTime::parse_from_rfc3339(text)
            .map(|at| Self { text: text.to_owned(), at })
            .map_err(|_| NotAMoment(text.to_owned()))
    }

    /// Stands in documents for a claim that can't be read.
    pub(crate) fn unreadable() -> Self {
        Self { text: "1970-01-01T00:00:00+00:00".into(), at: DateTime::UNIX_EPOCH.fixed_offset() }
    }

    /// The point in time.
    pub fn at(&self) -> DateTime<FixedOffset> {
        self.at
    }

    /// The calendar day where the claim was made.
    pub fn day(&self) -> NaiveDate {
        self.at.date_naive()
    }

    /// As written.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// Seconds from `earlier` to this one; negative when this one is earlier. Offsets are taken
    /// into account, so a clock change in between does not lengthen or shorten the span.
    pub fn seconds_since(&self, earlier: &Self) -> i64 {
        (self.at - earlier.at).num_seconds()
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl From<DateTime<FixedOffset>> for Moment {
    fn from(at: DateTime<FixedOffset>) -> Self {
        Self { text: at.to_rfc3339(), at }
    }
}

impl Serialize for Moment {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text)
    }
}

impl<'de> Deserialize<'de> for Moment {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Moment {
        Moment::parse(text).unwrap()
    }

    #[test]
    fn the_clock_change_shortens_the_night() {
        // Chile, 6 September 2026: clocks jump from 00:00 (UTC-4) to 01:00 (UTC-3), IANA tz
        // database, America/Santiago. Twelve hours on the wall, eleven in truth.
        let start = at("2026-09-05T18:05:00-04:00");
        let end = at("2026-09-06T06:05:00-03:00");
        assert_eq!(end.seconds_since(&start), 11 * 3600);
    }

    #[test]
    fn autumn_lengthens_it() {
        let start = at("2026-04-04T18:00:00-03:00");
        let end = at("2026-04-05T06:00:00-04:00");
        assert_eq!(end.seconds_since(&start), 13 * 3600);
    }

    #[test]
    fn a_time_without_offset_is_refused() {
        assert!(Moment::parse("2026-08-25T18:10:00").is_err());
        assert!(Moment::parse("25/08/2026 18:10").is_err());
    }

    #[test]
    fn text_is_kept_as_written() {
        let text = "2026-08-25T18:10:00.50-04:00";
        assert_eq!(serde_json::to_string(&at(text)).unwrap(), format!("\"{text}\""));
    }
}
