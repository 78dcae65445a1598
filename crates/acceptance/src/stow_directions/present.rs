//! The sheet: the map, the best direction, the proposed one, the candidates.

use quantity::{against_limit, significant};

use super::CALCULATION;
use super::input::Wanted;
use super::map::{Chart, Followed};
use crate::form::Form;
use crate::parking_window::{rule, verdict};
use crate::sun::{RATE, SPA, degrees, sources, true_north};
use crate::time::Moment;
use crate::{Drawn, Figure, Flag, Grid, Line, Outcome, Point, Series, Sheet, Table, Verdict};

/// The most seconds of a window whose sun is drawn over the map.
const DRAWN: f64 = 2.0 * 86_400.0;

/// The sheet of a map.
pub(super) fn sheet(form: Form, wanted: &Wanted, chart: &Chart) -> Sheet {
    let shown = Shown { wanted, chart };
    Sheet {
        verdict: match &chart.proposed {
            Some(proposed) => verdict(&proposed.job, &proposed.found),
            None => Verdict::Computed,
        },
        reason: shown.reason(),
        results: shown.results(),
        working: shown.working(),
        rule: Some(rule(&wanted.job.margin)),
        validity: "Holds only while the mirror axis stays pinned in the direction. The angle counts \
                   from the middle of the sun, whose radius is 0.27°; an error of the dish's display \
                   is not in it. The sun counts while its upper edge is above a level horizon: on a \
                   slope it shows earlier. Whether the dish may stand so in wind, and whether its \
                   drives reach the direction, is not in it, nor is light that other dishes or panes \
                   throw. Years 1950 to 2099."
            .to_owned(),
        sources: sources(),
        flags: shown.flags(),
        figure: shown.figure(),
        tables: shown.tables(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

struct Shown<'a> {
    wanted: &'a Wanted,
    chart: &'a Chart,
}

impl Shown<'_> {
    fn moment(&self, unix: f64) -> Moment {
        let start = self.wanted.job.window.start;
        start.after(unix - start.unix())
    }

    fn margin(&self) -> f64 {
        self.wanted.job.margin.angle.radians()
    }

    /// An angle against the margin, in degrees.
    fn against(&self, followed: &Followed) -> Option<String> {
        let nearest = followed.found.nearest.as_ref()?;
        Some(against_limit(degrees(nearest.angle()), &self.wanted.job.margin.degrees))
    }

    /// How many cells there are, and how many keep the margin.
    fn counts(&self) -> (usize, usize) {
        let cells = || self.chart.rows.iter().flatten();
        let kept = cells().filter(|cell| self.chart.keeps(**cell, self.margin())).count();
        (cells().count(), kept)
    }

    fn reason(&self) -> String {
        let window = &self.wanted.job.window;
        let (from, to) = window.padded();
        let (from, to) = (self.moment(from).shown(), self.moment(to).shown());
        let margin = self.wanted.job.margin.degrees;
        let mut text = match &self.chart.best {
            None => format!(
                "Sun below the horizon from {from} to {to}: no direction of the map is nearer to it \
                 than another."
            ),
            Some(best) => {
                let (cells, kept) = self.counts();
                format!(
                    "From {from} to {to}, {kept} of {cells} directions of the map keep {margin}° to \
                     the sun. Farthest is {}: {}° at the nearest.",
                    place(best),
                    self.against(best).unwrap_or_default()
                )
            }
        };
        if let Some(proposed) = &self.chart.proposed {
            text.push_str(&format!(" Proposed is {}: ", place(proposed)));
            text.push_str(&match &proposed.found.nearest {
                None => "the sun is below the horizon all the time.".to_owned(),
                Some(nearest) => format!(
                    "the sun comes as near as {}° at {}, {} than the {margin}° asked for.",
                    self.against(proposed).unwrap_or_default(),
                    self.moment(nearest.at).shown(),
                    match verdict(&proposed.job, &proposed.found) {
                        Verdict::Fail => "nearer",
                        Verdict::Pass | Verdict::Computed => "not nearer",
                        Verdict::NotJudged => "too close to tell whether it is nearer",
                    }
                ),
            });
        }
        text
    }

    fn results(&self) -> Vec<Outcome> {
        let (cells, kept) = self.counts();
        let mut out = Vec::new();
        let sides = [("", self.chart.proposed.as_ref()), ("best_", self.chart.best.as_ref())];
        for (name, followed) in sides {
            let Some(followed) = followed else { continue };
            let Some(nearest) = &followed.found.nearest else { continue };
            let of = &followed.name;
            out.push(Outcome::new(
                &format!("{name}min_angle"),
                &format!("smallest angle between mirror axis and sun, {of}"),
                self.against(followed).unwrap_or_default(),
                "°",
            ));
            let when = self.moment(nearest.at).text();
            out.push(Outcome::new(&format!("{name}at"), &format!("when, {of}"), when, ""));
        }
        if let Some(best) = &self.chart.best {
            let angle = |angle| plain(degrees(angle));
            out.push(Outcome::new(
                "best_azimuth",
                "azimuth of the best direction of the map",
                angle(best.job.axis.azimuth),
                "°",
            ));
            out.push(Outcome::new(
                "best_elevation",
                "elevation of the best direction of the map",
                angle(best.job.axis.elevation),
                "°",
            ));
        }
        let count = |name: &str, meaning: &str, number: usize| {
            Outcome::new(name, meaning, number.to_string(), "1")
        };
        out.push(count("directions", "directions of the map", cells));
        out.push(count("directions_kept", "directions that keep the margin", kept));
        out
    }

    fn working(&self) -> Vec<Line> {
        let (job, chart) = (&self.wanted.job, self.chart);
        let (from, to) = job.window.padded();
        let moment = |symbol: &str, meaning: &str, formula: &str, unix: f64| {
            Line::new(symbol, meaning, formula, self.moment(unix).text(), "")
        };
        let padding = job.window.padding_text.as_deref().unwrap_or("0 h");
        let mut lines = job.place.working(job.delta_t);
        lines.extend([
            moment("t_1", "beginning of the window", &format!("start − {padding}"), from),
            moment(
                "t_2",
                "end of the window",
                &format!("start + {} + {padding}", job.window.length_text),
                to,
            ),
            Line::new(
                "τ",
                "time between two samples of the sun",
                "112.5 s up to 8.5 d, else 450 s",
                significant(chart.step, 5),
                "s",
            )
            .sourced(SPA),
            Line::new(
                "B",
                "an angle of the map differs from the true one by at most this, at 90°",
                "B = 6·(ω·τ)²/8/cos(σ/2) + 0.0003°: taken to the chord between two samples, which \
                 the path leaves by no more than 6·(ω·τ)²/8",
                format!("{:.4}", chart.bound(core::f64::consts::FRAC_PI_2).to_degrees()),
                "°",
            ),
            Line::new(
                "ω",
                "the most that the sun turns",
                "15° ± 0.005° an hour about the pole, \
                       0.02° an hour from it; rounded up",
                significant(RATE.to_degrees() * 3600.0, 4),
                "°/h",
            ),
        ]);
        let sides = [("m", chart.proposed.as_ref()), ("b", chart.best.as_ref())];
        for (n, followed) in sides {
            let Some(followed) = followed else { continue };
            let axis = followed.job.axis;
            let what = &followed.name;
            let six = |angle| format!("{:.6}", degrees(angle));
            let typed = |angle| plain(degrees(angle));
            let line = |symbol: &str, meaning: &str, formula: &str, value: String| {
                Line::new(
                    &format!("{symbol}_{n}"),
                    &format!("{meaning}, {what}"),
                    formula,
                    value,
                    "°",
                )
            };
            lines.push(line("A", "azimuth of the mirror axis", "direction", typed(axis.azimuth)));
            lines.push(line(
                "e",
                "elevation of the mirror axis",
                "direction",
                typed(axis.elevation),
            ));
            let Some(nearest) = &followed.found.nearest else { continue };
            let sun = nearest.sun;
            lines.push(moment(
                &format!("t_{n}"),
                &format!("moment of the nearest approach, {what}"),
                "as parking-window finds it",
                nearest.at,
            ));
            lines.push(
                line(
                    "As",
                    "azimuth of the sun then",
                    "by the algorithm",
                    six(sun.apparent.azimuth),
                )
                .sourced(SPA),
            );
            lines.push(
                line(
                    "es",
                    "elevation of the sun then, as seen",
                    "by the algorithm",
                    six(sun.apparent.elevation),
                )
                .sourced(SPA),
            );
            lines.push(
                line(
                    "e0",
                    "elevation of the sun then, without air",
                    "by the algorithm",
                    six(sun.geometric.elevation),
                )
                .sourced(SPA),
            );
            lines.push(line(
                "σ",
                "angle between mirror axis and sun",
                &format!(
                    "as σ in sun-position, from A_{n}, e_{n}, As_{n} and es_{n} or e0_{n}, whichever \
                     gives less"
                ),
                six(nearest.angle()),
            ));
        }
        lines
    }

    fn flags(&self) -> Vec<Flag> {
        let job = &self.wanted.job;
        let mut flags = vec![true_north()];
        let mut flag = |code: &str, sentence: String| {
            flags.push(Flag { code: code.to_owned(), sentence });
        };
        flag(
            "sun_alone",
            "The map knows the sun alone. Wind, the reach of the drives, cables, shade and people's \
             way to the dish decide too; the employer's procedure says where a dish is parked."
                .to_owned(),
        );
        if self.chart.best.is_none() {
            flag(
                "sun_below_horizon",
                "The sun is below the horizon for the whole window. It comes back.".to_owned(),
            );
        }
        if let Some(padding) = &job.window.padding_text {
            flag(
                "padded",
                format!(
                    "The clock is not confirmed: {padding} is added before the start and after the \
                     end."
                ),
            );
        }
        flags.extend(job.place.clock_flag(job.window.start));
        flags
    }

    fn figure(&self) -> Option<Figure> {
        let best = self.chart.best.as_ref()?;
        let (azimuths, elevations) = (self.wanted.azimuths, self.wanted.elevations);
        let (from, to) = self.wanted.job.window.padded();
        // Azimuths go on where the map does.
        let turned = |azimuth: f64| azimuths.from + (azimuth - azimuths.from).rem_euclid(360.0);
        let point = |azimuth: f64, elevation: f64| Point {
            x: format!("{:.2}", turned(azimuth)),
            y: format!("{elevation:.2}"),
        };
        let mut series = Vec::new();
        if to - from <= DRAWN {
            for (number, arc) in best.found.arcs.iter().enumerate() {
                let path: Vec<_> = arc
                    .points
                    .iter()
                    .step_by(3)
                    .map(|p| p.sun.apparent)
                    .map(|sun| (turned(degrees(sun.azimuth)), degrees(sun.elevation)))
                    .collect();
                // Cut where the path leaves the map on one side and comes back on the other.
                for (part, run) in path.chunk_by(|a, b| (a.0 - b.0).abs() < 180.0).enumerate() {
                    series.push(Series::new(
                        &format!("sun_{}_{}", number + 1, part + 1),
                        "the sun",
                        Drawn::Thin,
                        run.iter().map(|(azimuth, up)| point(*azimuth, *up)).collect(),
                    ));
                }
            }
        }
        let marks = |all: &[Followed]| {
            let place = |one: &Followed| {
                point(degrees(one.job.axis.azimuth), degrees(one.job.axis.elevation))
            };
            all.iter().map(place).collect::<Vec<_>>()
        };
        let mut mark = |name: &str, meaning: &str, drawn: Drawn, all: &[Followed]| {
            if !all.is_empty() {
                series.push(Series::new(name, meaning, drawn, marks(all)));
            }
        };
        mark("best", "best direction of the map", Drawn::Points, core::slice::from_ref(best));
        mark("candidates", "candidates", Drawn::Points, &self.chart.candidates);
        mark("proposed", "proposed", Drawn::Crosses, self.chart.proposed.as_slice());
        let value = |cell: &Option<super::map::Cell>| {
            cell.map_or_else(String::new, |cell| format!("{:.1}", cell.angle.to_degrees()))
        };
        Some(Figure {
            grid: Some(Grid {
                meaning: "smallest angle to the sun".to_owned(),
                unit: "°".to_owned(),
                x_from: plain(azimuths.from),
                x_step: plain(azimuths.step),
                y_from: plain(elevations.from),
                y_step: plain(elevations.step),
                rows: self.chart.rows.iter().map(|row| row.iter().map(value).collect()).collect(),
            }),
            ..Figure::lines(
                "Smallest angle between mirror axis and sun, by direction of the axis",
                "azimuth of the mirror axis from true north, in °",
                "elevation of the mirror axis, in °",
                series,
            )
        })
    }

    fn tables(&self) -> Vec<Table> {
        let texts = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
        let mut tables = Vec::new();
        if !self.chart.candidates.is_empty() {
            let all = self.chart.candidates.iter().chain(&self.chart.proposed);
            tables.push(Table {
                name: "candidates".to_owned(),
                title: "The named directions".to_owned(),
                columns: texts(&[
                    "direction",
                    "azimuth °",
                    "elevation °",
                    "smallest angle °",
                    "when",
                    "against the margin",
                ]),
                rows: all.map(|one| self.candidate(one)).collect(),
            });
        }
        if self.chart.best.is_some() {
            tables.push(Table {
                name: "elevations".to_owned(),
                title: "Best azimuth of each elevation, and the azimuths that keep the margin"
                    .to_owned(),
                columns: texts(&[
                    "elevation °",
                    "best azimuth °",
                    "smallest angle °",
                    "when",
                    "azimuths that keep the margin °",
                ]),
                rows: self.elevations(),
            });
        }
        tables
    }

    fn candidate(&self, one: &Followed) -> Vec<String> {
        let axis = one.job.axis;
        let (angle, when) = match &one.found.nearest {
            Some(nearest) => {
                (self.against(one).unwrap_or_default(), self.moment(nearest.at).text())
            }
            None => ("sun down".to_owned(), String::new()),
        };
        let word = match verdict(&one.job, &one.found) {
            Verdict::Fail => "nearer",
            Verdict::Pass | Verdict::Computed => "kept",
            Verdict::NotJudged => "too close to tell",
        };
        vec![
            one.name.clone(),
            plain(degrees(axis.azimuth)),
            plain(degrees(axis.elevation)),
            angle,
            when,
            word.to_owned(),
        ]
    }

    fn elevations(&self) -> Vec<Vec<String>> {
        let azimuths = self.wanted.azimuths;
        let mut rows = Vec::new();
        for (elevation, cells) in self.wanted.elevations.degrees().zip(&self.chart.rows) {
            let best = super::map::best(core::slice::from_ref(cells)).map(|(_, column)| column);
            let cell = best.and_then(|column| cells.get(column).copied().flatten());
            let kept: Vec<bool> =
                cells.iter().map(|cell| self.chart.keeps(*cell, self.margin())).collect();
            let mut ranges = Vec::new();
            let mut place = 0;
            for run in kept.chunk_by(|a, b| a == b) {
                let (first, last) = (azimuths.nth(place), azimuths.nth(place + run.len() - 1));
                place += run.len();
                if run.first() == Some(&true) {
                    let (first, last) = (plain(first), plain(last));
                    ranges.push(if first == last { first } else { format!("{first} to {last}") });
                }
            }
            let none = ranges.is_empty();
            rows.push(vec![
                plain(elevation),
                best.map(|column| plain(azimuths.nth(column))).unwrap_or_default(),
                cell.map(|cell| format!("{:.1}", cell.angle.to_degrees())).unwrap_or_default(),
                cell.map(|cell| self.moment(cell.at).text()).unwrap_or_default(),
                if none { "none".to_owned() } else { ranges.join(", ") },
            ]);
        }
        rows
    }
}

/// A number of degrees without the zeros that end it.
fn plain(degrees: f64) -> String {
    let text = format!("{degrees:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The direction in words.
fn place(followed: &Followed) -> String {
    let axis = followed.job.axis;
    format!(
        "azimuth {}°, elevation {}°",
        plain(degrees(axis.azimuth)),
        plain(degrees(axis.elevation))
    )
}
