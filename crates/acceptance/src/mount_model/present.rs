//! The sheet.

use quantity::{Angle, significant};

use super::fit::{Left, Model, dot, equations};
use super::read::Survey;
use super::{CALCULATION, MODEL, tables};
use crate::form::Form;
use crate::limit::Judged;
use crate::several::{Together, capital, together};
use crate::sun::sources;
use crate::sun_position::true_north;
use crate::{
    Axes, Combined, DoubtLine, Drawn, Figure, Finding, Flag, Line, Outcome, Point, Series, Sheet,
    Verdict,
};

pub(super) fn degrees(radians: f64, digits: usize) -> String {
    significant(radians.to_degrees(), digits)
}

/// The sheet of a fitted model.
pub(super) fn sheet(form: Form, survey: &Survey, model: &Model) -> Sheet {
    let together = judge(survey, model);
    let mut reason = together.as_ref().map_or_else(Vec::new, |all| all.sentences.clone());
    reason.push(format!(
        "RMS of both axes {}° before and {}° after the correction, over {} readings with {} terms; s \
         {}°.",
        degrees(model.before, 4),
        degrees(model.after, 4),
        survey.fitted().count(),
        model.terms.len(),
        degrees(model.s, 4),
    ));
    let findings = findings(model);
    if let Some(finding) = findings.iter().find(|finding| finding.code == "hard_to_tell_apart") {
        reason.push(finding.sentence.clone());
    }
    let mut all_sources = vec![MODEL.to_owned(), BELSLEY.to_owned()];
    if survey.place.is_some() {
        all_sources.extend(sources());
    }
    Sheet {
        verdict: together.as_ref().map_or(Verdict::Computed, |all| all.verdict),
        reason: reason.join(" "),
        results: results(model),
        working: working(survey, model),
        doubt: vec![doubt(model)],
        combined: Some(Combined {
            of: "rms_after".to_owned(),
            standard: degrees(rms_doubt(model), 3),
            coverage_factor: "2".to_owned(),
            expanded: degrees(2.0 * rms_doubt(model), 3),
            unit: "°".to_owned(),
        }),
        rule: together.map(|all| all.rule),
        validity: VALIDITY.to_owned(),
        sources: all_sources,
        flags: flags(survey, model),
        figure: Some(figure(survey, model)),
        tables: vec![
            tables::terms(model),
            tables::correlations(model),
            tables::readings(model),
            tables::corrections(model),
        ],
        findings,
        ..Sheet::blank(&CALCULATION, form)
    }
}

const BELSLEY: &str = "D. A. Belsley, E. Kuh, R. E. Welsch, Regression Diagnostics (1980), for condition \
                       indices of scaled columns and shares of variance, from memory";
const VALIDITY: &str = "First order in the terms: exact rotations differ by their squares, 0.0002° for \
                        0.06° at 68° of elevation and more near the zenith by the tangent. The standard \
                        errors take the rest for random; a drive's play or bent racks are not. The \
                        correction holds where readings were taken, and is a guess beyond.";

/// The standard uncertainty of the RMS from so many readings.
fn rms_doubt(model: &Model) -> f64 {
    model.after / libm::sqrt(2.0 * model.freedom)
}

fn judge(survey: &Survey, model: &Model) -> Option<Together> {
    let mut judged: Vec<(&str, Judged)> = Vec::new();
    if let Some(limit) = &survey.rms_after {
        let value = limit.settled(Angle::from_radians(model.after));
        judged.push(("RMS after correction", limit.judge(value, Some(rms_doubt(model)))));
    }
    if let Some(limit) = &survey.largest_after {
        let worst = worst(model).map_or(f64::NAN, Left::size);
        let value = limit.settled(Angle::from_radians(worst));
        judged.push(("largest error after correction", limit.judge(value, None)));
    }
    together(&judged)
}

/// The reading with the largest error left, of those fitted.
fn worst(model: &Model) -> Option<&Left> {
    model
        .left
        .iter()
        .filter(|left| left.standardised.is_some())
        .max_by(|one, other| one.size().total_cmp(&other.size()))
}

