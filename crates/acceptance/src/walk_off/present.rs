//! The sheet: speed, passages, path.

use libm::{cos, sin};
use quantity::significant;

use super::CALCULATION;
use super::follow::{Image, Passage, SPEED, Walk};
use super::input::Stop;
use crate::form::Form;
use crate::sun::{SEPARATION, SPA, degrees, sources, true_north};
use crate::{Axes, Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Table, Verdict};

/// Corners of a circle that is drawn.
const CORNERS: u32 = 72;

/// The sheet of a walk.
pub(super) fn sheet(form: Form, stop: &Stop, walk: &Walk) -> Sheet {
    let shown = Shown { stop, walk };
    Sheet {
        verdict: Verdict::Computed,
        reason: shown.reason(),
        results: shown.results(),
        working: shown.working(),
        validity: "Holds for a dish that stands still from the stop on, with its axis where the sun \
                   was seen; the image of a mirror that is off its axis also blurs, so that the spot \
                   grows beyond its radius as it walks. The plane is the focal plane: what stands \
                   before or behind it is reached sooner or later, and the cone of light around the \
                   spot is wider there. Years 1950 to 2099."
            .to_owned(),
        sources: sources(),
        flags: shown.flags(),
        figure: Some(shown.figure()),
        tables: shown.tables(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

struct Shown<'a> {
    stop: &'a Stop,
    walk: &'a Walk,
}

/// Metres as millimetres, zero without a sign.
fn millimetres(metres: f64) -> String {
    let text = format!("{:.2}", 1e3 * metres);
    if text == "-0.00" { "0.00".to_owned() } else { text }
}

fn seconds(time: Option<f64>) -> String {
    time.map_or_else(|| "not before sunset".to_owned(), |time| format!("{time:.1}"))
}

impl Shown<'_> {
    /// Speed of the image by the plain formula, in m/s.
    fn speed(&self) -> f64 {
        self.stop.focal * SPEED * cos(self.walk.declination.radians())
    }

    fn reason(&self) -> String {
        let (early, late) = match self.stop.pointing {
            Some(_) => (", at the earliest", ", at the latest"),
            None => ("", ""),
        };
        let mut text = format!(
            "Stopped at {}, the image walks at {} mm/s.",
            self.stop.at.shown(),
            significant(1e3 * self.speed(), 4)
        );
        for passage in &self.walk.passages {
            let name = &passage.name;
            text.push_str(&match passage.earliest {
                (distance, _) if distance <= 0.0 => {
                    format!(" Its edge lies on the rim of {name} at once")
                }
                (_, Some(time)) => {
                    format!(" Its edge reaches the rim of {name} after {time:.0} s{early}")
                }
                (_, None) => {
                    format!(" Its edge does not reach the rim of {name} before the sun sets")
                }
            });
            text.push_str(&match passage.latest.1 {
                Some(time) => format!(", and all of it is past after {time:.0} s{late}."),
                None => ", and not all of it is past before the sun sets.".to_owned(),
            });
        }
        text
    }

    fn results(&self) -> Vec<Outcome> {
        let walk = self.walk;
        let out = |name: &str, meaning: &str, value: f64, digits: usize, unit: &str| {
            Outcome::new(name, meaning, significant(value, digits), unit)
        };
        let (speed, cosine) = (self.speed(), cos(walk.declination.radians()));
        let mut results = vec![
            out("image_speed", "speed of the image, f·ω·cos δ", 1e3 * speed, 6, "mm/s"),
            out("image_speed_minute", "the same in a minute", 6e4 * speed, 6, "mm/min"),
            out(
                "sun_speed",
                "speed of the sun off the axis, ω·cos δ",
                6e4 * SPEED * cosine,
                5,
                "mrad/min",
            ),
            out(
                "first_minute",
                "way of the image in the first minute, by the sun's motion as seen",
                1e3 * self.distance(&walk.minute),
                6,
                "mm",
            ),
        ];
        if self.stop.pointing.is_some() {
            let meaning = "shift of the spot by the pointing error";
            results.push(out("pointing_shift", meaning, 1e3 * walk.shift, 5, "mm"));
        }
        for (number, passage) in walk.passages.iter().enumerate() {
            let (n, name) = (number + 1, &passage.name);
            let time = |key: &str, meaning: String, time: Option<f64>| {
                let value = time.map_or_else(|| "none".to_owned(), |time| format!("{time:.1}"));
                Outcome::new(&format!("{key}_{n}"), &meaning, value, "s")
            };
            results.push(time(
                "reached",
                format!("time until the spot's edge reaches the rim of {name}, at the earliest"),
                passage.earliest.1,
            ));
            results.push(time(
                "cleared",
                format!("time until all of the spot is past the rim of {name}, at the latest"),
                passage.latest.1,
            ));
            results.push(Outcome::new(
                &format!("clear_angle_{n}"),
                &format!("angle off the sun at which all of the spot is past the rim of {name}"),
                format!("{:.3}", degrees(passage.clear_angle(self.stop.focal))),
                "°",
            ));
        }
        results
    }

    fn distance(&self, image: &Image) -> f64 {
        libm::sqrt(image.across * image.across + image.up * image.up)
    }

    fn working(&self) -> Vec<Line> {
        let (stop, walk) = (self.stop, self.walk);
        let line = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
            Line::new(symbol, meaning, formula, value, unit)
        };
        let six = |angle| format!("{:.6}", degrees(angle));
        let mut lines = stop.place.working(stop.delta_t);
        lines.extend([
            line("t_0", "moment of the stop", "as typed", stop.at.text(), ""),
            line("f", "focal length", "as typed", significant(1e3 * stop.focal, 7), "mm"),
            line("a", "radius of the spot", "as typed", significant(1e3 * stop.spot, 6), "mm"),
            line(
                "A_m",
                "azimuth of the mirror axis from the stop on, that of the sun as seen",
                "by the algorithm",
                six(walk.axis.azimuth),
                "°",
            )
            .sourced(SPA),
            line(
                "e_m",
                "elevation of the mirror axis, that of the sun as seen",
                "by the algorithm",
                six(walk.axis.elevation),
                "°",
            )
            .sourced(SPA),
            line("δ", "declination of the sun", "by the algorithm", six(walk.declination), "°")
                .sourced(SPA),
            line(
                "ω",
                "mean motion of the sun about the pole",
                "ω = 360°/24 h",
                significant(SPEED, 7),
                "rad/s",
            ),
            line(
                "v",
                "speed of the image, for comparison",
                "v = f·ω·cos δ",
                significant(1e3 * self.speed(), 6),
                "mm/s",
            ),
        ]);
        if let Some(error) = stop.pointing {
            lines.push(line("ε", "pointing error at the stop", "as typed", six(error), "°"));
        } else {
            lines.push(line("ε", "pointing error at the stop", "none stated", "0".into(), "°"));
        }
        lines.push(line(
            "s",
            "shift of the spot by the pointing error",
            "s = f·tan ε",
            significant(1e3 * walk.shift, 6),
            "mm",
        ));
        let minute = &walk.minute;
        lines.extend([
            line(
                "σ_60",
                "angle between axis and sun after 60 s",
                SEPARATION,
                format!("{:.6}", degrees(minute.angle)),
                "°",
            ),
            line(
                "d_60",
                "way of the image's middle after 60 s",
                "d = f·tan σ",
                significant(1e3 * self.distance(minute), 6),
                "mm",
            ),
        ]);
        for (number, passage) in walk.passages.iter().enumerate() {
            lines.extend(self.passage(number + 1, passage));
        }
        lines
    }

    fn passage(&self, n: usize, passage: &Passage) -> Vec<Line> {
        let focal = self.stop.focal;
        let name = &passage.name;
        let way =
            |key: &str, meaning: &str, formula: &str, (distance, time): (f64, Option<f64>)| {
                [
                    Line::new(
                        &format!("d{key}_{n}"),
                        &format!("distance of the image's middle when {meaning} {name}"),
                        &format!("d{key}_{n} = {formula}").replace('R', &format!("R_{n}")),
                        millimetres(distance),
                        "mm",
                    ),
                    Line::new(
                        &format!("t{key}_{n}"),
                        "seconds after the stop until then",
                        &format!("f·tan σ(t_0 + t{key}_{n}) = d{key}_{n}, by halving to 0.001 s"),
                        time.map_or_else(|| "none".to_owned(), |time| format!("{time:.2}")),
                        "s",
                    ),
                ]
            };
        let rim = "the spot's edge reaches the rim of";
        let past = "all of the spot is past the rim of";
        let mut lines = vec![Line::new(
            &format!("R_{n}"),
            &format!("radius of {name}"),
            "as typed",
            significant(1e3 * passage.radius, 6),
            "mm",
        )];
        lines.extend(way("r", rim, "R − a", passage.reached));
        lines.extend(way("c", past, "R + a", passage.cleared));
        if self.stop.pointing.is_some() {
            let early = format!("at the earliest {rim}");
            lines.extend(way("e", &early, "R − a − s", passage.earliest));
            let late = format!("at the latest {past}");
            lines.extend(way("l", &late, "R + a + s", passage.latest));
        }
        lines.push(Line::new(
            &format!("θ_{n}"),
            &format!("angle off the sun at which {past} {name}, wherever it stood"),
            &format!("θ_{n} = arctan((R_{n} + a + s)/f)"),
            format!("{:.5}", degrees(passage.clear_angle(focal))),
            "°",
        ));
        lines
    }

    fn flags(&self) -> Vec<Flag> {
        let mut flags = vec![true_north()];
        let mut flag = |code: &str, sentence: &str| {
            flags.push(Flag { code: code.to_owned(), sentence: sentence.to_owned() });
        };
        flag(
            "standing_still",
            "The dish is taken to stand still. One that sags, drifts or is turned by wind or hand \
             puts the light elsewhere, at other times.",
        );
        flag(
            "light_goes_on",
            "Past the last rim the light is not gone: it goes over the arm, cables, the ground and \
             whoever is there. The defocus of the dish and the employer's procedure for the focal \
             zone are not replaced by waiting.",
        );
        if self.stop.pointing.is_none() {
            flag(
                "pointing_error_not_stated",
                "No pointing error is stated: the spot is taken to be about the axis at the stop, \
                 and times may be shorter or longer than given.",
            );
        }
        if let Some(sets) = self.walk.sets {
            flag(
                "sun_sets",
                &format!(
                    "The sun sets {sets:.0} s after the stop, with the spot still over a rim."
                ),
            );
        }
        flags.extend(self.stop.place.clock_flag(self.stop.at));
        flags
    }

    fn figure(&self) -> Figure {
        let point = |across: f64, up: f64| Point { x: millimetres(across), y: millimetres(up) };
        let circle = |across: f64, up: f64, radius: f64| {
            let turn =
                |corner: u32| core::f64::consts::TAU * f64::from(corner) / f64::from(CORNERS);
            (0..=CORNERS)
                .map(|corner| {
                    let (s, c) = (sin(turn(corner)), cos(turn(corner)));
                    point(across + radius * c, up + radius * s)
                })
                .collect::<Vec<_>>()
        };
        let path = self.walk.path.iter().map(|image| point(image.across, image.up)).collect();
        let mut series = vec![Series::new("path", "middle of the image", Drawn::Thick, path)];
        for (number, passage) in self.walk.passages.iter().enumerate() {
            series.push(Series::new(
                &format!("rim_{}", number + 1),
                &passage.name,
                Drawn::Dashed,
                circle(0.0, 0.0, passage.radius),
            ));
        }
        let spot = self.stop.spot;
        let ends = [("spot_start", self.walk.path.first()), ("spot_end", self.walk.path.last())];
        for (name, image) in ends {
            let Some(image) = image else { continue };
            let meaning = format!("spot after {:.0} s", image.after);
            let circle = circle(image.across, image.up, spot);
            series.push(Series::new(name, &meaning, Drawn::Thin, circle));
        }
        Figure {
            axes: Some(Axes::Equal),
            ..Figure::lines(
                "Way of the sun's image over the focal plane",
                "to the right, seen from the mirror towards the sun, in mm",
                "upwards, in mm",
                series,
            )
        }
    }

    fn tables(&self) -> Vec<Table> {
        let texts = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
        let focal = self.stop.focal;
        let moment = |time: Option<f64>| {
            time.map_or_else(String::new, |time| self.stop.at.after(time).text())
        };
        let rim = |passage: &Passage| {
            vec![
                passage.name.clone(),
                millimetres(passage.radius),
                seconds(passage.reached.1),
                seconds(passage.earliest.1),
                seconds(passage.cleared.1),
                seconds(passage.latest.1),
                moment(passage.latest.1),
                format!("{:.2}", degrees(passage.clear_angle(focal))),
            ]
        };
        let step = |image: &Image| {
            vec![
                format!("{:.1}", image.after),
                millimetres(image.across),
                millimetres(image.up),
                millimetres(self.distance(image)),
                format!("{:.4}", degrees(image.angle)),
                format!("{:.3}", degrees(image.sun.apparent.azimuth)),
                format!("{:.3}", degrees(image.sun.apparent.elevation)),
            ]
        };
        vec![
            Table {
                name: "rims".to_owned(),
                title: "When the spot reaches and leaves each rim".to_owned(),
                columns: texts(&[
                    "rim",
                    "radius mm",
                    "edge reaches it after s",
                    "at the earliest s",
                    "all past it after s",
                    "at the latest s",
                    "which is at",
                    "angle off the sun °",
                ]),
                rows: self.walk.passages.iter().map(rim).collect(),
            },
            Table {
                name: "path".to_owned(),
                title: "Way of the image's middle".to_owned(),
                columns: texts(&[
                    "after s",
                    "right mm",
                    "up mm",
                    "from the axis mm",
                    "sun off the axis °",
                    "sun's azimuth °",
                    "sun's elevation °",
                ]),
                rows: self.walk.path.iter().map(step).collect(),
            },
        ]
    }
}
