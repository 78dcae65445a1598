//! The sheet.

use quantity::{Ratio, significant};

use super::CALCULATION;
use super::input::{Kind, SOLAR};
use super::measure::{Found, Sample, needed};
use super::read::{Clean, Survey};
use crate::doubt::{Budget, Part, first_order};
use crate::form::Form;
use crate::limit::Judged;
use crate::several::{Together, together};
use crate::{Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Table, Verdict};

/// The sheet of a survey.
pub(super) fn sheet(form: Form, survey: &Survey, found: &Found) -> Sheet {
    let together = judge(survey, found);
    let all = &found.all;
    let mut reason = together.as_ref().map_or_else(Vec::new, |all| all.sentences.clone());
    reason.push(match all.error.is_finite() {
        true => format!(
            "Mean {} of {} readings, {} to {} with {} % confidence.",
            shown(all.mean),
            all.readings,
            shown(all.mean - all.half_width()),
            shown(all.mean + all.half_width()),
            percent(survey.confidence)
        ),
        false => format!("{} by {} reading, without a scatter.", shown(all.mean), all.readings),
    });
    if let Some(chi) = found.cleanliness() {
        reason.push(format!("Cleanliness {}.", shown(chi)));
    }
    if let Some(gain) = found.gain {
        reason.push(format!(
            "Gain by the wash {} ± {}.",
            signed(gain.value),
            shown(gain.t * gain.error)
        ));
    }
    let (of, budget) = budget(survey, found);
    Sheet {
        verdict: together.as_ref().map_or(Verdict::Computed, |all| all.verdict),
        reason: reason.join(" "),
        results: results(survey, found),
        working: working(survey, found),
        combined: budget.as_ref().map(|budget| budget.combined(of)),
        doubt: budget.map_or_else(Vec::new, |budget| budget.lines),
        rule: together.map(|all| all.rule),
        validity: VALIDITY.to_owned(),
        sources: vec![STUDENT.to_owned(), GUIDELINE.to_owned()],
        flags: flags(survey, found),
        figure: Some(figure(survey, found)),
        tables: tables(found),
        ..Sheet::blank(&CALCULATION, form)
    }
}

const STUDENT: &str = "interval of a mean by Student's t: JCGM 100:2008 (GUM), G.3; spots of one facet as \
                       a cluster: W. G. Cochran, Sampling Techniques (1977), chapter 9, from memory";
const GUIDELINE: &str = "S. Meyen et al., Parameters and method to evaluate the solar reflectance \
                         properties of reflector materials, SolarPACES guideline 2.5 (2013), for what \
                         has to be stated, from memory";
const VALIDITY: &str = "The mean of the spots that were read, at one wavelength, incidence and \
                        acceptance; it stands for the dish as far as the spots were spread over facets \
                        and heights. A cleanliness is a ratio of two reflectances under the same \
                        conditions on the same mirror. The interval takes the scatter for normal.";

fn shown(value: f64) -> String {
    format!("{value:.4}")
}