fn results(model: &Model) -> Vec<Outcome> {
    let angle =
        |name: &str, meaning: &str, value: f64| Outcome::new(name, meaning, degrees(value, 6), "°");
    let mut out: Vec<Outcome> = model
        .terms
        .iter()
        .map(|found| {
            let name = found.term.symbols().1;
            angle(name, found.term.words(), found.value).within(degrees(found.error, 5))
        })
        .collect();
    out.push(angle("s", "standard deviation of unit weight", model.s));
    out.push(angle("rms_before", "RMS of both axes before the correction", model.before));
    out.push(
        angle("rms_after", "RMS of both axes after the correction", model.after)
            .within(degrees(rms_doubt(model), 3)),
    );
    if let Some(worst) = worst(model) {
        let meaning =
            format!("largest error after the correction, reading {}", worst.reading.number);
        out.push(angle("largest_after", &meaning, worst.size()));
    }
    let number = |name: &str, meaning: &str, value: f64, digits| {
        Outcome::new(name, meaning, significant(value, digits), "1")
    };
    let singular = "condition number of the weighted equations";
    out.push(number("condition", singular, model.fit.condition(), 4));
    let scaled = "the same with columns scaled to length 1";
    out.push(number("condition_scaled", scaled, model.scaled_condition, 4));
    let freedom =
        Outcome::new("freedom", "equations less terms", format!("{}", model.freedom), "1");
    out.push(freedom);
    out
}

fn working(survey: &Survey, model: &Model) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some((place, moment)) = &survey.place {
        lines.extend(place.working(place.delta_t(*moment).unwrap_or(f64::NAN)));
    }
    lines.push(
        Line::new(
            "ΔA, ΔE",
            "model: azimuth and elevation read less those of the sun",
            "ΔA = z_A + c/cos E + q·tan E + (t_N·sin A − t_E·cos A)·tan E; \
             ΔE = z_E + t_N·cos A + t_E·sin A + g·cos E",
            "—".to_owned(),
            "",
        )
        .sourced(MODEL),
    );
    if let Some((above, weight)) = survey.near_zenith {
        lines.push(Line::new(
            "w",
            &format!("weight of readings above {}°", degrees(above, 4)),
            "as typed, times the reading's own",
            significant(weight, 4),
            "1",
        ));
    }
    let number = |symbol: &str, meaning: &str, formula: &str, value: String| {
        Line::new(symbol, meaning, formula, value, "1")
    };
    lines.push(number(
        "n",
        "readings fitted, each with the equations ΔA·cos E and ΔE",
        "counted, those of weight 0 left out",
        survey.fitted().count().to_string(),
    ));
    lines.push(number("m", "terms fitted", "counted", model.terms.len().to_string()));
    let angle = |symbol: &str, meaning: &str, formula: &str, value: f64, digits| {
        Line::new(symbol, meaning, formula, degrees(value, digits), "°")
    };
    if let Some(left) = model.left.iter().find(|left| left.standardised.is_some()) {
        lines.extend(example(survey, left));
    }
    for found in &model.terms {
        let (symbol, _) = found.term.symbols();
        let formula = "least squares, weight w of each reading";
        lines.push(angle(symbol, found.term.words(), formula, found.value, 7));
    }
    let formula = "s = √(Σ w·r²/(2n − m))";
    lines.push(angle("s", "standard deviation of unit weight", formula, model.s, 6));
    for (found, place) in model.terms.iter().zip(0..) {
        let symbol = format!("u({})", found.term.symbols().0);
        let formula = format!(
            "s·√((MᵀWM)⁻¹ on the diagonal), which is {}",
            significant(model.fit.cofactor(place, place), 6)
        );
        let meaning = format!("standard error of the {}", found.term.words());
        lines.push(angle(&symbol, &meaning, &formula, found.error, 6));
    }
    let singular: Vec<_> = model.fit.singular.iter().map(|s| significant(*s, 6)).collect();
    lines.push(number(
        "κ",
        "condition number",
        &format!("largest over smallest of the singular values {}", singular.join(", ")),
        significant(model.fit.condition(), 6),
    ));
    let formula = "√(Σ((ΔA·cos E)² + ΔE²)/n), weights left aside";
    lines.push(angle("RMS₀", "RMS of both axes before", formula, model.before, 7));
    let formula = "√(Σ(r_x² + r_y²)/n), weights left aside";
    lines.push(angle("RMS", "RMS of both axes after", formula, model.after, 7));
    lines
}

