//! The sheet: sentence, results, working, warnings, figure.

use quantity::significant;

use super::CALCULATION;
use super::input::Zone;
use super::levels::{CENTRE, Level, SUN, Status};
use super::optics::{Beam, Reach, Side};
use crate::form::Form;
use crate::{Axes, Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Verdict};

const JAFFE: &str = "L. D. Jaffe, J. Energy 7 (1983) 304 (from memory), derived anew";
const PROCEDURE: &str = "The distances are those at which the computed irradiance falls below a \
                         level, nothing more: none is called safe. Where people may be, with what \
                         protection, is decided by the employer's procedure, local rules and \
                         licensed practice.";
/// Points of a curve, and its nearest distance in metres.
const POINTS: u32 = 60;
const NEAREST: f64 = 0.05;
/// Levels that are always spoken of, in W/m².
const SPOKEN: [f64; 2] = [4_732.0, 1_577.0];
/// A built-in level that is drawn beside them, in W/m².
const DRAWN_TOO: f64 = 37_500.0;

/// The sheet of a zone.
pub(super) fn sheet(form: Form, zone: &Zone) -> Sheet {
    let shown = Shown::new(zone);
    Sheet {
        verdict: Verdict::Computed,
        reason: shown.reason(),
        results: shown.results(),
        working: shown.working(),
        validity: "The whole dish: a paraboloid with rim angle up to 90° on sun, its facets aligned to \
                   one focus; the bound in the cone holds with any blur. One facet: any direction that \
                   it can point in. Flat facets, dust, shade of the receiver, heat of hot parts and \
                   light thrown on by what stands in the beam are not in it. Several stray facets can \
                   meet in one place and add up."
            .to_owned(),
        sources: shown.sources(),
        flags: shown.flags(),
        figure: Some(shown.figure()),
        tables: shown.tables(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// What a level comes to.
#[derive(Debug, Clone)]
pub(super) struct Answer<'a> {
    pub(super) level: &'a Level,
    /// From the focus, anywhere in the cone and on the axis; none where it is nowhere reached.
    pub(super) cone: Option<f64>,
    pub(super) axis: Option<f64>,
    /// From the facet, along a stray beam.
    pub(super) facet: Option<Reach>,
}

pub(super) struct Shown<'a> {
    pub(super) zone: &'a Zone,
    pub(super) answers: Vec<Answer<'a>>,
    /// The beams of the innermost and the outermost facet.
    pub(super) beams: [Beam; 2],
}

/// A level in kW/m².
pub(super) fn kilowatts(irradiance: f64) -> String {
    let text = significant(irradiance / 1e3, 5);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// A distance to the centimetre, rounded up.
pub(super) fn metres(distance: f64) -> String {
    format!("{:.2}", (distance * 100.0 - 1e-6).ceil() / 100.0)
}

/// The same, rounded down.
pub(super) fn metres_down(distance: f64) -> String {
    format!("{:.2}", (distance * 100.0 + 1e-6).floor() / 100.0)
}

impl<'a> Shown<'a> {
    fn new(zone: &'a Zone) -> Self {
        let dish = &zone.dish;
        let beam = |focus: f64| Beam {
            reflected: dish.reflected(),
            focus: zone.facet.focal.unwrap_or(focus),
            area: zone.facet.area,
            blur: zone.facet.blur,
        };
        let beams = [beam(dish.focal), beam(dish.rim_distance())];
        let answers = zone
            .levels
            .iter()
            .map(|level| Answer {
                level,
                cone: dish.falls_below(level.irradiance),
                axis: dish.axis_falls_below(level.irradiance),
                facet: beams.iter().filter_map(|beam| beam.reach(level.irradiance)).reduce(
                    |one, other| Reach { from: one.from.min(other.from), to: one.to.max(other.to) },
                ),
            })
            .collect();
        Self { zone, answers, beams }
    }

    pub(super) fn outer(&self) -> &Beam {
        let [_, outer] = &self.beams;
        outer
    }

    /// The site's own levels and the two that are always spoken of.
    fn spoken(&self) -> impl Iterator<Item = &Answer<'a>> {
        self.answers.iter().filter(|answer| {
            let level = answer.level;
            level.status == Status::Own
                || SPOKEN.iter().any(|spoken| (spoken - level.irradiance).abs() < 0.5)
        })
    }

    fn reason(&self) -> String {
        let mut text = String::new();
        for answer in self.spoken() {
            let level = answer.level;
            let name = format!("{} kW/m² ({})", kilowatts(level.irradiance), level.name);
            text.push_str(&match answer.cone {
                Some(distance) => format!(
                    "In the cone of light the computed irradiance falls below {name} at {} m from \
                     the focal point.",
                    metres(distance)
                ),
                None => format!("In the cone of light the computed irradiance stays below {name}."),
            });
            if let Some(reach) = answer.facet {
                text.push_str(&format!(
                    " One stray facet holds it from {} to {} m from itself, wherever it points.",
                    metres_down(reach.from),
                    metres(reach.to)
                ));
            }
            text.push(' ');
        }
        text.push_str("No distance is called safe here: the employer's procedure decides.");
        text
    }

    fn results(&self) -> Vec<Outcome> {
        let dish = &self.zone.dish;
        let out = |name: &str, meaning: &str, value: f64, digits: usize, unit: &str| {
            Outcome::new(name, meaning, significant(value, digits), unit)
        };
        let mut results = vec![
            out("rim_angle", "rim angle", dish.rim_angle().to_degrees(), 7, "°"),
            out("rim_distance", "distance from rim to focus", dish.rim_distance(), 7, "m"),
            out("most", "irradiance above which nothing is printed", dish.most() / 1e3, 5, "kW/m²"),
        ];
        if let Some(peak) = self.outer().at_focus() {
            let inner = self.beams.first().and_then(Beam::at_focus).unwrap_or(peak);
            results.push(out(
                "facet_peak",
                "most that one facet makes at its own focus",
                peak.max(inner) / 1e3,
                4,
                "kW/m²",
            ));
        }
        let mut seen: Vec<String> = Vec::new();
        for answer in &self.answers {
            let key = format!("{:.0}", answer.level.irradiance);
            if seen.contains(&key) {
                continue;
            }
            let level = format!("{} kW/m²", kilowatts(answer.level.irradiance));
            let mut distance = |name: &str, meaning: String, value: Option<f64>| {
                let value = value.map_or_else(|| "not reached".to_owned(), metres);
                results.push(Outcome::new(&format!("{name}_{key}"), &meaning, value, "m"));
            };
            distance(
                "cone",
                format!("computed irradiance in the cone falls below {level}, from the focus"),
                answer.cone,
            );
            distance(
                "axis",
                format!("computed irradiance on the axis falls below {level}, from the focus"),
                answer.axis,
            );
            distance(
                "facet",
                format!("a stray facet's computed irradiance falls below {level}, from the facet"),
                answer.facet.map(|reach| reach.to),
            );
            seen.push(key);
        }
        results
    }

    fn working(&self) -> Vec<Line> {
        let dish = &self.zone.dish;
        let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
            Line::new(symbol, meaning, formula, significant(value, 7), unit)
        };
        let mut lines = vec![
            line("D", "diameter of the dish", "as typed", dish.diameter, "m"),
            line("f", "focal length", "as typed", dish.focal, "m"),
            line("ρ", "reflectance", "as typed", dish.reflectance, "1"),
            line("G", "direct irradiance", "as typed", dish.irradiance, "W/m²"),
            line("ρG", "reflected irradiance", "ρ·G", dish.reflected(), "W/m²"),
            line("φ_r", "rim angle", "φ_r = 2·arctan(D/(4·f))", dish.rim_angle().to_degrees(), "°"),
            line("p_r", "from rim to focus", "p_r = f + D²/(16·f)", dish.rim_distance(), "m"),
            line(
                "θ",
                "radius of the sun at its smallest",
                "959.63″/1.0167, down",
                SUN * 1e3,
                "mrad",
            )
            .sourced("IAU; from memory"),
            line("c", "brightness of the sun's middle over its mean", "1/(1 − 0.6/3)", CENTRE, "1")
                .sourced("linear limb darkening 0.6, C. W. Allen; from memory"),
            line("C_m", "what no mirror exceeds", "C_m = c·sin²φ_r/sin²θ", dish.ideal(), "1")
                .sourced("A. Rabl, Active Solar Collectors (1985); from memory"),
        ];
        if let Some(peak) = dish.peak {
            lines.push(line("C_p", "peak concentration", "as typed", peak, "1"));
        }
        let smaller = if dish.peak.is_some() { "the smaller of C_m and C_p" } else { "C_m" };
        lines.push(line(
            "E_m",
            "nothing is printed above this",
            &format!("E_m = ρG·{smaller}"),
            dish.most(),
            "W/m²",
        ));
        if let Some(error) = dish.ray_error {
            lines.push(line("σ", "error of a reflected ray", "as typed", error * 1e3, "mrad"));
        }
        let half = 0.5;
        lines.push(
            line(
                "E_½",
                "on the axis 0.5 m from the focus, plain rule",
                "ρG·(f/0.5 m)²",
                dish.plain(half),
                "W/m²",
            )
            .sourced(JAFFE),
        );
        for (symbol, what, side) in
            [("E_½⁺", "beyond", Side::Beyond), ("E_½⁻", "before", Side::Before)]
        {
            let (error, how) = match dish.ray_error {
                Some(error) => (error, "σ"),
                None => (5e-3, "5 mrad, as one of those tried"),
            };
            if half < 0.8 * dish.focal {
                lines.push(line(
                    symbol,
                    &format!("the same, {what} the focus, by rings"),
                    &format!(
                        "Σ ρG·2πr·Δr·exp(−α²/2σ²)/(2πσ²)·cos ψ/w², α between the ways from the ring \
                         to the focus and to the place, w and ψ length and slope of the latter, σ = \
                         {how}"
                    ),
                    dish.rings(half, side, error),
                    "W/m²",
                ));
            }
        }
        for (number, answer) in self.spoken().enumerate() {
            lines.extend(self.level_lines(number + 1, answer));
        }
        lines
    }

    fn level_lines(&self, n: usize, answer: &Answer<'_>) -> Vec<Line> {
        let dish = &self.zone.dish;
        let level = answer.level.irradiance;
        let share = libm::sqrt(dish.reflected() / level);
        let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
            Line::new(&format!("{symbol}_{n}"), meaning, formula, significant(value, 7), unit)
        };
        let mut lines = vec![
            line("E", &format!("level: {}", answer.level.name), "level", level, "W/m²")
                .sourced(&format!("{}; {}", answer.level.source, answer.level.status.text())),
            line(
                "q",
                "root of reflected irradiance over level",
                &format!("q_{n} = √(ρG/E_{n})"),
                share,
                "1",
            ),
            line(
                "x",
                "plain rule on the axis",
                &format!("x_{n} = f·q_{n}"),
                dish.focal * share,
                "m",
            )
            .sourced(JAFFE),
            line(
                "R",
                "bound in the cone",
                &format!("R_{n} = p_r·q_{n}"),
                dish.rim_distance() * share,
                "m",
            ),
        ];
        if let Some(axis) = answer.axis {
            lines.push(line(
                "xa",
                "on the axis, by rings where that is more",
                "E(xa) = E",
                axis,
                "m",
            ));
        }
        if let Some(cone) = answer.cone {
            lines.push(line(
                "Rc",
                "in the cone: the bound, the axis where that is more, or a facet's own focus",
                "E(Rc) = E",
                cone,
                "m",
            ));
        }
        let outer = self.outer();
        lines.push(line(
            "p",
            "from the outermost facet to its own focus",
            "p_r, or as typed",
            outer.focus,
            "m",
        ));
        if let Some(reach) = answer.facet {
            lines.push(line(
                "df",
                "nearest of a stray facet, from it",
                &format!("p·(1 − q_{n}), the innermost facet's too; not below 0"),
                reach.from,
                "m",
            ));
            let formula = match outer.area {
                Some(_) => format!("p·(1 + q_{n}), at most √(c·ρG·A/(π·θ²·E_{n}))"),
                None => format!("p·(1 + q_{n})"),
            };
            lines.push(line("dt", "farthest of a stray facet, from it", &formula, reach.to, "m"));
        }
        lines
    }

    fn sources(&self) -> Vec<String> {
        let mut sources =
            vec![JAFFE.to_owned(), "A. Rabl, Active Solar Collectors (1985)".to_owned()];
        for level in &self.zone.levels {
            let text = format!("{} ({})", level.source, level.status.text());
            if !sources.contains(&text) {
                sources.push(text);
            }
        }
        sources.push(
            "C. K. Ho, C. M. Ghanbari, R. B. Diver, J. Sol. Energy Eng. 133 (2011) 031021 (from \
             memory, not read again)"
                .to_owned(),
        );
        sources
    }

    fn flags(&self) -> Vec<Flag> {
        let dish = &self.zone.dish;
        let mut flags = Vec::new();
        let mut flag = |code: &str, sentence: &str| {
            flags.push(Flag { code: code.to_owned(), sentence: sentence.to_owned() });
        };
        flag("no_distance_is_safe", PROCEDURE);
        flag(
            "facets_aligned",
            "The cone assumes every facet aligned. During alignment, after a change of facets and \
             where a rack has moved, single facets throw their beams, each with a focus of its own, \
             outside the cone: see the reach of a stray facet. Several can meet in one place.",
        );
        flag(
            "reflections",
            "Glass, polished metal, water and the mirrors of other dishes throw light to where no \
             cone goes. Glare blinds far beyond the distances for skin.",
        );
        flag(
            "cone_walks",
            "The cone is where the dish points. When tracking stops it walks with the sun: see \
             walk-off.",
        );
        flag(
            "from_memory",
            "Levels marked as from memory, and all figures for eye and skin, were not read again in \
             their sources. Read them there before anyone relies on them.",
        );
        if dish.ray_error.is_none() {
            flag(
                "ray_error_not_stated",
                "No error of a reflected ray is stated: on the axis the worst of 2.3 to 20 mrad is \
                 taken.",
            );
        }
        if dish.irradiance < 1000.0 {
            flag(
                "clear_days_reach_more",
                "Direct irradiance is below 1000 W/m², which clear days reach: common practice, no \
                 source. The distances grow as its square root.",
            );
        }
        if self.zone.facet.focal.is_none() && self.zone.facet.area.is_none() {
            flag(
                "facet_not_stated",
                "No facet is stated: a stray facet is taken to focus as far off as its place on the \
                 dish asks, and its reach is not limited by its area.",
            );
        }
        flags
    }

    fn figure(&self) -> Figure {
        let dish = &self.zone.dish;
        let drawn: Vec<_> = self
            .answers
            .iter()
            .filter(|answer| {
                let level = answer.level;
                level.status == Status::Own
                    || SPOKEN
                        .iter()
                        .chain([&DRAWN_TOO])
                        .any(|spoken| (spoken - level.irradiance).abs() < 0.5)
            })
            .collect();
        let far = drawn.iter().filter_map(|answer| answer.cone).fold(2.0 * dish.focal, f64::max);
        let far = 1.3 * far;
        let distance = |number: u32| {
            NEAREST * libm::pow(far / NEAREST, f64::from(number) / f64::from(POINTS - 1))
        };
        let point = |distance: f64, irradiance: f64| Point {
            x: significant(distance, 4),
            y: significant(irradiance / 1e3, 4),
        };
        let curve = |name: &str, meaning: &str, drawn: Drawn, of: &dyn Fn(f64) -> f64| {
            let points =
                (0..POINTS).map(distance).map(|distance| point(distance, of(distance))).collect();
            Series::new(name, meaning, drawn, points)
        };
        let outer = self.outer();
        let facet = |distance: f64| {
            let beyond = outer.at(outer.focus + distance);
            if distance < outer.focus {
                beyond.max(outer.at(outer.focus - distance))
            } else {
                beyond
            }
        };
        let mut series = vec![
            curve("cone", "most anywhere in the cone", Drawn::Thick, &|x| dish.anywhere(x)),
            curve("axis", "on the axis", Drawn::Thin, &|x| dish.on_axis(x)),
            curve("facet", "one facet, from its own focus", Drawn::Thin, &|x| {
                facet(x).min(dish.most())
            }),
        ];
        for (number, answer) in drawn.iter().enumerate() {
            let level = answer.level.irradiance;
            series.push(Series::new(
                &format!("level_{}", number + 1),
                &format!("{} kW/m², {}", kilowatts(level), answer.level.name),
                Drawn::Dashed,
                vec![point(NEAREST, level), point(far, level)],
            ));
        }
        Figure {
            axes: Some(Axes::LogBoth),
            ..Figure::lines(
                "Irradiance by distance from the focal point",
                "distance from the focal point, in m",
                "irradiance in kW/m²",
                series,
            )
        }
    }
}
