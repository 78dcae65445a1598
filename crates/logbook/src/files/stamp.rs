//! Stamps: date and time of day as files write them, to instants at a stated offset from UTC.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime, SecondsFormat};

use super::{Answers, Choice, Question};
use crate::Refusal;

/// A stamp whose order of day and month may still be open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stamp {
    order: Order,
    numbers: (u32, u32),
    year: i32,
    time: NaiveTime,
    pub(super) offset: Option<FixedOffset>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Order {
    /// Year, month, day.
    YearFirst,
    /// Day, month, year with points: the day stands first.
    Points,
    /// Two numbers and a year with strokes or hyphens: either order.
    Open,
}

/// How the column's dates are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(clippy::enum_variant_names, reason = "each says what stands first in a date")]
pub(super) enum Dates {
    YearFirst,
    DayFirst,
    MonthFirst,
}

impl Stamp {
    /// Reads a text; none when it is no date with a time of day.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        if text.len() > 40 || !text.is_ascii() {
            return None;
        }
        let (date, time) = text.split_once([' ', 'T'])?;
        let (order, numbers, year) = date_parts(date)?;
        let (time, offset) = time_and_offset(time.trim())?;
        Some(Self { order, numbers, year, time, offset })
    }

    fn date(self, dates: Dates) -> Option<NaiveDate> {
        let (first, second) = self.numbers;
        match dates {
            Dates::YearFirst | Dates::MonthFirst => {
                NaiveDate::from_ymd_opt(self.year, first, second)
            }
            Dates::DayFirst => NaiveDate::from_ymd_opt(self.year, second, first),
        }
    }

    /// The date and time as the file has them; none when there is no such day.
    pub(super) fn local(self, dates: Dates) -> Option<NaiveDateTime> {
        Some(self.date(dates)?.and_time(self.time))
    }
}

fn number(text: &str, digits: std::ops::RangeInclusive<usize>) -> Option<u32> {
    let plain = digits.contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

fn date_parts(date: &str) -> Option<(Order, (u32, u32), i32)> {
    let mark = date.chars().find(|c| !c.is_ascii_digit())?;
    let parts: Vec<&str> = date.split(mark).collect();
    let [a, b, c] = parts.as_slice() else { return None };
    let order = match (a.len(), mark) {
        (4, '-' | '/' | '.') => Order::YearFirst,
        (_, '.') => Order::Points,
        (_, '-' | '/') => Order::Open,
        _ => return None,
    };
    let (numbers, year) = if order == Order::YearFirst {
        ((number(b, 1..=2)?, number(c, 1..=2)?), number(a, 4..=4)?)
    } else {
        ((number(a, 1..=2)?, number(b, 1..=2)?), number(c, 4..=4)?)
    };
    Some((order, numbers, i32::try_from(year).ok()?))
}

fn time_and_offset(text: &str) -> Option<(NaiveTime, Option<FixedOffset>)> {
    let zone_at = text.find(['Z', 'z', '+', '-']);
    let (time, zone) = zone_at.map_or((text, ""), |at| text.split_at(at));
    let offset = if zone.is_empty() { None } else { Some(offset(zone)?) };
    let time = time.trim_end();
    let parts: Vec<&str> = time.split(':').collect();
    let time = match parts.as_slice() {
        [h, m] => NaiveTime::from_hms_opt(number(h, 1..=2)?, number(m, 2..=2)?, 0)?,
        [h, m, s] => {
            let (whole, fraction) = s.split_once('.').unwrap_or((s, "0"));
            let millis = number(fraction.get(..3).unwrap_or(fraction), 1..=3)?;
            let scale = 10_u32.pow(3_u32.saturating_sub(u32::try_from(fraction.len()).ok()?));
            let digits = fraction.bytes().all(|byte| byte.is_ascii_digit());
            let (h, m, s) = (number(h, 1..=2)?, number(m, 2..=2)?, number(whole, 2..=2)?);
            NaiveTime::from_hms_milli_opt(h, m, s, millis * scale).filter(|_| digits)?
        }
        _ => return None,
    };
    Some((time, offset))
}

/// An offset from UTC, as `-04:00` or `Z`; none beyond 14 hours.
pub(super) fn offset(text: &str) -> Option<FixedOffset> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("z") {
        return FixedOffset::east_opt(0);
    }
    let (west, rest) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+')?),
    };
    let (hours, minutes) = rest.split_once(':')?;
    let (hours, minutes) = (number(hours, 2..=2)?, number(minutes, 2..=2)?);
    if minutes > 59 || hours * 60 + minutes > 14 * 60 {
        return None;
    }
    let seconds = i32::try_from(hours * 3600 + minutes * 60).ok()?;
    FixedOffset::east_opt(if west { -seconds } else { seconds })
}

