//! Times, people and entries as they are printed.

use chrono::{DateTime, FixedOffset};
use logbook::Moment;
use logbook::document::{PersonDoc, Stamp};
use logbook::events::Role;

/// "Fri 28 Aug 2026, 07:31 (UTC−4)".
pub(crate) fn when(moment: &Moment) -> String {
    let at = moment.at();
    format!("{} ({})", at.format("%a %-d %b %Y, %H:%M"), offset(&at))
}

/// "Fri 28 Aug 07:31", where year and zone stand nearby.
pub(crate) fn when_short(moment: &Moment) -> String {
    moment.at().format("%a %-d %b %H:%M").to_string()
}

/// "28 Aug 2026".
pub(crate) fn day(moment: &Moment) -> String {
    moment.at().format("%-d %b %Y").to_string()
}

fn offset(at: &DateTime<FixedOffset>) -> String {
    let minutes = at.offset().local_minus_utc() / 60;
    let (hours, rest) = (minutes.abs() / 60, minutes.abs() % 60);
    let sign = if minutes < 0 { '−' } else { '+' };
    match (minutes, rest) {
        (0, _) => "UTC".to_owned(),
        (_, 0) => format!("UTC{sign}{hours}"),
        _ => format!("UTC{sign}{hours}:{rest:02}"),
    }
}

/// "Ivana Brize, gas technician".
pub(crate) fn who(person: Option<&PersonDoc>, id: &str, role: Option<Role>) -> String {
    let name = person.map_or(id, |person| person.name.as_str());
    match role {
        Some(role) => format!("{name}, {}", role.title()),
        None => name.to_owned(),
    }
}

/// "T1-0371": the installation and the number in its chain.
pub(crate) fn entry(installation: &str, stamp: &Stamp) -> String {
    entry_name(installation, stamp.number)
}

/// The same of an entry that has no stamp at hand.
pub(crate) fn entry_name(installation: &str, number: u64) -> String {
    format!("{installation}-{number:04}")
}

/// "12 h 00 min".
pub(crate) fn span(seconds: u64) -> String {
    let minutes = seconds / 60;
    match (minutes / 60, minutes % 60, seconds % 60) {
        (0, 0, left) => format!("{left} s"),
        (0, minutes, _) => format!("{minutes} min"),
        (hours, minutes, _) => format!("{hours} h {minutes:02} min"),
    }
}

/// "one proof stands; 12 owed" and the like.
pub(crate) fn count(number: usize, one: &str, many: &str) -> String {
    match number {
        0 => format!("no {many}"),
        1 => format!("one {one}"),
        more => format!("{more} {many}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_carry_day_and_zone() {
        let moment = Moment::parse("2026-08-28T07:31:00-04:00").unwrap();
        assert_eq!(when(&moment), "Fri 28 Aug 2026, 07:31 (UTC−4)");
        let india = Moment::parse("2026-08-28T07:31:00+05:30").unwrap();
        assert_eq!(when(&india), "Fri 28 Aug 2026, 07:31 (UTC+5:30)");
        assert_eq!(span(39_600), "11 h 00 min");
        assert_eq!(span(660), "11 min");
    }
}
