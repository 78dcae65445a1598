//! Days of the Gregorian calendar and intervals between them, as maintenance counts them.
//!
//! A month later is the same day of the next month, or its last day where it has no such day: 31
//! January and a month is 28 or 29 February. Counted from the first day each time, so that two months
//! after 31 January are 31 March.

use crate::Refusal;
use crate::form::Form;
use crate::time::{Moment, days, month_length};

/// A day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Day {
    /// Days since 1970-01-01.
    pub(crate) number: i64,
}

impl Day {
    /// Reads a day as ISO 8601 writes it; none if the text is no day of the years 1900 to 2199.
    pub(crate) fn parse(text: &str) -> Option<Self> {
        let mut parts = text.splitn(3, '-');
        let mut part = |length: usize| -> Option<i64> {
            let digits = parts.next()?;
            let plain = digits.len() == length && digits.bytes().all(|b| b.is_ascii_digit());
            if plain { digits.parse().ok() } else { None }
        };
        let (year, month, day) = (part(4)?, part(2)?, part(2)?);
        let real = (1900..2200).contains(&year)
            && (1..=12).contains(&month)
            && (1..=month_length(year, month)).contains(&day);
        real.then(|| Self { number: days(year, month, day) })
    }

    /// Reads a day of an input that may be absent, and says how to write one.
    pub(crate) fn read(
        form: &mut Form,
        field: &str,
        meaning: &str,
        text: Option<&str>,
    ) -> Result<Option<Self>, Refusal> {
        let Some(text) = text else { return Ok(None) };
        form.show(field, meaning, text);
        match Self::parse(text) {
            Some(day) => Ok(Some(day)),
            None => Err(form.refuse(
                "no_day",
                field,
                format!("“{text}” is no day of the calendar."),
                "Write it as 2026-08-25.",
            )),
        }
    }

    /// The day of a moment by the clock that it was written with.
    pub(crate) fn of(moment: Moment) -> Self {
        let [year, month, day] = moment.date();
        Self { number: days(year, month, day) }
    }

    /// Year, month and day.
    pub(crate) fn date(self) -> [i64; 3] {
        Moment { seconds: self.number.saturating_mul(86_400), offset: 0 }.date()
    }

    /// Some days later.
    pub(crate) const fn after(self, days: i64) -> Self {
        Self { number: self.number.saturating_add(days) }
    }

    /// Some months later: the same day of the month, or the last where there is none.
    pub(crate) fn months_after(self, months: i64) -> Self {
        let [year, month, day] = self.date();
        let count = year.saturating_mul(12).saturating_add(month - 1).saturating_add(months);
        let (year, month) = (count.div_euclid(12), count.rem_euclid(12) + 1);
        Self { number: days(year, month, day.min(month_length(year, month))) }
    }

    /// The day as ISO 8601 writes it.
    pub(crate) fn text(self) -> String {
        let [year, month, day] = self.date();
        format!("{year:04}-{month:02}-{day:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse(text).unwrap()
    }

    /// By python-dateutil 4.0.0 (`relativedelta`) and by hand.
    #[test]
    fn months() {
        for (from, months, to) in [
            ("2026-01-31", 1, "2026-02-28"),
            ("2028-01-31", 1, "2028-02-29"),
            ("2026-01-31", 2, "2026-03-31"),
            ("2026-08-31", 6, "2027-02-28"),
            ("2028-02-29", 12, "2029-02-28"),
            ("2028-02-29", 48, "2032-02-29"),
            ("2026-12-15", 1, "2027-01-15"),
            ("2100-01-30", 1, "2100-02-28"),
        ] {
            assert_eq!(day(from).months_after(months).text(), to, "{from} and {months} months");
        }
        assert_eq!(day("2026-12-31").after(1).text(), "2027-01-01");
        assert_eq!(day("2027-01-01").number - day("2026-01-01").number, 365);
    }

    #[test]
    fn what_is_no_day() {
        for bad in ["2026-02-29", "2026-13-01", "2026-1-1", "26-01-01", "2026-01-32", "", "x"] {
            assert!(Day::parse(bad).is_none(), "{bad}");
        }
    }
}
