//! RFC 3339 moments: an instant with its offset from UTC, so that a change of the clocks shows as
//! elapsed time. Days by the proleptic Gregorian calendar.

use quantity::Duration;

use crate::Refusal;
use crate::form::Form;

/// An instant, and the offset from UTC that it was written with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Moment {
    /// Seconds since 1970-01-01T00:00:00Z, fractions cut off.
    pub(crate) seconds: i64,
    /// Seconds that the clock on the wall is ahead of UTC.
    pub(crate) offset: i64,
}

impl Moment {
    /// Reads RFC 3339 section 5.6; none if the text is no moment.
    pub(crate) fn parse(text: &str) -> Option<Self> {
        let (local, offset) = local_and_offset(text)?;
        Some(Self { seconds: local - offset, offset })
    }

    /// Reads a moment of an input, and says how to write one.
    pub(crate) fn read(
        form: &mut Form,
        field: &str,
        meaning: &str,
        text: Option<&str>,
    ) -> Result<Option<Self>, Refusal> {
        let Some(text) = text else { return Ok(None) };
        form.show(field, meaning, text);
        match Self::parse(text) {
            Some(moment) => Ok(Some(moment)),
            None => Err(form.refuse(
                "malformed",
                field,
                format!("“{text}” is no moment."),
                "Write it as 2026-08-25T18:10:00-04:00, with the offset from UTC.",
            )),
        }
    }

    /// The moment some seconds later, to the nearest second, with the same offset.
    pub(crate) fn after(self, seconds: f64) -> Self {
        // Within the years of the calendar a sum of seconds is exact in a float.
        #[expect(clippy::cast_possible_truncation, reason = "a number of seconds, far below 2^53")]
        let whole = libm::round(seconds) as i64;
        Self { seconds: self.seconds.saturating_add(whole), offset: self.offset }
    }

    /// Seconds since 1970-01-01T00:00:00Z, as the algorithms take them.
    #[expect(clippy::cast_precision_loss, reason = "a number of seconds, far below 2^53")]
    pub(crate) const fn unix(self) -> f64 {
        self.seconds as f64
    }

    /// Whole minutes that the clock on the wall is ahead of UTC.
    pub(crate) fn offset_minutes(self) -> i32 {
        i32::try_from(self.offset / 60).unwrap_or(0)
    }

    /// Midnight before the moment, by the clock on the wall that never changes its offset.
    pub(crate) const fn midnight(self) -> Self {
        let local = self.seconds + self.offset;
        Self { seconds: local - local.rem_euclid(86_400) - self.offset, offset: self.offset }
    }

    /// Year, month and day by the clock on the wall.
    pub(crate) fn date(self) -> [i64; 3] {
        let [year, month, day, ..] = self.parts();
        [year, month, day]
    }

    /// Year, month, day, hour, minute, second by the clock on the wall.
    fn parts(self) -> [i64; 6] {
        let local = self.seconds + self.offset;
        let (day, time) = (local.div_euclid(86_400), local.rem_euclid(86_400));
        let mut year = 1970 + day.div_euclid(366);
        while days(year + 1, 1, 1) <= day {
            year += 1;
        }
        while days(year, 1, 1) > day {
            year -= 1;
        }
        let mut month = 1;
        while month < 12 && days(year, month + 1, 1) <= day {
            month += 1;
        }
        let of_month = day - days(year, month, 1) + 1;
        [year, month, of_month, time / 3600, time / 60 % 60, time % 60]
    }

    /// The moment as RFC 3339 writes it.
    pub(crate) fn text(self) -> String {
        let [year, month, day, hour, minute, second] = self.parts();
        format!(
            "{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}{}",
            self.offset_text()
        )
    }

    /// The moment for sentences, to the minute: `2026-09-03 15:58 (UTC−04:00)`.
    pub(crate) fn shown(self) -> String {
        let nearest = Self { seconds: self.seconds + 30, offset: self.offset };
        let [year, month, day, hour, minute, _] = nearest.parts();
        format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02} (UTC{})", self.offset_shown())
    }

    /// The day by the clock on the wall, as ISO 8601 writes it.
    pub(crate) fn day(self) -> String {
        let [year, month, day, ..] = self.parts();
        format!("{year:04}-{month:02}-{day:02}")
    }

    /// The offset from UTC for sentences: `−04:00`.
    pub(crate) fn offset_shown(self) -> String {
        self.offset_text().replace('-', "−")
    }

    fn offset_text(self) -> String {
        let (sign, size) = (if self.offset < 0 { '-' } else { '+' }, self.offset.abs() / 60);
        format!("{sign}{:02}:{:02}", size / 60, size % 60)
    }
}

/// Seconds since 1970-01-01T00:00:00Z of an RFC 3339 moment; none if the text is not one.
fn seconds(moment: &str) -> Option<i64> {
    Moment::parse(moment).map(|moment| moment.seconds)
}

