//! The sheet of an enclosure.

use quantity::{Ratio, significant};

use super::CALCULATION;
use super::course::Course;
use super::input::LimitStatus;
use super::read::{Enclosure, Level};
use crate::doubt::{Budget, Part, Stated, first_order};
use crate::form::Form;
use crate::{Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Table, Verdict};

const IEC: &str = "form of IEC 60079-10-1:2015, Annex C (from memory)";
const RR993: &str = "HSE Research Report RR993 (Ivings & Kelsey 2013), abstract";
/// Cubic metres an hour in one a second.
const HOURLY: f64 = 3600.0;
/// Points of the curve.
const POINTS: u32 = 120;
/// L/min in a m³/s.
const LITRES_PER_MINUTE: f64 = 60_000.0;

/// The sheet of a whole enclosure.
pub(super) fn sheet(form: Form, enclosure: &Enclosure) -> Sheet {
    let course = &enclosure.course;
    let share = course.peak() / enclosure.flammable;
    let budget = budget(enclosure);
    // The budget is in percent of the flammable limit.
    let u = budget.as_ref().map(|budget| budget.standard / 100.0);
    let judged = enclosure.limit.as_ref().map(|limit| limit.judge(Ratio::from_fraction(share), u));
    let mut reason = format!(
        "At most {} % by volume at the worst place, {} % of the lower flammable limit.",
        significant(100.0 * course.peak(), 4),
        significant(100.0 * share, 4)
    );
    if let Some(judged) = &judged {
        reason.push_str(&format!(" Of the flammable limit {}.", judged.sentence));
        if judged.verdict == Verdict::Fail {
            let level = enclosure.limit.as_ref().map_or(f64::NAN, |limit| limit.value.fraction());
            reason.push_str(&format!(
                " A release that goes on needs {} m³/h of fresh air.",
                significant(HOURLY * course.needed(level * enclosure.flammable), 4)
            ));
        }
    }
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason,
        results: results(enclosure, u),
        working: working(enclosure),
        combined: budget.as_ref().map(|budget| budget.combined("peak_share")),
        doubt: budget.map(|budget| budget.lines).unwrap_or_default(),
        rule: judged.map(|judged| judged.rule),
        validity: format!(
            "A steady release at the state of the air, steady fresh air, mixing factor f = {} as \
             assumed. What stands near the release, under a roof or in a dead corner is richer. f \
             multiplies the fraction; it is not the factor K of ventilation handbooks, which divides \
             the air flow. Nothing is said about whether the air can burn.",
            significant(course.mixing, 3)
        ),
        sources: sources(enclosure),
        flags: flags(enclosure),
        figure: Some(figure(enclosure)),
        tables: vec![table(enclosure)],
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The doubt of the peak in percent of the flammable limit; none where nothing is stated.
fn budget(enclosure: &Enclosure) -> Option<Budget> {
    let doubt = &enclosure.doubt;
    if doubt.release.is_none() && doubt.ventilation.is_none() && doubt.volume.is_none() {
        return None;
    }
    let course = enclosure.course;
    let part = |source: &str, stated: &Option<Stated>, value: f64, scale: f64, unit| Part {
        source: source.to_owned(),
        statement: stated.as_ref().map_or_else(String::new, |stated| stated.text.clone()),
        value: value * scale,
        standard: stated.as_ref().map_or(0.0, |stated| stated.of(value)) * scale,
        unit,
    };
    let parts = [
        part("release", &doubt.release, course.release, LITRES_PER_MINUTE, "L/min"),
        part("fresh air", &doubt.ventilation, course.air, HOURLY, "m³/h"),
        part("volume", &doubt.volume, course.volume, 1.0, "m³"),
    ];
    let mut budget = first_order(&parts, "%", |values| {
        let [release, air, volume] = *values else { return f64::NAN };
        let (release, air) = (release / LITRES_PER_MINUTE, air / HOURLY);
        let moved = Course { release, air, volume, ..course };
        100.0 * moved.peak() / enclosure.flammable
    });
    budget.lines.retain(|line| line.standard_uncertainty != "0");
    Some(budget)
}

/// A time in s, or that a level isn't reached.
fn time(seconds: Option<f64>) -> String {
    seconds.map_or_else(|| "not reached".to_owned(), |seconds| significant(seconds, 6))
}

fn results(enclosure: &Enclosure, u: Option<f64>) -> Vec<Outcome> {
    let course = &enclosure.course;
    let percent = |fraction: f64| significant(100.0 * fraction, 6);
    let share = course.peak() / enclosure.flammable;
    let doubted = |outcome: Outcome, u: Option<f64>| match u {
        Some(u) => outcome.within(significant(100.0 * u, 3)),
        None => outcome,
    };
    let meaning = "highest share of the lower flammable limit, at the worst place";
    let peak_share = Outcome::new("peak_share", meaning, percent(share), "% of the limit");
    let meaning = "highest fraction at the worst place";
    let peak = Outcome::new("peak", meaning, percent(course.peak()), "% by volume");
    let mut out = vec![
        doubted(peak_share, u),
        doubted(peak, u.map(|u| u * enclosure.flammable)),
        Outcome::new(
            "background",
            "fraction at the worst place in the long run, X_b",
            percent(course.background()),
            "% by volume",
        ),
        Outcome::new(
            "background_mean",
            "mean fraction in the long run, X_b/f",
            percent(course.background() / course.mixing),
            "% by volume",
        ),
        Outcome::new(
            "air_changes",
            "air changes by the fresh air",
            significant(HOURLY * course.fresh_changes(), 6),
            "1/h",
        ),
    ];
    if let Some(at) = enclosure.at {
        let meaning = format!("fraction at the worst place after {} s", significant(at, 6));
        out.push(Outcome::new("fraction_at", &meaning, percent(course.at(at)), "% by volume"));
    }
    for level in &enclosure.levels {
        let meaning = format!("time until the worst place reaches {}", named(level));
        let value = time(course.reaches(level.share * enclosure.flammable));
        out.push(Outcome::new(&format!("time_to_{}", slug(level)), &meaning, value, "s"));
    }
    for level in enclosure.levels.iter().filter(|level| level.alarm) {
        let reached = course.mean_reaches(level.share * enclosure.flammable);
        let alarm = reached.zip(enclosure.delay).map(|(time, delay)| time + delay);
        let meaning = format!("alarm at {}, sensor where the mean stands", named(level));
        out.push(Outcome::new(&format!("alarm_at_{}", slug(level)), &meaning, time(alarm), "s"));
    }
    for level in enclosure.levels.iter().filter(|level| level.bound) {
        let limit = level.share * enclosure.flammable;
        let needed = course.needed(limit);
        let meaning =
            format!("fresh air with which a release that goes on stays at {}", named(level));
        let name = format!("needed_for_{}", slug(level));
        out.push(Outcome::new(&name, &meaning, significant(HOURLY * needed, 6), "m³/h"));
        let meaning = format!("time after the release stops until {} is left", named(level));
        let value = course
            .clears(limit)
            .map_or_else(|| "never".to_owned(), |seconds| significant(seconds, 6));
        out.push(Outcome::new(&format!("clears_to_{}", slug(level)), &meaning, value, "s"));
    }
    out
}

fn named(level: &Level) -> String {
    if level.share >= 1.0 {
        return "the lower flammable limit".to_owned();
    }
    format!("{} ({} % of the limit)", level.name, significant(100.0 * level.share, 4))
}

/// The level's share as part of a name: `25`, or `12_5`.
fn slug(level: &Level) -> String {
    let text = significant(100.0 * level.share, 4);
    let text =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    text.replace('.', "_")
}

fn working(enclosure: &Enclosure) -> Vec<Line> {
    let course = &enclosure.course;
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
        Line::new(symbol, meaning, formula, significant(value, 8), unit)
    };
    let mut lines = enclosure.lines.clone();
    lines.extend([
        line("V", "volume of air", "as typed", course.volume, "m³"),
        line("Q_1", "fresh air", "as typed, or by the air changes", course.air, "m³/s"),
        line(
            "Q_g",
            "release at the state of the air",
            "as typed, or from the mass flow",
            course.release,
            "m³/s",
        ),
        line("f", "mixing factor", "as typed", course.mixing, "1"),
        line(
            "X_0",
            "fraction at the beginning",
            "as typed; 0 where nothing is typed",
            course.start,
            "1",
        ),
        line(
            "X_b",
            "fraction in the long run",
            "X_b = f·Q_g/(Q_g + Q_1)",
            course.background(),
            "1",
        )
        .sourced(IEC),
        line("C", "air changes with the release", "C = (Q_g + Q_1)/V", course.changes(), "1/s"),
        line("C_1", "air changes by the fresh air", "C_1 = Q_1/V", course.fresh_changes(), "1/s"),
        line("X_l", "lower flammable limit", "as typed", enclosure.flammable, "1"),
    ]);
    if let Some(stops) = course.stops {
        lines.push(line("t_s", "time that the release lasts", "as typed", stops, "s"));
        let formula = "X_s = X_b − (X_b − X_0)·e^(−C·t_s)";
        lines.push(line("X_s", "fraction when the release stops", formula, course.last(), "1"));
    }
    if let Some(at) = enclosure.at {
        let formula = if course.stops.is_some_and(|stops| at > stops) {
            "X(t) = X_s·e^(−C_1·(t − t_s)/f)"
        } else {
            "X(t) = X_b − (X_b − X_0)·e^(−C·t)"
        };
        lines.push(line("t", "time asked for", "as typed", at, "s"));
        lines.push(line("X(t)", "fraction then", formula, course.at(at), "1").sourced(IEC));
    }
    for level in &enclosure.levels {
        let fraction = level.share * enclosure.flammable;
        let name = named(level);
        let x = format!("X_{}", slug(level));
        let formula = format!("{x} = {}·X_l", significant(level.share, 6));
        lines.push(line(&x, &format!("fraction at {name}"), &formula, fraction, "1"));
        lines.push(
            Line::new(
                &format!("t_{}", slug(level)),
                &format!("time until the worst place reaches {name}"),
                &format!("t = −ln[(X_b − {x})/(X_b − X_0)]/C; not reached where X_b ≤ {x}"),
                time(course.reaches(fraction)),
                "s",
            )
            .sourced(IEC),
        );
        if level.alarm {
            lines.push(Line::new(
                &format!("t_m{}", slug(level)),
                &format!("time until the mean reaches {name}"),
                &format!("the same with f·{x} for {x}"),
                time(course.mean_reaches(fraction)),
                "s",
            ));
        }
        if level.bound {
            let needed = course.needed(fraction);
            let meaning = format!("air out with which a release that goes on stays at {name}");
            let symbol = format!("Q_2({})", slug(level));
            let formula = format!("Q_2 = f·Q_g/{x}, or Q_g where that is more");
            lines.push(line(&symbol, &meaning, &formula, needed + course.release, "m³/s"));
            let meaning = format!("fresh air for it, {name}");
            let symbol = format!("Q_1({})", slug(level));
            lines.push(line(&symbol, &meaning, "Q_1 = Q_2 − Q_g", needed, "m³/s"));
        }
    }
    lines
}

