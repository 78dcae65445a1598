//! When a task is due, and how it stands at a moment.

use super::input::Unit;
use crate::calendar::Day;
use crate::time::Moment;

/// Operating hours of a task.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stated {
    pub(super) interval: f64,
    /// Since last done.
    pub(super) run: f64,
    pub(super) per_day: Option<f64>,
}

/// A task of which everything is known.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub(super) last: Day,
    pub(super) every: Option<(i64, Unit)>,
    pub(super) hours: Option<Stated>,
    /// Share of the interval, before and after.
    pub(super) window: f64,
}

/// How a task stands, the worst last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Standing {
    /// Before its window.
    NotYet,
    /// In its window, before it is due, or on the day.
    Open,
    /// After it was due, still in its window.
    PastDue,
    /// After its window.
    Overdue,
}

impl Standing {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::NotYet => "not yet due",
            Self::Open => "window open",
            Self::PastDue => "past due, in its window",
            Self::Overdue => "overdue",
        }
    }
}

/// Due by the calendar, with the window's first and last day.
#[derive(Debug, Clone, Copy)]
pub(super) struct ByCalendar {
    pub(super) due: Day,
    pub(super) from: Day,
    pub(super) to: Day,
}

/// Due by hours, with the window in hours and the days on which they will be reached.
#[derive(Debug, Clone, Copy)]
pub(super) struct ByHours {
    pub(super) interval: f64,
    pub(super) run: f64,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) per_day: Option<f64>,
    /// Days of the window's beginning, of the due hour and of the window's end.
    pub(super) days: Option<[Day; 3]>,
}

/// What was found for a task.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub(super) calendar: Option<ByCalendar>,
    pub(super) hours: Option<ByHours>,
    pub(super) standing: Standing,
    /// The first of the two due days.
    pub(super) due: Option<Day>,
    pub(super) by_hours_first: bool,
    /// The first of the two window ends.
    pub(super) latest: Option<Day>,
    pub(super) earliest: Option<Day>,
}

fn add(day: Day, (count, unit): (i64, Unit)) -> Day {
    match unit {
        Unit::Days => day.after(count),
        Unit::Weeks => day.after(7 * count),
        Unit::Months => day.months_after(count),
        Unit::Years => day.months_after(12 * count),
    }
}

/// Hours and shares of them are sums of typed decimals: this much is rounding.
const ROUNDING: f64 = 1e-9;

pub(super) fn find(task: &Known, as_of: Moment) -> Found {
    let today = Day::of(as_of);
    let calendar = task.every.map(|every| {
        let due = add(task.last, every);
        #[expect(clippy::cast_precision_loss, reason = "a number of days, far below 2^53")]
        let length = (due.number - task.last.number) as f64;
        #[expect(clippy::cast_possible_truncation, reason = "half of an interval in days at most")]
        let margin = libm::floor(task.window * length + ROUNDING) as i64;
        ByCalendar { due, from: due.after(-margin), to: due.after(margin) }
    });
    let by_calendar = calendar.map(|c| match () {
        () if today < c.from => Standing::NotYet,
        () if today <= c.due => Standing::Open,
        () if today <= c.to => Standing::PastDue,
        () => Standing::Overdue,
    });
    let hours = task.hours.map(|stated| by_hours(task, stated, as_of, today));
    let of_hours = hours.map(|h| {
        let past = |edge: f64| h.run > edge * (1.0 + ROUNDING);
        match () {
            () if h.run < h.from * (1.0 - ROUNDING) => Standing::NotYet,
            () if !past(h.interval) => Standing::Open,
            () if !past(h.to) => Standing::PastDue,
            () => Standing::Overdue,
        }
    });
    let days = hours.and_then(|h| h.days);
    let hour_due = days.map(|[_, due, _]| due);
    let first = |a: Option<Day>, b: Option<Day>| match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    Found {
        standing: by_calendar.max(of_hours).unwrap_or(Standing::NotYet),
        due: first(calendar.map(|c| c.due), hour_due),
        by_hours_first: match (calendar, hour_due) {
            (Some(c), Some(h)) => h < c.due,
            (calendar, _) => calendar.is_none(),
        },
        latest: first(calendar.map(|c| c.to), days.map(|[.., to]| to)),
        earliest: first(calendar.map(|c| c.from), days.map(|[from, ..]| from)),
        calendar,
        hours,
    }
}

fn by_hours(task: &Known, stated: Stated, as_of: Moment, today: Day) -> ByHours {
    let Stated { interval, run, per_day } = stated;
    #[expect(clippy::cast_precision_loss, reason = "a number of days, far below 2^53")]
    let since = (today.number - task.last.number) as f64;
    let per_day = per_day.or_else(|| (since > 0.0).then(|| run / since)).filter(|mean| *mean > 0.0);
    let (from, to) = (interval * (1.0 - task.window), interval * (1.0 + task.window));
    let days = per_day.map(|mean| {
        [from, interval, to].map(|edge| {
            // A far day is cut off at a century: nothing is planned on it.
            let seconds = ((edge - run) / mean * 86_400.0).clamp(-3.2e9, 3.2e9);
            Day::of(as_of.after(seconds))
        })
    });
    ByHours { interval, run, from, to, per_day, days }
}
