//! The sheet of a job: verdict, nearest approach, working, the sun's path.

use quantity::{Measured, Rule, StandardUncertainty, against_limit, decide, significant};

use super::CALCULATION;
use super::input::Job;
use super::track::{Found, Point as Place};
use crate::form::Form;
use crate::sun::{SPA, Sun, degrees, sources};
use crate::sun_position::{SEPARATION, true_north};
use crate::time::Moment;
use crate::{Figure, Flag, Line, Outcome, Point, RuleShown, Series, Sheet, Table, Verdict};

/// Seconds between two rows of the sun's path, and between two rows for windows of over a day.
const ROWS: (f64, f64) = (900.0, 3600.0);
const DAY: f64 = 86_400.0;

/// The sheet of a whole job.
pub(super) fn sheet(form: Form, job: &Job, found: &Found) -> Sheet {
    let verdict = verdict(job, found);
    let shown = Shown { job, found };
    Sheet {
        verdict,
        reason: shown.reason(verdict),
        results: shown.results(),
        working: shown.working(),
        rule: Some(RuleShown {
            name: "simple".to_owned(),
            text: "Simple acceptance (JCGM 106:2012, 8.2): accepted if the smallest angle ≥ limit, \
                   unrounded, or if the sun stays below the level horizon."
                .to_owned(),
            limit: format!("{} °", job.margin_degrees),
            limit_source: job.source.clone(),
            acceptance_limit: None,
            conformance_probability: None,
        }),
        validity: "Holds only while the mirror axis stays pinned where it was read. The angle counts \
                   from the middle of the sun, whose radius is 0.27°, with air or without, whichever \
                   is nearer; an error of the dish's display is not in it. The sun counts while its upper edge is above a level horizon: on a \
                   slope it shows earlier. Light that other dishes or panes throw is not in it. Years \
                   1950 to 2099."
            .to_owned(),
        sources: sources(),
        flags: shown.flags(),
        figure: shown.figure(),
        tables: shown.tables(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn verdict(job: &Job, found: &Found) -> Verdict {
    let Some(nearest) = &found.nearest else { return Verdict::Pass };
    let measured = Measured::new(nearest.angle(), StandardUncertainty::ZERO);
    match decide(&measured, quantity::Limit::AtLeast(job.margin), Rule::Simple).verdict {
        quantity::Verdict::Pass => Verdict::Pass,
        quantity::Verdict::Fail => Verdict::Fail,
        quantity::Verdict::NotJudged => Verdict::NotJudged,
    }
}

struct Shown<'a> {
    job: &'a Job,
    found: &'a Found,
}

impl Shown<'_> {
    fn moment(&self, unix: f64) -> Moment {
        self.job.start.after(unix - self.job.start.unix())
    }

    fn angle(&self, point: &Place) -> String {
        against_limit(degrees(point.angle()), &self.job.margin_degrees)
    }

    fn reason(&self, verdict: Verdict) -> String {
        let (job, found) = (self.job, self.found);
        let (from, to) = (self.moment(found.from).shown(), self.moment(found.to).shown());
        let margin = job.margin_degrees;
        let mut text = match &found.nearest {
            None => format!("Sun below the horizon from {from} to {to}."),
            Some(nearest) => {
                let side = if verdict == Verdict::Pass { "not nearer" } else { "nearer" };
                format!(
                    "From {from} to {to} the sun comes as near as {}° to the mirror axis, at {}, \
                     {side} than the {margin}° asked for.",
                    self.angle(nearest),
                    self.moment(nearest.at).shown()
                )
            }
        };
        if let Some((begin, _)) = found.broken.first() {
            text.push_str(&format!(
                " It is nearer than that from {}. Park the dish in another direction, or plan the \
                 job for another time.",
                self.moment(*begin).shown()
            ));
        }
        text.push_str(&match found.after {
            Some(after) if after <= found.planned_end => {
                format!(" At the planned end the sun is nearer than {margin}°.")
            }
            Some(after) => format!(
                " After the planned end it first comes nearer than {margin}° at {}.",
                self.moment(after).shown()
            ),
            None => format!(
                " In the 24 h after the planned end it does not come nearer than {margin}°."
            ),
        });
        text.push_str(&self.now());
        text
    }

    /// Where the sun is at the start, to compare by eye.
    fn now(&self) -> String {
        let seen = &self.found.start.sun.apparent;
        let (azimuth, elevation) = (degrees(seen.azimuth), degrees(seen.elevation));
        if elevation < 0.0 {
            return match self.found.rise {
                Some(rise) => {
                    format!(
                        " At the start the sun is down; it rises at {}.",
                        self.moment(rise).shown()
                    )
                }
                None => " At the start the sun is down.".to_owned(),
            };
        }
        format!(
            " At the start it stands at azimuth {azimuth:.1}° from true north, elevation \
             {elevation:.1}°: look, and compare."
        )
    }

    fn results(&self) -> Vec<Outcome> {
        let found = self.found;
        let mut out = Vec::new();
        if let Some(nearest) = &found.nearest {
            out.push(Outcome::new(
                "min_angle",
                "smallest angle between mirror axis and sun",
                self.angle(nearest),
                "°",
            ));
            out.push(Outcome::new("at", "when", self.moment(nearest.at).text(), ""));
        }
        if let Some((begin, _)) = found.broken.first() {
            let meaning = "first time in the window that the sun is nearer than the margin";
            out.push(Outcome::new("first_break", meaning, self.moment(*begin).text(), ""));
        }
        out.push(Outcome::new(
            "first_break_after",
            "first time after the planned end, within 24 h, that the sun is nearer than the margin",
            found.after.map_or_else(|| "none".to_owned(), |after| self.moment(after).text()),
            "",
        ));
        let seen = &found.start.sun.apparent;
        let (azimuth, elevation) = (degrees(seen.azimuth), degrees(seen.elevation));
        out.push(Outcome::new(
            "sun_now",
            "where the sun is at the planned start, to compare by eye",
            format!("azimuth {azimuth:.1}°, elevation {elevation:.1}°"),
            "",
        ));
        let at_start =
            |name, meaning, value: f64| Outcome::new(name, meaning, format!("{value:.2}"), "°");
        out.push(at_start("sun_azimuth", "azimuth of the sun at the planned start", azimuth));
        out.push(at_start("sun_elevation", "elevation of the sun at the planned start", elevation));
        out.push(at_start(
            "angle_now",
            "angle between mirror axis and sun at the planned start",
            degrees(found.start.angle()),
        ));
        out
    }

    fn working(&self) -> Vec<Line> {
        let (job, found) = (self.job, self.found);
        let angle = |value: f64| significant(value, 8);
        let moment = |symbol: &str, meaning: &str, formula: &str, unix: f64| {
            Line::new(symbol, meaning, formula, self.moment(unix).text(), "")
        };
        let mut lines = job.place.working(job.delta_t);
        lines.extend([
            Line::new(
                "A_m",
                "azimuth of the mirror axis, from true north",
                "as typed",
                angle(degrees(job.axis.azimuth)),
                "°",
            ),
            Line::new(
                "e_m",
                "elevation of the mirror axis",
                "as typed",
                angle(degrees(job.axis.elevation)),
                "°",
            ),
            moment("t_s", "planned start", "as typed", job.start.unix()),
            moment(
                "t_e",
                "planned end",
                &format!("t_e = t_s + {}", job.length_text),
                found.planned_end,
            ),
        ]);
        let padding = job.padding_text.as_deref().unwrap_or("0 h");
        lines.push(moment(
            "t_1",
            "beginning of the window",
            &format!("t_1 = t_s − {padding}"),
            found.from,
        ));
        lines.push(moment("t_2", "end of the window", &format!("t_2 = t_e + {padding}"), found.to));
        for (index, arc) in found.arcs.iter().enumerate() {
            let n = index + 1;
            let from = if arc.span.rises { "sunrise" } else { "beginning of the window" };
            let to = if arc.span.sets { "sunset" } else { "end of the window" };
            lines.push(moment(&format!("u_{n}"), "sun up from", from, arc.span.from).sourced(SPA));
            lines.push(moment(&format!("v_{n}"), "sun up to", to, arc.span.to).sourced(SPA));
        }
        lines.extend(self.point_lines("s", "at the planned start", &found.start));
        if let Some(nearest) = &found.nearest {
            lines.extend(self.point_lines("n", "at the nearest approach", nearest));
        }
        lines
    }

    /// A moment, the sun then, and its angle to the axis.
    fn point_lines(&self, n: &str, when: &str, point: &Place) -> Vec<Line> {
        let six = |value: f64| format!("{value:.6}");
        let Sun { geometric, apparent } = point.sun;
        let formula = SEPARATION
            .replace("σ =", &format!("σa_{n} ="))
            .replace("A −", &format!("A_{n} −"))
            .replace("cos e·", &format!("cos e_{n}·"))
            .replace("sin e ", &format!("sin e_{n} "))
            .replace("sin e +", &format!("sin e_{n} +"));
        let mut lines = Vec::new();
        if n == "n" {
            lines.push(Line::new(
                "t_n",
                "moment of the nearest approach",
                "σ(t_n) smallest while the sun is up: every 5 min, then by the golden section to \
                 0.25 s",
                self.moment(point.at).text(),
                "",
            ));
        }
        lines.extend([
            Line::new(
                &format!("A_{n}"),
                &format!("azimuth of the sun {when}"),
                "by the algorithm",
                six(degrees(apparent.azimuth)),
                "°",
            )
            .sourced(SPA),
            Line::new(
                &format!("e0_{n}"),
                &format!("elevation of the sun {when}, without air"),
                "by the algorithm",
                six(degrees(geometric.elevation)),
                "°",
            )
            .sourced(SPA),
            Line::new(
                &format!("e_{n}"),
                &format!("elevation of the sun {when}, as seen"),
                &format!("e_{n} = e0_{n} + refraction (sun-position)"),
                six(degrees(apparent.elevation)),
                "°",
            )
            .sourced(SPA),
            Line::new(
                &format!("σa_{n}"),
                &format!("angle between mirror axis and sun {when}, as seen"),
                &formula,
                six(degrees(point.apparent)),
                "°",
            ),
            Line::new(
                &format!("σ0_{n}"),
                "the same without air",
                &format!("as σa_{n}, with e0_{n}"),
                six(degrees(point.geometric)),
                "°",
            ),
            Line::new(
                &format!("σ_{n}"),
                "the angle that counts",
                &format!("σ_{n} = the smaller of σa_{n} and σ0_{n}"),
                six(degrees(point.angle())),
                "°",
            ),
        ]);
        lines
    }

    fn flags(&self) -> Vec<Flag> {
        let mut flags = vec![true_north()];
        let mut flag = |code: &str, sentence: String| {
            flags.push(Flag { code: code.to_owned(), sentence });
        };
        if self.found.nearest.is_none() {
            flag(
                "sun_below_horizon",
                "The sun is below the horizon for the whole window. It comes back: see its rise, and \
                 the first time after the planned end."
                    .to_owned(),
            );
        }
        if let Some(padding) = &self.job.padding_text {
            flag(
                "padded",
                format!(
                    "The clock is not confirmed: {padding} is added before the start and after the \
                     end, and every moment given here may come that much earlier or later."
                ),
            );
        }
        flags.extend(self.job.place.clock_flag(self.job.start));
        flags
    }

    /// The angle over the window, a line for each time that the sun is up.
    fn figure(&self) -> Option<Figure> {
        let (job, found) = (self.job, self.found);
        let hours = |unix: f64| format!("{:.4}", (unix - job.start.unix()) / 3600.0);
        let several = found.arcs.len() > 1;
        let mut series: Vec<Series> = found
            .arcs
            .iter()
            .enumerate()
            .map(|(index, arc)| Series {
                name: if several { format!("angle_{}", index + 1) } else { "angle".to_owned() },
                meaning: "angle to the sun".to_owned(),
                drawn: None,
                points: self
                    .rows(arc.points.iter())
                    .map(|p| Point { x: hours(p.at), y: format!("{:.2}", degrees(p.angle())) })
                    .collect(),
            })
            .collect();
        if series.is_empty() {
            return None;
        }
        let margin = |unix| Point { x: hours(unix), y: job.margin_degrees.to_string() };
        series.push(Series {
            name: "limit".to_owned(),
            meaning: "least allowed".to_owned(),
            drawn: None,
            points: vec![margin(found.from), margin(found.to)],
        });
        Some(Figure {
            title: "Angle between mirror axis and sun over the job".to_owned(),
            x_label: "hours since the planned start".to_owned(),
            y_label: "angle in °".to_owned(),
            series,
            bars: Vec::new(),
            grid: None,
            axes: None,
        })
    }

    /// Points at most as close as the rows of the path, with the ends and the nearest approach.
    fn rows<'p>(
        &self,
        points: impl ExactSizeIterator<Item = &'p Place>,
    ) -> impl Iterator<Item = &'p Place> {
        let window = self.found.to - self.found.from;
        let step = if window > DAY + ROWS.1 { ROWS.1 } else { ROWS.0 };
        let nearest = self.found.nearest.map(|p| p.at.to_bits());
        let last = points.len().saturating_sub(1);
        let mut next = f64::NEG_INFINITY;
        points.enumerate().filter_map(move |(index, point)| {
            let due = point.at >= next - 1.0;
            if due {
                next = point.at + step;
            }
            (due || index == last || Some(point.at.to_bits()) == nearest).then_some(point)
        })
    }

    fn tables(&self) -> Vec<Table> {
        let mut tables = Vec::new();
        let texts = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
        if !self.found.arcs.is_empty() {
            let row = |p: &Place| {
                vec![
                    self.moment(p.at).text(),
                    format!("{:.2}", degrees(p.sun.apparent.azimuth)),
                    format!("{:.2}", degrees(p.sun.apparent.elevation)),
                    format!("{:.2}", degrees(p.angle())),
                ]
            };
            tables.push(Table {
                name: "sun".to_owned(),
                title: "The sun over the window, as seen".to_owned(),
                columns: texts(&["moment", "azimuth °", "elevation °", "angle to the axis °"]),
                rows: self
                    .found
                    .arcs
                    .iter()
                    .flat_map(|arc| self.rows(arc.points.iter()).map(row).collect::<Vec<_>>())
                    .collect(),
            });
        }
        if !self.found.broken.is_empty() {
            tables.push(Table {
                name: "broken".to_owned(),
                title: "Times in the window when the sun is nearer than the margin".to_owned(),
                columns: texts(&["from", "to"]),
                rows: self
                    .found
                    .broken
                    .iter()
                    .map(|(from, to)| vec![self.moment(*from).text(), self.moment(*to).text()])
                    .collect(),
            });
        }
        tables
    }
}