/// Seconds since 1970-01-01T00:00:00 by the clock on the wall, and that clock's offset.
fn local_and_offset(moment: &str) -> Option<(i64, i64)> {
    let bytes = moment.as_bytes();
    let number = |from: usize, to: usize| -> Option<i64> {
        let digits = bytes.get(from..to)?;
        if !digits.iter().all(u8::is_ascii_digit) {
            return None;
        }
        core::str::from_utf8(digits).ok()?.parse().ok()
    };
    let sign_at = |at: usize, allowed: &[u8]| bytes.get(at).is_some_and(|b| allowed.contains(b));
    let shaped = sign_at(4, b"-")
        && sign_at(7, b"-")
        && sign_at(10, b"Tt ")
        && sign_at(13, b":")
        && sign_at(16, b":");
    if !shaped {
        return None;
    }
    let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
    let (hour, minute, second) = (number(11, 13)?, number(14, 16)?, number(17, 19)?);
    let in_range = (1..=12).contains(&month)
        && (1..=month_length(year, month)).contains(&day)
        && hour < 24
        && minute < 60
        && second <= 60;
    if !in_range {
        return None;
    }
    let mut zone = 19;
    if sign_at(19, b".") {
        zone += 1 + bytes.get(20..)?.iter().take_while(|b| b.is_ascii_digit()).count();
    }
    let offset = match bytes.get(zone..)? {
        b"Z" | b"z" => 0,
        rest if rest.len() == 6 && sign_at(zone + 3, b":") => {
            let (hours, minutes) = (number(zone + 1, zone + 3)?, number(zone + 4, zone + 6)?);
            let size = hours * 3600 + minutes * 60;
            match rest.first()? {
                b'+' if hours < 24 && minutes < 60 => size,
                b'-' if hours < 24 && minutes < 60 => -size,
                _ => return None,
            }
        }
        _ => return None,
    };
    Some((days(year, month, day) * 86_400 + hour * 3600 + minute * 60 + second, offset))
}

fn leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

/// Days of a month.
pub(crate) fn month_length(year: i64, month: i64) -> i64 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap(year) => 29,
        2 => 28,
        _ => 31,
    }
}

/// Days since 1970-01-01 for years 0 to 9999.
pub(crate) fn days(year: i64, month: i64, day: i64) -> i64 {
    let before_year = |y: i64| {
        let last = y - 1;
        y * 365 + last.div_euclid(4) - last.div_euclid(100) + last.div_euclid(400)
    };
    let before_month: i64 = (1..month).map(|m| month_length(year, m)).sum();
    before_year(year) - before_year(1970) + before_month + day - 1
}

/// The time from one moment to another, negative when the second is earlier; none if either text
/// is not an RFC 3339 moment.
pub(crate) fn between(start: &str, end: &str) -> Option<Duration> {
    let difference = seconds(end)?.checked_sub(seconds(start)?)?;
    i32::try_from(difference).ok().map(|s| Duration::from_seconds(f64::from(s)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hours(start: &str, end: &str) -> Option<f64> {
        between(start, end).map(|d| d.seconds() / 3600.0)
    }

    /// A night with a change of the clocks has 11 or 13 hours. Unix times by `date -u +%s`.
    #[test]
    fn elapsed_across_a_change_of_the_clocks() {
        let spring = hours("2026-09-05T18:05:00-04:00", "2026-09-06T06:05:00-03:00");
        assert_eq!(spring, Some(11.0));
        let autumn = hours("2026-04-04T18:00:00-03:00", "2026-04-05T06:00:00-04:00");
        assert_eq!(autumn, Some(13.0));
        assert_eq!(seconds("2026-09-05T18:05:00-04:00"), Some(1_788_645_900));
        assert_eq!(seconds("2000-02-29T23:59:59.5Z"), Some(951_868_799));
    }

    /// Moments written again: the same instant by the same clock. Unix times by `date -u +%s`.
    #[test]
    fn written_again() {
        for text in [
            "2026-09-05T18:05:00-04:00",
            "2000-02-29T23:59:59+00:00",
            "1999-12-31T00:00:00+09:30",
            "1970-01-01T00:00:00-11:00",
            "1905-03-01T12:00:01+00:00",
            "2100-12-31T23:59:59+14:00",
        ] {
            assert_eq!(Moment::parse(text).map(Moment::text).as_deref(), Some(text));
        }
        let moment = Moment::parse("2026-12-31T23:59:40-03:00").unwrap();
        assert_eq!(moment.after(50.4).text(), "2027-01-01T00:00:30-03:00");
        assert_eq!(moment.shown(), "2027-01-01 00:00 (UTC−03:00)");
        assert_eq!(moment.midnight().text(), "2026-12-31T00:00:00-03:00");
        assert_eq!(
            Moment { seconds: 1_788_645_900, offset: 0 }.text(),
            "2026-09-05T22:05:00+00:00"
        );
    }

    #[test]
    fn what_is_no_moment() {
        for bad in [
            "",
            "2026-09-05",
            "2026-02-29T00:00:00Z",
            "2026-13-01T00:00:00Z",
            "2026-09-05T18:05:00",
            "2026-09-05T18:05:00+25:00",
            "2026-09-05T24:05:00Z",
            "20é6-09-05T18:05:00Z",
        ] {
            assert_eq!(seconds(bad), None, "{bad}");
        }
    }
}