fn sources(enclosure: &Enclosure) -> Vec<String> {
    let mut out = vec![IEC.to_owned(), RR993.to_owned()];
    out.push(format!(
        "lower flammable limit {}: {}, {}",
        enclosure.flammable_text,
        enclosure.flammable_source.as_deref().unwrap_or("no source named"),
        enclosure.status.text()
    ));
    out
}

fn flags(enclosure: &Enclosure) -> Vec<Flag> {
    let course = &enclosure.course;
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    flag(
        "near_the_release",
        format!(
            "This is the air of the enclosure as a whole. Near the release it is richer, and the \
             mixing there has to be judged apart ({RR993})."
        ),
    );
    if course.peak() > enclosure.flammable {
        flag(
            "above_the_flammable_limit",
            "The lower flammable limit is passed in the enclosure as a whole.".to_owned(),
        );
    }
    if course.background() >= 1.0 {
        flag(
            "more_than_all",
            "By the formula the worst place holds more than all gas: f is too large for so much \
             release, or the enclosure fills up."
                .to_owned(),
        );
    }
    if course.mixing <= 1.0 {
        flag(
            "fully_mixed",
            "f = 1 takes the air for stirred through; light gas under a roof is not.".to_owned(),
        );
    }
    if course.mixing > 5.0 {
        flag("mixing_above_five", "f above 5 is more than the standard's range.".to_owned());
    }
    if course.air <= 0.0 {
        flag("no_fresh_air", "No fresh air comes in: the gas does not clear.".to_owned());
    }
    if enclosure.status != LimitStatus::Read {
        flag(
            "flammable_limit_not_read",
            format!(
                "The flammable limit of {} is {}; read it in its source.",
                enclosure.flammable_text,
                enclosure.status.text()
            ),
        );
    }
    for level in enclosure.levels.iter().filter(|level| level.alarm) {
        let fraction = level.share * enclosure.flammable;
        if course.reaches(fraction).is_some() && course.mean_reaches(fraction).is_none() {
            flag(
                "mean_below_alarm",
                format!(
                    "The mean never reaches {}: a sensor that doesn't hang where the gas stands \
                     stays silent.",
                    named(level)
                ),
            );
        }
    }
    let doubt = &enclosure.doubt;
    let missing: Vec<&str> =
        [(&doubt.release, "release"), (&doubt.ventilation, "fresh air"), (&doubt.volume, "volume")]
            .into_iter()
            .filter(|(stated, _)| stated.is_none())
            .map(|(_, name)| name)
            .collect();
    // The volume doesn't move the fraction in the long run.
    let whole = missing.iter().all(|name| *name == "volume") && course.stops.is_none();
    if missing.len() < 3 && !missing.is_empty() && !whole {
        flag(
            "doubt_incomplete",
            format!(
                "Nothing is stated about {}; the uncertainty shown does not contain it.",
                missing.join(", ")
            ),
        );
    }
    flags
}