/// The equations of one reading, as an example.
fn example(survey: &Survey, left: &Left) -> Vec<Line> {
    let reading = &left.reading;
    let [across, up] = equations(&survey.terms, reading.azimuth, reading.elevation);
    let written = |row: &[f64]| {
        let parts: Vec<_> = survey
            .terms
            .iter()
            .zip(row)
            .filter(|(_, x)| x.abs() > 0.0)
            .map(|(term, x)| format!("{}·{}", significant(*x, 6), term.symbols().0))
            .collect();
        parts.join(" + ").replace("+ -", "− ")
    };
    let number = reading.number;
    let line = |symbol: &str, row: &[f64], value: f64| {
        Line::new(
            &format!("{symbol}{number}"),
            &format!("equation of reading {number}, as an example"),
            &format!("= {}", written(row)),
            degrees(value, 7),
            "°",
        )
    };
    vec![line("ΔA·cos E ", &across, left.before.0), line("ΔE ", &up, left.before.1)]
}

fn doubt(model: &Model) -> DoubtLine {
    DoubtLine {
        source: "what the model leaves, as random".to_owned(),
        statement: format!("s with {} degrees of freedom, u = RMS/√(2·ν)", model.freedom),
        standard_uncertainty: degrees(model.s, 4),
        unit: "°".to_owned(),
        contribution: degrees(rms_doubt(model), 3),
        contribution_unit: "°".to_owned(),
        share: "100.0".to_owned(),
        share_of_mass: None,
    }
}

/// Correlations from here on are worth a word. Common practice, no source.
const CORRELATED: f64 = 0.9;
/// Condition index, and share of variance in its direction, from which terms are hard to tell apart
/// (Belsley, Kuh and Welsch).
pub(super) const INDEX: f64 = 30.0;
pub(super) const SHARE: f64 = 0.5;
/// Standardised residuals from here on are looked at. Common practice, no source.
const OUTLIER: f64 = 3.5;

fn findings(model: &Model) -> Vec<Finding> {
    let mut out = Vec::new();
    let soft: Vec<_> = model
        .terms
        .iter()
        .filter(|found| found.softest.0 > INDEX && found.softest.1 > SHARE)
        .map(|found| found.term.words())
        .collect();
    if soft.len() > 1 {
        out.push(Finding {
            code: "hard_to_tell_apart".to_owned(),
            place: soft.join(", "),
            sentence: format!(
                "Hard to tell apart by these readings: {} (condition index {}). Their sum over the \
                 sky is good, each alone is not: take readings at more elevations, or hold one of \
                 them at a value known otherwise.",
                soft.join(", "),
                significant(model.scaled_condition, 3)
            ),
        });
    }
    for (i, one) in model.terms.iter().enumerate() {
        for (j, other) in model.terms.iter().enumerate().skip(i + 1) {
            let r = model.fit.correlation(i, j);
            if r.abs() > CORRELATED {
                out.push(Finding {
                    code: "correlated".to_owned(),
                    place: format!("{}, {}", one.term.words(), other.term.words()),
                    sentence: format!(
                        "{} and {} go together (correlation {}).",
                        capital(one.term.words()),
                        other.term.words(),
                        significant(r, 3)
                    ),
                });
            }
        }
    }
    for found in &model.terms {
        if found.value.abs() < model.t * found.error {
            out.push(Finding {
                code: "not_shown".to_owned(),
                place: found.term.words().to_owned(),
                sentence: format!(
                    "The {} ({}° ± {}°) can't be told from zero with 95 % confidence.",
                    found.term.words(),
                    degrees(found.value, 3),
                    degrees(model.t * found.error, 2)
                ),
            });
        }
    }
    for left in &model.left {
        if let Some(size) = left.standardised
            && size > OUTLIER
        {
            out.push(Finding {
                code: "does_not_fit".to_owned(),
                place: format!("reading {}", left.reading.number),
                sentence: format!(
                    "Reading {} lies {} of its standard deviations off the model. Look whether it \
                     was read well before leaving it out.",
                    left.reading.number,
                    significant(size, 3)
                ),
            });
        }
    }
    out
}

