//! The steps of the sheet, from place and window to the smallest angle.

use quantity::significant;

use super::present::Shown;
use super::track::{FINE, Point};
use crate::Line;
use crate::sun::{RATE, SEPARATION, SPA, Sun, degrees};

impl Shown<'_> {
    pub(super) fn working(&self) -> Vec<Line> {
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
            moment("t_s", "planned start", "as typed", job.window.start.unix()),
            moment(
                "t_e",
                "planned end",
                &format!("t_e = t_s + {}", job.window.length_text),
                found.planned_end,
            ),
        ]);
        let padding = job.window.padding_text.as_deref().unwrap_or("0 h");
        lines.push(moment(
            "t_1",
            "beginning of the window",
            &format!("t_1 = t_s − {padding}"),
            found.from,
        ));
        lines.push(moment("t_2", "end of the window", &format!("t_2 = t_e + {padding}"), found.to));
        for (index, arc) in found.arcs.iter().enumerate() {
            let n = index + 1;
            let of = if found.long.is_some() { ", on the day of the nearest approach" } else { "" };
            let from = if arc.span.rises { "sunrise" } else { "beginning of the window" };
            let to = if arc.span.sets { "sunset" } else { "end of the window" };
            lines.push(
                moment(&format!("u_{n}"), &format!("sun up from{of}"), from, arc.span.from)
                    .sourced(SPA),
            );
            lines.push(
                moment(&format!("v_{n}"), &format!("sun up to{of}"), to, arc.span.to).sourced(SPA),
            );
        }
        lines.extend(self.point_lines("s", "at the planned start", &found.start));
        if let Some(nearest) = &found.nearest {
            lines.extend(self.point_lines("n", "at the nearest approach", nearest));
            lines.push(self.bound_line());
        }
        lines
    }

    /// By how much a smaller angle could have been missed.
    fn bound_line(&self) -> Line {
        let (formula, degrees) = match &self.found.long {
            None => (
                "B = ω·0.25 s, ω = 15.1°/h the most that the sun turns; the angle to a fixed axis has \
                 one smallest value a day, so it lies beside the least of the samples"
                    .to_owned(),
                (RATE * FINE).to_degrees(),
            ),
            Some(long) => (
                "B = 6·(ω·112.5 s)²/8/cos(σ_n/2) + 0.0003°, ω = 15.1°/h the most that the sun turns: \
                 between two moments a time h apart the angle is at least the mean of its two values \
                 less ω·h/2, and is followed to 112.5 s where that may be the smallest; there it is \
                 taken to the chord, which the path leaves by no more than 6·(ω·h)²/8"
                    .to_owned(),
                degrees(long.bound),
            ),
        };
        let meaning = "no angle in the window is smaller than σ_n by more than this";
        Line::new("B", meaning, &formula, format!("{degrees:.5}"), "°")
    }

    /// A moment, the sun then, and its angle to the axis.
    fn point_lines(&self, n: &str, when: &str, point: &Point) -> Vec<Line> {
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
                match self.found.long {
                    None => {
                        "σ(t_n) smallest while the sun is up: every 5 min, then by the golden \
                         section to 0.25 s"
                    }
                    Some(_) => {
                        "σ(t_n) smallest while the sun is up: day by day on the path through \
                         positions 2 h apart, turned back by 15°/h; on the days that may hold it, \
                         as for a short window"
                    }
                },
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
}