/// How far the figure goes, in s.
fn horizon(enclosure: &Enclosure) -> f64 {
    let course = &enclosure.course;
    let long = 5.0 / course.changes();
    let mut end = match course.reaches(enclosure.flammable) {
        Some(reached) if course.stops.is_none() && reached > 0.0 => (2.0 * reached).min(long),
        _ => long,
    };
    if let Some(stops) = course.stops {
        let clearing =
            if course.air > 0.0 { 3.0 * course.mixing / course.fresh_changes() } else { stops };
        end = stops + clearing;
    }
    end.max(enclosure.at.unwrap_or(0.0))
}

fn figure(enclosure: &Enclosure) -> Figure {
    let course = &enclosure.course;
    let end = horizon(enclosure);
    let of_limit = |fraction: f64| 100.0 * fraction / enclosure.flammable;
    let mut times: Vec<f64> =
        (0..=POINTS).map(|step| end * f64::from(step) / f64::from(POINTS)).collect();
    times.extend(course.stops);
    times.sort_by(f64::total_cmp);
    let curve = |divided: f64| {
        times
            .iter()
            .map(|time| Point::of(time / 60.0, of_limit(course.at(*time) / divided)))
            .collect::<Vec<_>>()
    };
    let mut series = vec![Series::new("worst", "worst place", Drawn::Thick, curve(1.0))];
    if course.mixing > 1.0 {
        series.push(Series::new("mean", "mean", Drawn::Thin, curve(course.mixing)));
    }
    for level in &enclosure.levels {
        let height = 100.0 * level.share;
        series.push(Series::new(
            &format!("level_{}", slug(level)),
            &level.name,
            Drawn::Dashed,
            vec![Point::of(0.0, height), Point::of(end / 60.0, height)],
        ));
    }
    Figure::lines(
        "Gas in the air of the enclosure",
        "time since the release began in min",
        "fraction in % of the lower flammable limit",
        series,
    )
}

