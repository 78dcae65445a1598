//! Figure and tables of a window of more than a week: the smallest angle of each day, bounded in
//! size however long the window.

use quantity::against_limit;

use super::long::{Day, Long};
use super::present::{Shown, texts};
use crate::{Drawn, Figure, Outcome, Point, Series, Table};

/// The longest window, in days, that is listed day by day; a longer one is listed by months.
const LISTED: usize = 62;
/// The most points of the figure, about; beyond, several days make one.
const POINTS: usize = 400;
/// The most runs of days that are listed.
const RUNS: usize = 60;
const DAY: f64 = 86_400.0;

impl Day {
    fn angle(&self) -> Option<f64> {
        self.stretch.lowest.map(|lowest| lowest.angle.to_degrees())
    }

    fn near(&self) -> bool {
        self.stretch.spell.is_some()
    }
}

/// The day whose sun comes nearest.
fn lowest<'d>(days: impl IntoIterator<Item = &'d Day>) -> Option<&'d Day> {
    let angle = |day: &Day| day.angle().unwrap_or(f64::INFINITY);
    days.into_iter()
        .filter(|day| day.angle().is_some())
        .min_by(|a, b| angle(a).total_cmp(&angle(b)))
}

impl Shown<'_> {
    /// An angle in degrees, and when; nothing for a time without sun.
    fn angle_and_moment(&self, day: Option<&Day>) -> [String; 2] {
        let found = day.and_then(|day| day.stretch.lowest);
        let Some(lowest) = found else { return ["sun down".to_owned(), String::new()] };
        let degrees = lowest.angle.to_degrees();
        let text = format!("{degrees:.2}");
        let margin = self.job.margin.angle.radians().to_degrees();
        let hides = text.parse::<f64>().is_ok_and(|shown| (shown < margin) != (degrees < margin));
        let text = if hides { against_limit(degrees, &self.job.margin.degrees) } else { text };
        [text, self.moment(lowest.at).text()]
    }

    fn name(&self, day: &Day) -> String {
        self.moment(day.midnight).day()
    }

    /// On how many days the sun comes nearer than the margin.
    pub(super) fn days_near(&self, long: &Long) -> String {
        let near: Vec<&Day> = long.days.iter().filter(|day| day.near()).collect();
        let (Some(first), Some(last)) = (near.first(), near.last()) else {
            return String::new();
        };
        format!(
            " That is so on {} of {} days, the first on {}, the last on {}.",
            near.len(),
            long.days.len(),
            self.name(first),
            self.name(last)
        )
    }

    pub(super) fn long_results(&self, long: &Long) -> Vec<Outcome> {
        let count = |name: &str, meaning: &str, number: usize| {
            Outcome::new(name, meaning, number.to_string(), "d")
        };
        let near = long.days.iter().filter(|day| day.near()).count();
        let dark = long.days.iter().filter(|day| day.angle().is_none()).count();
        vec![
            count("days", "days that the window touches", long.days.len()),
            count("days_near", "days on which the sun is nearer than the margin", near),
            count("days_dark", "days on which the sun stays below the horizon", dark),
        ]
    }

    pub(super) fn long_figure(&self, long: &Long) -> Option<Figure> {
        let days = |unix: f64| format!("{:.3}", (unix - self.job.window.start.unix()) / DAY);
        let each = long.days.len().div_ceil(POINTS);
        let mut runs: Vec<Vec<Point>> = vec![Vec::new()];
        for group in long.days.chunks(each.max(1)) {
            match lowest(group).and_then(|day| day.stretch.lowest) {
                Some(lowest) => {
                    let y = format!("{:.2}", lowest.angle.to_degrees());
                    if let Some(run) = runs.last_mut() {
                        run.push(Point { x: days(lowest.at), y });
                    }
                }
                None => runs.push(Vec::new()),
            }
        }
        runs.retain(|run| !run.is_empty());
        if runs.is_empty() {
            return None;
        }
        let meaning = match each {
            0 | 1 => "smallest angle of the day".to_owned(),
            several => format!("smallest angle of {several} days"),
        };
        let several = runs.len() > 1;
        let mut series: Vec<Series> = runs
            .into_iter()
            .enumerate()
            .map(|(index, points)| {
                let name = if several { format!("lowest_{}", index + 1) } else { "lowest".into() };
                Series::new(&name, &meaning, Drawn::Thick, points)
            })
            .collect();
        let margin = |unix| Point { x: days(unix), y: self.job.margin.degrees.to_string() };
        let limit = vec![margin(self.found.from), margin(self.found.to)];
        series.push(Series::new("limit", "least allowed", Drawn::Dashed, limit));
        Some(Figure::lines(
            "Smallest angle between mirror axis and sun, day by day",
            "days since the planned start",
            "angle in °",
            series,
        ))
    }

    pub(super) fn long_tables(&self, long: &Long) -> Vec<Table> {
        let mut tables = Vec::new();
        let hours = |days: &[&Day]| {
            let seconds: f64 = days.iter().map(|day| day.stretch.near).sum();
            format!("{:.1}", seconds / 3600.0)
        };
        if long.days.len() <= LISTED {
            let row = |day: &Day| {
                let [angle, when] = self.angle_and_moment(Some(day));
                vec![self.name(day), angle, when, hours(&[day])]
            };
            tables.push(Table {
                name: "days".to_owned(),
                title: "The smallest angle of each day".to_owned(),
                columns: texts(&["day", "smallest angle °", "when", "nearer than the margin h"]),
                rows: long.days.iter().map(row).collect(),
            });
        } else {
            let month = |day: &Day| self.name(day).get(..7).unwrap_or_default().to_owned();
            let groups = long.days.chunk_by(|a, b| month(a) == month(b));
            let row = |days: &[Day]| {
                let [angle, when] = self.angle_and_moment(lowest(days));
                let all: Vec<&Day> = days.iter().collect();
                let near = days.iter().filter(|day| day.near()).count();
                let name = days.first().map(month).unwrap_or_default();
                vec![name, angle, when, near.to_string(), hours(&all)]
            };
            tables.push(Table {
                name: "months".to_owned(),
                title: "The smallest angle of each month".to_owned(),
                columns: texts(&[
                    "month",
                    "smallest angle °",
                    "when",
                    "days nearer than the margin",
                    "nearer than the margin h",
                ]),
                rows: groups.map(row).collect(),
            });
        }
        let runs = long.days.chunk_by(|a, b| a.near() == b.near());
        let rows: Vec<_> = runs
            .filter(|run| run.first().is_some_and(Day::near))
            .filter_map(|run| {
                let [angle, _] = self.angle_and_moment(lowest(run));
                let (first, last) = (run.first()?, run.last()?);
                Some(vec![self.name(first), self.name(last), run.len().to_string(), angle])
            })
            .take(RUNS)
            .collect();
        if !rows.is_empty() {
            tables.push(Table {
                name: "broken_days".to_owned(),
                title: format!(
                    "Days in a row on which the sun is nearer than the margin (the first {RUNS} runs)"
                ),
                columns: texts(&["first day", "last day", "days", "smallest angle °"]),
                rows,
            });
        }
        tables
    }
}