/// A share in percent, without needless zeros.
fn percent(share: f64) -> String {
    let text = format!("{:.3}", 100.0 * share);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn signed(value: f64) -> String {
    format!("{value:+.4}")
}

fn judge(survey: &Survey, found: &Found) -> Option<Together> {
    let mut judged: Vec<(&str, Judged)> = Vec::new();
    let mut push = |name, limit: &Option<crate::limit::ReadLimit<Ratio>>, value: Option<f64>, u| {
        if let (Some(limit), Some(value)) = (limit, value) {
            judged.push((name, limit.judge(limit.settled(Ratio::from_fraction(value)), u)));
        }
    };
    push("mean reflectance", &survey.mean_limit, Some(found.all.mean), found.mean_doubt());
    push("cleanliness", &survey.cleanliness_limit, found.cleanliness(), found.cleanliness_doubt());
    let gain = found.gain;
    let u = gain.map(|gain| gain.error).filter(|error| error.is_finite());
    push("gain", &survey.gain_limit, gain.map(|gain| gain.value), u);
    together(&judged)
}

/// The budget of the cleanliness where only it is judged, else of the mean.
fn budget(survey: &Survey, found: &Found) -> (&'static str, Option<Budget>) {
    let all = &found.all;
    if !all.error.is_finite() {
        return ("mean", None);
    }
    let mut parts = vec![Part {
        source: if all.clustered() {
            "scatter of the facets".to_owned()
        } else {
            "scatter of the readings".to_owned()
        },
        statement: format!("standard error of the mean, {} independent", all.clusters),
        value: all.mean,
        standard: all.error,
        unit: "1",
    }];
    let of_chi = survey.cleanliness_limit.is_some() && survey.mean_limit.is_none();
    let cancels = of_chi && found.clean_sample.is_some();
    if let (Some(u), Some(stated), false) = (found.instrument, &survey.instrument, cancels) {
        parts.push(Part {
            source: "instrument, shared by all readings".to_owned(),
            statement: stated.text.clone(),
            value: 0.0,
            standard: u,
            unit: "1",
        });
    }
    if !of_chi {
        return ("mean", Some(first_order(&parts, "1", |values| values.iter().sum())));
    }
    let Some((clean, Some(u))) = found.clean else { return ("cleanliness", None) };
    let statement = match &survey.clean {
        Some(Clean::Reference(_, Some(stated))) => stated.text.clone(),
        _ => "standard error of the mean of the clean spots".to_owned(),
    };
    let source = "reflectance of the clean mirror".to_owned();
    parts.insert(0, Part { source, statement, value: clean, standard: u, unit: "1" });
    let chi = |values: &[f64]| {
        values.split_first().map_or(f64::NAN, |(clean, rest)| rest.iter().sum::<f64>() / clean)
    };
    ("cleanliness", Some(first_order(&parts, "1", chi)))
}

fn results(survey: &Survey, found: &Found) -> Vec<Outcome> {
    let all = &found.all;
    let number = |name: &str, meaning: &str, value: f64| {
        Outcome::new(name, meaning, significant(value, 6), "1")
    };
    let with = |outcome: Outcome, u: Option<f64>| match u {
        Some(u) => outcome.within(significant(u, 4)),
        None => outcome,
    };
    let mut out = vec![
        with(number("mean", "mean reflectance", all.mean), found.mean_doubt()),
        Outcome::new("readings", "readings", all.readings.to_string(), "1"),
    ];
    if all.clustered() {
        out.push(Outcome::new("facets", "facets", all.clusters.to_string(), "1"));
    }
    if all.error.is_finite() {
        out.push(number("deviation", "standard deviation of the readings", all.deviation));
        let confidence = percent(survey.confidence);
        let of = |what: &str| format!("{what} of the {confidence} % interval of the mean");
        out.push(number("half_width", &of("half-width"), all.half_width()));
        out.push(number("low", &of("lower end"), all.mean - all.half_width()));
        out.push(number("high", &of("upper end"), all.mean + all.half_width()));
    }
    out.push(number("lowest", "lowest reading", all.lowest));
    out.push(number("highest", "highest reading", all.highest));
    if let Some(chi) = found.cleanliness() {
        let outcome = number("cleanliness", "mean over that of the clean mirror", chi);
        out.push(with(outcome, found.cleanliness_doubt()));
    }
    if let Some(gain) = found.gain {
        let outcome = number("gain", "rise of the mean by the wash", gain.value);
        out.push(with(outcome, gain.error.is_finite().then_some(gain.error)));
        if gain.error.is_finite() {
            let half = gain.t * gain.error;
            out.push(number("gain_half_width", "half-width of its interval", half));
        }
    }
    if let Some(wanted) = survey.wanted
        && all.error.is_finite()
    {
        let what = if all.clustered() { "facets" } else { "readings" };
        let meaning = format!("{what} needed for a half-width of {}", significant(wanted, 3));
        let count = needed(all.independent_deviation(), wanted, survey.confidence)
            .map_or_else(|| "more than 100000".to_owned(), |n| n.to_string());
        out.push(Outcome::new("needed", &meaning, count, "1"));
    }
    out
}

fn working(survey: &Survey, found: &Found) -> Vec<Line> {
    let mut lines = Vec::new();
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64| {
        Line::new(symbol, meaning, formula, significant(value, 7), "1")
    };
    let mut condition = |symbol: &str, meaning: &str, value: String, unit: &str| {
        lines.push(Line::new(symbol, meaning, "as typed", value, unit));
    };
    if let Some(kind) = survey.kind {
        condition("ρ", "what was measured", kind.words().to_owned(), "");
    }
    if let Some(wavelength) = &survey.wavelength {
        condition("λ", "wavelength", wavelength.clone(), "");
    }
    if let Some(angle) = survey.incidence {
        condition("θ", "angle of incidence", significant(angle.to_degrees(), 5), "°");
    }
    if let Some(angle) = survey.acceptance {
        condition("φ", "half-angle taken in", significant(1e3 * angle, 5), "mrad");
    }
    if let Some(tile) = survey.tile {
        lines.push(line("ρ_t", "tile by its certificate", "as typed", tile.certificate));
        lines.push(line("ρ_r", "tile as read", "as typed", tile.read));
        let off = tile.read - tile.certificate;
        lines.push(line("Δ_t", "difference on the tile", "Δ_t = ρ_r − ρ_t", off));
    }
    lines.extend(sample_lines(survey, &found.all, "", "ρ"));
    if let Some(u) = found.instrument {
        lines.push(line("u_i", "standard uncertainty of the instrument", "as stated", u));
    }
    if let Some(u) = found.mean_doubt() {
        lines.push(line("u(ρ̄)", "of the mean", "√(u_s² + u_i²), parts not stated left out", u));
    }
    if let Some(sample) = &found.clean_sample {
        lines.extend(sample_lines(survey, sample, "c", "ρ_c"));
    }
    if let Some((clean, u)) = found.clean {
        lines.push(line("ρ_c", "reflectance of the clean mirror", "as typed, or mean", clean));
        if let Some(u) = u {
            lines.push(line("u_c", "its standard uncertainty", "as stated, or u_s of it", u));
        }
    }
    if let Some(chi) = found.cleanliness() {
        lines.push(line("χ", "cleanliness", "χ = ρ̄/ρ_c", chi));
    }
    if let Some(u) = found.cleanliness_doubt() {
        let formula = match found.clean_sample {
            Some(_) => {
                "u_χ = χ·√((u_s/ρ̄)² + (u_c/ρ_c)²); the same instrument read both, its own error \
                 falls out"
            }
            None => "u_χ = χ·√((u(ρ̄)/ρ̄)² + (u_c/ρ_c)²)",
        };
        lines.push(line("u_χ", "its standard uncertainty", formula, u));
    }
    if let Some(before) = &found.before {
        lines.extend(sample_lines(survey, before, "b", "ρ_b"));
    }
    if let Some(gain) = found.gain {
        let (formula, error) = match gain.paired {
            true => ("mean of the differences, place by place", "from the differences, as u_s"),
            false => ("Δρ = ρ̄ − ρ̄_b", "√(u_s² + u_sb²)"),
        };
        lines.push(line("Δρ", "gain by the wash", formula, gain.value));
        lines.push(line("u_Δ", "its standard error", error, gain.error));
        let formula =
            format!("Student's t with {} degrees of freedom", significant(gain.freedom, 4));
        lines.push(line("t_Δ", "factor of its interval", &formula, gain.t));
    }
    lines
}

fn sample_lines(survey: &Survey, sample: &Sample, index: &str, symbol: &str) -> Vec<Line> {
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64| {
        Line::new(&format!("{symbol}{index}"), meaning, formula, significant(value, 7), "1")
    };
    let counted = sample.readings.to_string();
    let mut lines = vec![
        Line::new(&format!("n{index}"), "readings", "counted", counted, "1"),
        line("ρ̄", "mean", &format!("Σ{symbol}/n{index}"), sample.mean),
    ];
    if !sample.error.is_finite() {
        return lines;
    }
    let formula = format!("√(Σ({symbol} − mean)²/(n{index} − 1))");
    lines.push(line("s", "standard deviation of the readings", &formula, sample.deviation));
    let formula = match sample.clustered() {
        true => format!(
            "√(m/(m − 1)·Σ(Σ({symbol} − mean))²)/n{index}, the inner sum over the spots of a facet, \
             m = {} facets",
            sample.clusters
        ),
        false => format!("s{index}/√n{index}"),
    };
    lines.push(line("u_s", "standard error of the mean", &formula, sample.error));
    let formula = format!(
        "Student's t, {} % two-sided, {} degrees of freedom",
        percent(survey.confidence),
        sample.clusters - 1
    );
    lines.push(line("t", "factor of the interval", &formula, sample.t).sourced(STUDENT));
    let formula = format!("t{index}·u_s{index}");
    lines.push(line("h", "half-width of the interval", &formula, sample.half_width()));
    lines
}

/// Half-angle of acceptance from which light is counted that a dish doesn't gather (from memory,
/// after the guideline: 12.5 mrad).
const WIDE: f64 = 0.0125;
/// As many readings that are all alike were hardly read.
const ALIKE: usize = 5;

fn flags(survey: &Survey, found: &Found) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag =
        |code: &str, sentence: String| flags.push(Flag { code: code.to_owned(), sentence });
    let gaps: Vec<&str> = [
        ("specular or hemispherical", survey.kind.is_none()),
        ("wavelength", survey.wavelength.is_none()),
        ("incidence", survey.incidence.is_none()),
        ("acceptance", survey.acceptance.is_none() && survey.kind != Some(Kind::Hemispherical)),
    ]
    .into_iter()
    .filter_map(|(name, gap)| gap.then_some(name))
    .collect();
    if !gaps.is_empty() {
        flag(
            "conditions_not_stated",
            format!(
                "Not stated: {}. Without these the number can't be compared with any other.",
                gaps.join(", ")
            ),
        );
    }
    if survey.wavelength.as_deref().is_some_and(|text| text != SOLAR) {
        flag(
            "one_wavelength",
            "Measured at one wavelength or band: this is not the solar-weighted reflectance, and \
             must not stand in for it."
                .to_owned(),
        );
    }
    if survey.kind == Some(Kind::Hemispherical) {
        flag(
            "hemispherical",
            "Hemispherical reflectance counts light that never reaches the receiver; the specular \
             is lower, and dirt lowers it more."
                .to_owned(),
        );
    }
    if let Some(angle) = survey.acceptance
        && angle > WIDE
        && survey.kind != Some(Kind::Hemispherical)
    {
        flag(
            "wide_acceptance",
            format!(
                "Light within {} mrad is taken in; a dish gathers about 12.5 mrad and less, so this \
                 reads high on dirty mirrors.",
                significant(1e3 * angle, 3)
            ),
        );
    }
    if let Some(tile) = survey.tile {
        let off = tile.read - tile.certificate;
        if off.abs() > tile.allowed * (1.0 + 1e-9) {
            flag(
                "tile",
                format!(
                    "On its tile the instrument shows {} more than the certificate; allowed is {}. \
                     Look at tile and optics before these readings are used.",
                    signed(off),
                    significant(tile.allowed, 3)
                ),
            );
        }
    }
    if found.cleanliness().is_some_and(|chi| chi > 1.0) {
        flag(
            "cleaner_than_clean",
            "The mirrors read higher than the clean reference: it is of another mirror, another \
             instrument or other conditions."
                .to_owned(),
        );
    }
    if found.all.readings >= ALIKE && found.all.highest - found.all.lowest <= 0.0 {
        flag("all_alike", format!("All {} readings are the same number.", found.all.readings));
    }
    if let Some(gain) = found.gain
        && gain.value <= gain.t * gain.error
    {
        flag(
            "no_gain",
            "The wash shows no gain beyond the scatter: look at water, brush and method."
                .to_owned(),
        );
    }
    flags
}