fn table(enclosure: &Enclosure) -> Table {
    let course = &enclosure.course;
    let rows = enclosure
        .levels
        .iter()
        .map(|level| {
            let fraction = level.share * enclosure.flammable;
            let mean = course.mean_reaches(fraction);
            let alarm = mean.zip(enclosure.delay).map(|(time, delay)| time + delay);
            let alarm = alarm.filter(|_| level.alarm);
            vec![
                level.name.clone(),
                significant(100.0 * level.share, 4),
                significant(100.0 * fraction, 4),
                time(course.reaches(fraction)),
                time(mean),
                match alarm {
                    Some(alarm) => significant(alarm, 6),
                    None if level.alarm => "not reached".to_owned(),
                    None => String::new(),
                },
                alarm.map_or_else(String::new, |alarm| {
                    significant(100.0 * course.at(alarm) / enclosure.flammable, 4)
                }),
            ]
        })
        .collect();
    let columns = [
        "level",
        "% of the limit",
        "% by volume",
        "worst place reaches it, s",
        "mean reaches it, s",
        "alarm, s",
        "worst place at the alarm, % of the limit",
    ];
    Table {
        name: "levels".to_owned(),
        title: "When levels are reached".to_owned(),
        columns: columns.map(str::to_owned).to_vec(),
        rows,
    }
}
