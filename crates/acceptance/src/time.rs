//! Seconds between two RFC 3339 moments, so that a change of the clocks shows as elapsed time.

use quantity::Duration;

/// Seconds since 1970-01-01T00:00:00Z of an RFC 3339 moment, fractions of a second cut off; none
/// if the text is not one. Source: RFC 3339 section 5.6; days by the proleptic Gregorian calendar.
fn seconds(moment: &str) -> Option<i64> {
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
    Some(days(year, month, day) * 86_400 + hour * 3600 + minute * 60 + second - offset)
}

fn leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

fn month_length(year: i64, month: i64) -> i64 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap(year) => 29,
        2 => 28,
        _ => 31,
    }
}

/// Days since 1970-01-01 for years 0 to 9999.
fn days(year: i64, month: i64, day: i64) -> i64 {
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
