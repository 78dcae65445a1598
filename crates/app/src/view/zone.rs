//! The site's time zone: every time on a screen is the site's.

use chrono::{DateTime, Datelike as _, FixedOffset, NaiveDate, TimeZone as _};
use chrono_tz::Tz;
use logbook::document::SiteDoc;

use super::common::Moment;

/// A zone that times are shown in.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Zone {
    /// By the rules of a named zone.
    Named(Tz),
    /// At a fixed offset, until the site is described.
    Offset(FixedOffset),
}

impl Zone {
    /// The zone that the site names; until it does, the offset of the clock.
    pub(crate) fn of(site: Option<&SiteDoc>, clock: FixedOffset) -> Self {
        site.and_then(|site| site.described.as_ref())
            .and_then(|described| described.site.time_zone.parse().ok())
            .map_or(Self::Offset(clock), Self::Named)
    }

    /// The same point in time on the site's clock.
    pub(crate) fn local(self, at: &DateTime<FixedOffset>) -> DateTime<FixedOffset> {
        match self {
            Self::Named(zone) => at.with_timezone(&zone).fixed_offset(),
            Self::Offset(offset) => at.with_timezone(&offset),
        }
    }

    /// A time as the screens show it.
    pub(crate) fn moment(self, at: &DateTime<FixedOffset>) -> Moment {
        let at = self.local(at);
        Moment {
            iso: at.to_rfc3339_opts(chrono::SecondsFormat::Secs, false),
            day: at.format("%a %-d %b").to_string(),
            clock: at.format("%H:%M").to_string(),
        }
    }

    /// A claimed time as the screens show it.
    pub(crate) fn claimed(self, claimed: &logbook::Moment) -> Moment {
        self.moment(&claimed.at())
    }

    /// When the local day of that date begins. Some days of some zones have no midnight.
    pub(crate) fn day_start(self, date: NaiveDate) -> DateTime<FixedOffset> {
        let midnight = date.and_time(chrono::NaiveTime::MIN);
        match self {
            Self::Named(zone) => (0..=180)
                .step_by(15)
                .find_map(|minutes| {
                    let later = midnight + chrono::TimeDelta::minutes(minutes);
                    zone.from_local_datetime(&later).earliest()
                })
                .map_or_else(|| midnight.and_utc().fixed_offset(), |at| at.fixed_offset()),
            Self::Offset(offset) => offset
                .from_local_datetime(&midnight)
                .single()
                .unwrap_or_else(|| midnight.and_utc().fixed_offset()),
        }
    }

    /// The first change of the local clock's offset between two points in time: how many seconds
    /// after the first, and what the clock showed just before and then.
    pub(crate) fn jump(
        self,
        from: &DateTime<FixedOffset>,
        to: &DateTime<FixedOffset>,
    ) -> Option<(i64, String, String)> {
        let offset = |seconds: i64| {
            self.local(&(*from + chrono::TimeDelta::seconds(seconds))).offset().local_minus_utc()
        };
        let first = offset(0);
        let (mut before, mut after) = (0, (*to - *from).num_seconds());
        if after <= 0 || offset(after) == first {
            return None;
        }
        while after - before > 1 {
            let middle = before + (after - before) / 2;
            if offset(middle) == first { before = middle } else { after = middle }
        }
        let then = self.local(&(*from + chrono::TimeDelta::seconds(after)));
        let still = then.with_timezone(&FixedOffset::east_opt(first)?);
        Some((after, still.format("%H:%M").to_string(), then.format("%H:%M").to_string()))
    }

    /// "Sat 29 Aug 2026".
    pub(crate) fn day(self, at: &DateTime<FixedOffset>) -> String {
        let at = self.local(at);
        format!("{} {}", at.format("%a %-d %b"), at.year())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    // IANA time zone database: Chile goes from UTC-4 to UTC-3 on Sunday 6 September 2026 at 24:00
    // of the Saturday.
    #[test]
    fn a_hold_over_the_change_of_the_clocks_finds_the_change() {
        let zone = Zone::Named(chrono_tz::America::Santiago);
        let (start, end) = (at("2026-09-05T18:05:00-04:00"), at("2026-09-06T07:05:00-03:00"));
        let jump = zone.jump(&start, &end);
        assert_eq!(jump, Some((5 * 3600 + 55 * 60, "00:00".to_owned(), "01:00".to_owned())));
        assert_eq!(zone.jump(&start, &at("2026-09-05T23:00:00-04:00")), None);
        assert_eq!(zone.jump(&end, &start), None);
        let fixed = Zone::Offset(*start.offset());
        assert_eq!(fixed.jump(&start, &end), None);
    }

    #[test]
    fn times_stand_in_the_zone_of_the_site() {
        let zone = Zone::Named("America/Santiago".parse().unwrap());
        // IANA tz database: on 6 September 2026 Chile goes from UTC-4 to UTC-3.
        let before = zone.moment(&at("2026-09-05T22:05:00+00:00"));
        assert_eq!((before.day.as_str(), before.clock.as_str()), ("Sat 5 Sep", "18:05"));
        let after = zone.moment(&at("2026-09-06T09:05:00+00:00"));
        assert_eq!(after.iso, "2026-09-06T06:05:00-03:00");
    }

    #[test]
    fn a_day_without_midnight_begins_at_one() {
        let zone = Zone::Named("America/Santiago".parse().unwrap());
        let start = zone.day_start(NaiveDate::from_ymd_opt(2026, 9, 6).unwrap());
        assert_eq!(start, at("2026-09-06T01:00:00-03:00"));
        let plain = zone.day_start(NaiveDate::from_ymd_opt(2026, 9, 7).unwrap());
        assert_eq!(plain, at("2026-09-07T00:00:00-03:00"));
    }
}