/// Decides for the whole column which number is the day, or asks.
pub(super) fn dates(
    stamps: &[(usize, Stamp)],
    answers: &Answers,
    decisions: &mut Vec<String>,
) -> Result<Result<Dates, Question>, Refusal> {
    let has = |order: Order| stamps.iter().any(|(_, stamp)| stamp.order == order);
    let kinds = [Order::YearFirst, Order::Points, Order::Open];
    if kinds.iter().filter(|order| has(**order)).count() > 1 {
        return Err(Refusal::new(
            "file_mixed_dates",
            "The stamps of the file are written in more than one way.",
            "Export the file again from the instrument; it was joined or edited.",
        ));
    }
    if has(Order::YearFirst) {
        return Ok(Ok(Dates::YearFirst));
    }
    if has(Order::Points) {
        decisions.push("Dates are day.month.year.".into());
        return Ok(Ok(Dates::DayFirst));
    }
    let beyond = |pick: fn(&Stamp) -> u32| {
        stamps.iter().find(|(_, stamp)| pick(stamp) > 12).map(|(line, _)| *line)
    };
    match (beyond(|stamp| stamp.numbers.0), beyond(|stamp| stamp.numbers.1)) {
        (Some(line), None) => {
            decisions.push(format!("Dates begin with the day, as line {line} shows."));
            Ok(Ok(Dates::DayFirst))
        }
        (None, Some(line)) => {
            decisions.push(format!("Dates begin with the month, as line {line} shows."));
            Ok(Ok(Dates::MonthFirst))
        }
        (Some(day), Some(month)) => Err(Refusal::new(
            "file_mixed_dates",
            format!("Line {day} begins with the day and line {month} with the month."),
            "Export the file again from the instrument; it was joined or edited.",
        )),
        (None, None) => match answers.get("date-order").map(String::as_str) {
            Some("day-first") => Ok(Ok(Dates::DayFirst)),
            Some("month-first") => Ok(Ok(Dates::MonthFirst)),
            _ => Ok(Err(ask_order(stamps))),
        },
    }
}

fn ask_order(stamps: &[(usize, Stamp)]) -> Question {
    let words = |dates: Dates| {
        stamps
            .first()
            .and_then(|(_, stamp)| stamp.date(dates))
            .map_or_else(String::new, |date| date.format("%-d %B %Y").to_string())
    };
    let line = stamps.first().map_or(0, |(line, _)| *line);
    let choice = |id: &str, dates| Choice {
        id: id.to_owned(),
        text: format!("line {line} is of {}", words(dates)),
    };
    Question {
        id: "date-order".into(),
        title: "Which number is the day?".into(),
        sentence: "No date of the file has a number above 12 before its year.".into(),
        choices: vec![
            choice("day-first", Dates::DayFirst),
            choice("month-first", Dates::MonthFirst),
        ],
    }
}

/// The instant of a local stamp, in RFC 3339.
pub(super) fn rfc3339(local: NaiveDateTime, offset: FixedOffset) -> Option<String> {
    let at: DateTime<FixedOffset> = local.and_local_timezone(offset).single()?;
    let whole = local.and_utc().timestamp_subsec_millis() == 0;
    let form = if whole { SecondsFormat::Secs } else { SecondsFormat::Millis };
    Some(at.to_rfc3339_opts(form, false))
}