fn tables(found: &Found) -> Vec<Table> {
    if found.groups.is_empty() {
        return Vec::new();
    }
    let rows = found
        .groups
        .iter()
        .map(|(name, of)| {
            let known = |value: f64| if value.is_finite() { shown(value) } else { String::new() };
            vec![
                name.clone(),
                of.readings.to_string(),
                shown(of.mean),
                known(of.deviation),
                known(of.half_width()),
                shown(of.lowest),
                shown(of.highest),
            ]
        })
        .collect();
    let columns = ["group", "readings", "mean", "s", "half-width", "lowest", "highest"];
    vec![Table {
        name: "groups".to_owned(),
        title: "Each group".to_owned(),
        columns: columns.map(str::to_owned).to_vec(),
        rows,
    }]
}

fn figure(survey: &Survey, found: &Found) -> Figure {
    let marks = (1_u32..)
        .zip(&survey.readings)
        .map(|(number, mirror)| Point::of(f64::from(number), mirror.value))
        .collect();
    let last = crate::stats::count(survey.readings.len());
    let level = |value: f64| vec![Point::of(0.5, value), Point::of(last + 0.5, value)];
    let mut series = vec![
        Series::new("readings", "readings", Drawn::Points, marks),
        Series::new("mean", "mean", Drawn::Thick, level(found.all.mean)),
    ];
    if found.all.error.is_finite() {
        let half = found.all.half_width();
        let (low, high) = (level(found.all.mean - half), level(found.all.mean + half));
        series.push(Series::new("low", "lower end of its interval", Drawn::Thin, low));
        series.push(Series::new("high", "upper end of its interval", Drawn::Thin, high));
    }
    if let Some((clean, _)) = found.clean {
        series.push(Series::new("clean", "clean mirror", Drawn::Thin, level(clean)));
    }
    if let Some(limit) = &survey.mean_limit {
        let at = level(limit.value.fraction());
        series.push(Series::new("limit", "limit of the mean", Drawn::Dashed, at));
    }
    Figure::lines("Reflectance of each spot", "number of the reading", "reflectance", series)
}
