//! The sheet.

use quantity::{Resistance, Si, significant};

use super::bounded::Bounded;
use super::input::{Insulation, Test, name};
use super::{CALCULATION, judge, standard};
use crate::doubt::{Budget, Part, first_order};
use crate::form::Form;
use crate::steps::{curve, flag, gravest, step};
use crate::{Axes, Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Verdict};

const MEGOHM: f64 = 1e6;

struct Found {
    measured: Bounded,
    corrected: Bounded,
    factor: Option<(f64, &'static str)>,
    index: Option<Bounded>,
    ratio: Option<Bounded>,
}

fn find(test: &Test) -> Found {
    let measured = Bounded::of(&test.one_minute);
    let factor = test.celsius.and_then(|t| standard::correction(test.insulation, t));
    let corrected = factor.map_or(measured, |(k, _)| measured.times(k));
    let index = test.ten_minutes.and_then(|ten| ten.over(measured));
    let ratio = test.half_minute.and_then(|half| measured.over(half));
    Found { measured, corrected, factor, index, ratio }
}

pub(super) fn sheet(form: Form, test: &Test) -> Sheet {
    let found = find(test);
    let budget = doubt(test, &found);
    let standard = budget.as_ref().map(|budget| budget.standard * MEGOHM);
    // A minimum that the program itself writes down is always a resistance or a ratio.
    let resistance = judge::resistance(test, found.corrected, standard).ok().flatten();
    let index = judge::index(test, found.index).ok().flatten();
    let absorption = judge::absorption(test, found.ratio);
    let dew = judge::dew(test);
    let doubtful = !judge::in_range(test) || dew.is_some_and(|(_, wet)| wet);
    let all = [resistance.as_ref(), index.as_ref(), absorption.as_ref()];
    let mut verdict = gravest(all.iter().flatten().map(|judged| judged.verdict));
    if doubtful && verdict != Verdict::Computed {
        verdict = Verdict::NotJudged;
    }
    let mut sentences: Vec<_> =
        all.iter().flatten().map(|judged| format!("{}.", judged.sentence)).collect();
    if sentences.is_empty() {
        sentences.push(format!(
            "{} MΩ{}; no minimum is given.",
            found.corrected.text(MEGOHM, 4),
            if found.factor.is_some() { " at 40 °C" } else { " as measured" }
        ));
    }
    if !judge::in_range(test) {
        sentences.push("Not judged: the winding is not between 10 and 85 °C.".to_owned());
    }
    if dew.is_some_and(|(_, wet)| wet) {
        sentences.push("Not judged: the winding is not above the dew point.".to_owned());
    }
    Sheet {
        verdict,
        reason: sentences.join(" "),
        results: results(&found, standard, dew),
        working: working(test, &found, dew),
        doubt: budget.as_ref().map(|budget| budget.lines.clone()).unwrap_or_default(),
        combined: budget.as_ref().map(|budget| {
            budget.combined(if found.factor.is_some() { "resistance_at_40" } else { "resistance" })
        }),
        rule: all.into_iter().flatten().find_map(|judged| judged.rule.clone()),
        validity: validity(test),
        sources: sources(test),
        flags: flags(test, &found),
        figure: figure(test, &found),
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The doubt of R₄₀ in MΩ; none for a bound, and none where the tester's is not stated.
fn doubt(test: &Test, found: &Found) -> Option<Budget> {
    let stated = test.doubt_resistance.as_ref()?;
    if found.measured.is_lower() || found.measured.is_upper() {
        return None;
    }
    let mut parts = vec![Part {
        source: "insulation tester".to_owned(),
        statement: stated.text.clone(),
        value: found.measured.number / MEGOHM,
        standard: stated.of(found.measured.number) / MEGOHM,
        unit: "MΩ",
    }];
    if let (Some(celsius), Some(stated)) = (test.celsius, &test.doubt_temperature) {
        parts.push(Part {
            source: "winding temperature".to_owned(),
            statement: stated.text.clone(),
            value: celsius,
            standard: stated.of(celsius + 273.15),
            unit: "K",
        });
    }
    Some(first_order(&parts, "MΩ", |values| {
        let megohms = values.first().copied().unwrap_or(f64::NAN);
        let celsius = values.get(1).copied().or(test.celsius);
        let factor = celsius.and_then(|t| standard::correction(test.insulation, t));
        megohms * factor.map_or(1.0, |(k, _)| k)
    }))
}

fn results(found: &Found, standard: Option<f64>, dew: Option<(f64, bool)>) -> Vec<Outcome> {
    let (name, meaning) = match found.factor {
        Some(_) => ("resistance_at_40", "insulation resistance at 40 °C"),
        None => ("resistance", "insulation resistance as measured"),
    };
    let value = Outcome::new(name, meaning, found.corrected.text(MEGOHM, 6), "MΩ");
    let mut results = vec![match standard {
        Some(u) => value.within(significant(u / MEGOHM, 3)),
        None => value,
    }];
    for (name, meaning, ratio) in [
        ("polarisation_index", "polarisation index", found.index),
        ("absorption_ratio", "absorption ratio", found.ratio),
    ] {
        if let Some(ratio) = ratio {
            results.push(Outcome::new(name, meaning, ratio.text(1.0, 5), "1"));
        }
    }
    if let Some((dew, _)) = dew {
        results.push(Outcome::new("dew_point", "dew point of the air", significant(dew, 4), "°C"));
    }
    results
}

fn working(test: &Test, found: &Found, dew: Option<(f64, bool)>) -> Vec<Line> {
    let bounded =
        |symbol: &str, meaning: &str, formula: &str, value: Bounded, scale, unit: &str| {
            Line::new(symbol, meaning, formula, value.text(scale, 7), unit)
        };
    let mut lines = vec![bounded(
        "R_T",
        "resistance after one minute",
        &format!("R_T = {}", test.one_minute),
        found.measured,
        MEGOHM,
        "MΩ",
    )];
    if let (Some(celsius), Some((k, formula))) = (test.celsius, found.factor) {
        lines.push(step("T", "winding temperature", "as typed", celsius, "°C"));
        lines.push(
            step("K_T", &format!("correction, {}", name(test.insulation)), formula, k, "1")
                .sourced(standard::IEEE_43),
        );
        let meaning = "resistance at 40 °C";
        lines.push(bounded("R₄₀", meaning, "R₄₀ = K_T·R_T", found.corrected, MEGOHM, "MΩ"));
    }
    for (symbol, meaning, formula, after, ratio) in [
        ("PI", "polarisation index", "PI = R(10 min)/R(1 min)", test.ten_minutes, found.index),
        ("DAR", "absorption ratio", "DAR = R(60 s)/R(30 s)", test.half_minute, found.ratio),
    ] {
        let Some(after) = after else { continue };
        let (symbol_after, time) =
            if symbol == "PI" { ("R₁₀", "ten minutes") } else { ("R₃₀", "30 s") };
        let meaning_after = format!("resistance after {time}");
        lines.push(bounded(symbol_after, &meaning_after, "as typed", after, MEGOHM, "MΩ"));
        lines.push(match ratio {
            Some(ratio) => bounded(symbol, meaning, formula, ratio, 1.0, "1"),
            None => Line::new(symbol, meaning, formula, "unknown: two bounds".to_owned(), "1"),
        });
    }
    if let Some((ohms, source)) = judge::standard_minimum(test) {
        let meaning = "minimum of the standard";
        lines.push(
            step("R_min", meaning, "by kind of winding", ohms / MEGOHM, "MΩ").sourced(&source),
        );
    }
    if let (Some((air, humidity)), Some((dew, _))) = (test.air, dew) {
        lines.push(step("T_a", "air temperature", "as typed", air, "°C"));
        lines.push(step("φ", "relative humidity", "as typed", humidity, "1"));
        let formula = "T_d = 243.04·γ/(17.625 − γ), γ = ln φ + 17.625·T_a/(243.04 + T_a)";
        lines.push(step("T_d", "dew point", formula, dew, "°C").sourced(standard::DEW));
    }
    lines
}

fn flags(test: &Test, found: &Found) -> Vec<Flag> {
    let mut flags = Vec::new();
    if !judge::in_range(test) {
        flags.push(flag(
            "outside_temperature_range",
            "The winding is not between 10 and 85 °C, the range of the correction: the value at \
             40 °C is an extrapolation and is not judged. Measure again when it is.",
        ));
    }
    if let Some(sentence) = other_class(test, found) {
        flags.push(flag("class_changes_the_verdict", sentence));
    }
    match judge::dew(test) {
        Some((dew, true)) => flags.push(flag(
            "below_dew_point",
            format!(
                "The winding is not above the dew point of {} °C: water on its surface lowers the \
                 reading, and a correction for temperature means nothing.",
                significant(dew, 3)
            ),
        )),
        Some(_) => {}
        None => flags.push(flag(
            "dew_point_not_checked",
            "Whether the winding was above the dew point is not checked: air temperature and \
             humidity, or the winding's temperature, are not given.",
        )),
    }
    match judge::voltage(test) {
        Some((false, (low, high))) => flags.push(flag(
            "test_voltage",
            format!(
                "{} V was applied; for {} V rated the standard names {} V (from memory).",
                significant(test.applied.unwrap_or_default(), 4),
                significant(test.rated.unwrap_or_default(), 4),
                if low < high { format!("{low} to {high}") } else { low.to_string() }
            ),
        )),
        Some(_) => {}
        None => flags.push(flag(
            "test_voltage_not_checked",
            "Whether the test voltage suits the rated voltage is not checked: one of them is not \
             given.",
        )),
    }
    if judge::exempt(test) && (test.thermal_class.is_some() || test.ten_minutes.is_some()) {
        flags.push(flag(
            "index_not_judged",
            "The one-minute resistance is above 5000 MΩ: the currents are so small that the \
             polarisation index is not judged (IEEE Std 43-2013, from memory).",
        ));
    }
    if let (Some(own), Some((ohms, _))) = (&test.limit, judge::standard_minimum(test))
        && own.value.si() < ohms
    {
        flags.push(flag(
            "below_the_standard",
            format!(
                "The site's own minimum of {} is below the standard's {} MΩ.",
                own.shown(),
                significant(ohms / MEGOHM, 4)
            ),
        ));
    }
    let minutes = if test.ten_minutes.is_some() { 40 } else { 4 };
    flags.push(flag(
        "discharge",
        format!(
            "After the test the winding stays charged: earth it for at least {minutes} min, four \
             times the test (IEEE Std 43-2013, from memory)."
        ),
    ));
    flags
}

/// What the other class of insulation would say, where it says something else.
fn other_class(test: &Test, found: &Found) -> Option<String> {
    let other = match test.insulation {
        Insulation::Thermoplastic => Insulation::Thermosetting,
        Insulation::Thermosetting => Insulation::Thermoplastic,
        Insulation::AsMeasured => return None,
    };
    let (factor, _) = standard::correction(other, test.celsius?)?;
    let value = found.measured.times(factor);
    let here = judge::resistance(test, found.corrected, None).ok()??.verdict;
    let there = judge::resistance(test, value, None).ok()??.verdict;
    (here != there).then(|| {
        format!(
            "As {} insulation it would be {} MΩ at 40 °C and the verdict another: be sure of the \
             class.",
            name(other),
            value.text(MEGOHM, 4)
        )
    })
}

/// Resistance against temperature: the reading, the same winding at other temperatures, the limit.
fn figure(test: &Test, found: &Found) -> Option<Figure> {
    let celsius = test.celsius?;
    found.factor?;
    let (low, high) = standard::RANGE;
    let at = |ohms: f64| {
        curve(low.min(celsius), high.max(celsius), 60, |t| {
            let factor = standard::correction(test.insulation, t).map_or(1.0, |(k, _)| k);
            ohms / factor / MEGOHM
        })
    };
    let mut series = vec![
        Series::new(
            "winding",
            "this winding at other temperatures",
            Drawn::Thick,
            at(found.corrected.number),
        ),
        Series::new(
            "reading",
            "reading",
            Drawn::Points,
            vec![Point::of(celsius, found.measured.number / MEGOHM)],
        ),
    ];
    let minimum = match &test.limit {
        Some(own) => Some(Resistance::ohms(own.value)),
        None => judge::standard_minimum(test).map(|(ohms, _)| ohms),
    };
    if let Some(ohms) = minimum {
        let meaning = "what the limit at 40 °C is at other temperatures";
        series.push(Series::new("limit", meaning, Drawn::Dashed, at(ohms)));
    }
    let mut figure = Figure::lines(
        "Insulation resistance against winding temperature",
        "winding temperature in °C",
        "insulation resistance in MΩ",
        series,
    );
    figure.axes = Some(Axes::LogY);
    Some(figure)
}

fn validity(test: &Test) -> String {
    let range = match test.insulation {
        Insulation::AsMeasured => "Resistance as measured, at the temperature of the test.",
        _ => {
            "Clean and dry winding of one kind of insulation, from 10 to 85 °C; outside, the \
             formula is extrapolated and nothing is judged."
        }
    };
    format!(
        "{range} One phase or circuit against earth, after one minute at a steady direct voltage. \
         Insulation resistance says nothing of how a winding stands its working voltage."
    )
}

fn sources(test: &Test) -> Vec<String> {
    let mut sources = Vec::new();
    if test.insulation != Insulation::AsMeasured || test.thermal_class.is_some() {
        sources.push(standard::IEEE_43.to_owned());
    } else {
        sources.push(standard::IEC_60364_6.to_owned());
    }
    if test.air.is_some() {
        sources.push(standard::DEW.to_owned());
    }
    sources
}