fn flags(survey: &Survey, model: &Model) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag =
        |code: &str, sentence: String| flags.push(Flag { code: code.to_owned(), sentence });
    if survey.refraction_not_stated {
        flag(
            "refraction_not_stated",
            "It is not stated whether the elevations of the sun are as seen or without air; they are \
             taken as seen. Refraction not taken off looks like sag and elevation zero."
                .to_owned(),
        );
    }
    let (low, high) = model.elevations;
    if (high - low).to_degrees() < NARROW {
        flag(
            "narrow",
            format!(
                "The readings reach from {}° to {}° of elevation only; azimuth zero, collimation \
                 and squareness need more.",
                degrees(low, 3),
                degrees(high, 3)
            ),
        );
    }
    if model.after > model.before {
        flag("no_gain", "The correction does not make the errors smaller.".to_owned());
    }
    let out = survey.readings.len() - survey.fitted().count();
    if out > 0 {
        flag("left_out", format!("{out} readings have weight 0 and are shown only."));
    }
    if survey.place.is_some() {
        flags.push(true_north());
    }
    flags
}

/// Elevations over fewer degrees than this hardly separate the terms. Common practice, no source.
const NARROW: f64 = 30.0;
/// Corners of a circle.
const CORNERS: u32 = 72;
/// How many times larger the RMS before may be and still be drawn beside what is left.
const BESIDE: f64 = 5.0;

fn figure(survey: &Survey, model: &Model) -> Figure {
    let marks = |fitted: bool| -> Vec<Point> {
        model
            .left
            .iter()
            .filter(|left| left.standardised.is_some() == fitted)
            .map(|left| Point::of(left.across.to_degrees(), left.up.to_degrees()))
            .collect()
    };
    let circle = |radius: f64| -> Vec<Point> {
        (0..=CORNERS)
            .map(|corner| 2.0 * core::f64::consts::PI * f64::from(corner) / f64::from(CORNERS))
            .map(|angle| {
                let radius = radius.to_degrees();
                Point::of(radius * libm::cos(angle), radius * libm::sin(angle))
            })
            .collect()
    };
    let mut series =
        vec![Series::new("after", "left after the correction", Drawn::Points, marks(true))];
    let out = marks(false);
    if !out.is_empty() {
        series.push(Series::new("left_out", "of weight 0, not fitted", Drawn::Crosses, out));
    }
    series.push(Series::new("rms_after", "RMS after", Drawn::Thin, circle(model.after)));
    if model.before < BESIDE * model.after {
        series.push(Series::new("rms_before", "RMS before", Drawn::Thin, circle(model.before)));
    }
    if let Some(limit) = survey.largest_after.as_ref().or(survey.rms_after.as_ref()) {
        series.push(Series::new("limit", "limit", Drawn::Dashed, circle(limit.value.radians())));
    }
    Figure {
        axes: Some(Axes::Equal),
        ..Figure::lines(
            &format!(
                "What the correction leaves; before it the RMS was {}°",
                degrees(model.before, 3)
            ),
            "left across, to greater azimuth, in °",
            "left in elevation, upward, in °",
            series,
        )
    }
}

/// ΔA and ΔE that the model says, with their standard uncertainties, all in rad.
pub(super) fn correction(model: &Model, azimuth: f64, elevation: f64) -> [(f64, f64); 2] {
    let terms: Vec<_> = model.terms.iter().map(|found| found.term).collect();
    let cosine = libm::cos(elevation);
    let [across, up] = equations(&terms, azimuth, elevation);
    let of = |row: &[f64], over: f64| {
        let u = model.s * libm::sqrt(model.fit.spread_at(row).max(0.0));
        (dot(row, &model.fit.coefficients) / over, u / over)
    };
    [of(&across, cosine), of(&up, 1.0)]
}
