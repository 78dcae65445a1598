//! The sheet of a job: verdict, nearest approach, working, the sun's path.

use quantity::{Measured, Rule, StandardUncertainty, against_limit, decide};

use super::CALCULATION;
use super::input::{Job, Margin};
use super::track::{Found, Point as Place};
use crate::form::Form;
use crate::sun::{degrees, sources, true_north};
use crate::time::Moment;
use crate::{Flag, Outcome, RuleShown, Sheet, Verdict};

/// The sheet of a whole job.
pub(super) fn sheet(form: Form, job: &Job, found: &Found) -> Sheet {
    let verdict = verdict(job, found);
    let shown = Shown { job, found };
    Sheet {
        verdict,
        reason: shown.reason(verdict),
        results: shown.results(),
        working: shown.working(),
        rule: Some(rule(&job.margin)),
        validity: "Holds only while the mirror axis stays pinned where it was read. The angle counts \
                   from the middle of the sun, whose radius is 0.27°, with air or without, whichever \
                   is nearer; an error of the dish's display is not in it. The sun counts while its \
                   upper edge is above a level horizon: on a slope it shows earlier. Light that other dishes or panes throw is not in it. Years \
                   1950 to 2099."
            .to_owned(),
        sources: sources(),
        flags: shown.flags(),
        figure: shown.figure(),
        tables: shown.tables(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The rule by which a margin is judged.
pub(crate) fn rule(margin: &Margin) -> RuleShown {
    RuleShown {
        name: "simple".to_owned(),
        text: "Simple acceptance (JCGM 106:2012, 8.2): accepted if the smallest angle ≥ limit, \
               unrounded, or if the sun stays below the level horizon."
            .to_owned(),
        limit: format!("{} °", margin.degrees),
        limit_source: margin.source.clone(),
        acceptance_limit: None,
        conformance_probability: None,
    }
}

/// Whether the sun keeps the margin.
pub(crate) fn verdict(job: &Job, found: &Found) -> Verdict {
    let Some(nearest) = &found.nearest else { return Verdict::Pass };
    if let Some(long) = &found.long {
        let least = nearest.angle().radians() - long.bound.radians();
        if (least..=nearest.angle().radians()).contains(&job.margin.angle.radians()) {
            return Verdict::NotJudged;
        }
    }
    let measured = Measured::new(nearest.angle(), StandardUncertainty::ZERO);
    match decide(&measured, quantity::Limit::AtLeast(job.margin.angle), Rule::Simple).verdict {
        quantity::Verdict::Pass => Verdict::Pass,
        quantity::Verdict::Fail => Verdict::Fail,
        quantity::Verdict::NotJudged => Verdict::NotJudged,
    }
}

/// The texts of a row.
pub(super) fn texts(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

/// A job with what was found about it.
pub(super) struct Shown<'a> {
    pub(super) job: &'a Job,
    pub(super) found: &'a Found,
}

impl Shown<'_> {
    pub(super) fn moment(&self, unix: f64) -> Moment {
        self.job.window.start.after(unix - self.job.window.start.unix())
    }

    fn angle(&self, point: &Place) -> String {
        against_limit(degrees(point.angle()), &self.job.margin.degrees)
    }

    fn reason(&self, verdict: Verdict) -> String {
        let (job, found) = (self.job, self.found);
        let (from, to) = (self.moment(found.from).shown(), self.moment(found.to).shown());
        let margin = job.margin.degrees;
        let mut text = match &found.nearest {
            None => format!("Sun below the horizon from {from} to {to}."),
            Some(nearest) => {
                let side = match verdict {
                    Verdict::Pass | Verdict::Computed => "not nearer",
                    Verdict::Fail => "nearer",
                    Verdict::NotJudged => "too close to tell whether it is nearer",
                };
                format!(
                    "From {from} to {to} the sun comes as near as {}° to the mirror axis, at {}, \
                     {side} than the {margin}° asked for.",
                    self.angle(nearest),
                    self.moment(nearest.at).shown()
                )
            }
        };
        if let Some((begin, _)) = found.broken.first() {
            let begin = self.moment(*begin).shown();
            text.push_str(&format!(" It is nearer than that from {begin}."));
            if let Some(long) = &found.long {
                text.push_str(&self.days_near(long));
            }
            text.push_str(" Park the dish in another direction, or plan the job for another time.");
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
        if let Some(long) = &found.long {
            out.extend(self.long_results(long));
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
        if let Some(padding) = &self.job.window.padding_text {
            flag(
                "padded",
                format!(
                    "The clock is not confirmed: {padding} is added before the start and after the \
                     end, and every moment given here may come that much earlier or later."
                ),
            );
        }
        if self.found.long.is_some() {
            flag(
                "long_window",
                format!(
                    "The window is {:.0} d long. Days and moments are by a clock that keeps the \
                     offset of the start (UTC{}); after a change of the clocks the clock on the wall \
                     shows another hour. A dish does not stay where it is by itself for so long: \
                     read its axis again.",
                    (self.found.to - self.found.from) / 86_400.0,
                    self.job.window.start.offset_shown()
                ),
            );
        }
        flags.extend(self.job.place.clock_flag(self.job.window.start));
        flags
    }
}
