//! The sheet.

use quantity::significant;

use super::doubt::{Doubt, SEED};
use super::input::Method;
use super::judge::{flags, judge};
use super::measure::{Found, JUDGED, Statistics};
use super::read::{Sample, Survey};
use super::{CALCULATION, figure};
use crate::form::Form;
use crate::sun::{SPA, sources};
use crate::{Combined, DoubtLine, Line, Outcome, Sheet, Table, Verdict};

/// The unit that errors are shown in: that of the first limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    pub(super) symbol: &'static str,
    scale: f64,
}

impl Unit {
    fn of(survey: &Survey) -> Self {
        let limits = &survey.limits;
        let angles =
            [&limits.rms_each_axis, &limits.rms, &limits.percentile, &limits.largest, &limits.mean];
        match angles.into_iter().flatten().next().map(|limit| limit.unit()) {
            Some("°") => Self { symbol: "°", scale: 180.0 / core::f64::consts::PI },
            _ => Self { symbol: "mrad", scale: 1e3 },
        }
    }

    /// An angle in rad as a number of the unit.
    pub(super) fn number(self, radians: f64) -> f64 {
        self.scale * radians
    }

    fn text(self, radians: f64) -> String {
        significant(self.number(radians), 5)
    }
}

/// The sheet of what was found.
pub(super) fn sheet(
    form: Form,
    survey: &Survey,
    found: &Found<'_>,
    doubt: Option<&Doubt>,
) -> Sheet {
    let unit = Unit::of(survey);
    let Some(all) = &found.all else {
        return Sheet {
            verdict: Verdict::NotJudged,
            reason: "Not judged: every sample was taken at more wind than stated.".to_owned(),
            flags: flags(survey, found),
            tables: vec![samples(survey, unit)],
            ..Sheet::blank(&CALCULATION, form)
        };
    };
    let together = judge(survey, found, doubt);
    let mut reason = together.as_ref().map_or_else(Vec::new, |all| all.sentences.clone());
    reason.push(format!(
        "{} samples: mean {} {s} across and {} {s} up, RMS {} {s} across and {} {s} up, {} {s} both; \
         {} % within {} {s}, largest {} {s}.",
        all.samples,
        unit.text(all.mean_across),
        unit.text(all.mean_up),
        unit.text(all.rms_across),
        unit.text(all.rms_up),
        unit.text(all.rms),
        percent(survey.share),
        unit.text(all.percentile),
        unit.text(all.largest),
        s = unit.symbol,
    ));
    let mut tables = vec![statistics_table(all)];
    if !found.groups.is_empty() {
        tables.push(groups(found, unit));
    }
    tables.push(samples(survey, unit));
    Sheet {
        verdict: together.as_ref().map_or(Verdict::Computed, |all| all.verdict),
        reason: reason.join(" "),
        results: results(survey, found, all, doubt, unit),
        working: working(survey, found, all, doubt),
        doubt: doubt.map_or_else(Vec::new, |doubt| doubt_lines(survey, doubt, unit)),
        combined: doubt.and_then(|doubt| combined(survey, doubt, unit)),
        rule: together.map(|all| all.rule),
        validity: VALIDITY.to_owned(),
        sources: match survey.method {
            Method::SunComputed => sources(),
            _ => vec![SEPARATION_SOURCE.to_owned()],
        },
        flags: flags(survey, found),
        figure: Some(figure::figure(survey, found, unit)),
        tables,
        ..Sheet::blank(&CALCULATION, form)
    }
}

const SEPARATION_SOURCE: &str = "angle between two directions by the arctangent of cross and dot \
                                 product (spherical trigonometry)";
const EFFECTIVE: &str = "G. V. Bayley, J. M. Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184, from \
                         memory";
const VALIDITY: &str = "Errors of the axes against the sun's middle, as seen through calm air. RMS is \
                        about zero, so it holds the mean. With equal axes the RMS of both is √2 times \
                        that of one. The effective number of samples takes equal steps of time for \
                        granted. A percentile is the smallest error that the share of these samples \
                        does not exceed, without interpolation.";

/// A share in percent, without needless zeros.
pub(super) fn percent(share: f64) -> String {
    let text = format!("{:.3}", 100.0 * share);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Names of the statistics that can be judged, in their order.
const NAMES: [&str; JUDGED] =
    ["rms_worse_axis", "rms", "percentile", "largest", "mean_size", "share_within"];

fn results(
    survey: &Survey,
    found: &Found<'_>,
    all: &Statistics,
    doubt: Option<&Doubt>,
    unit: Unit,
) -> Vec<Outcome> {
    let share = percent(survey.share);
    let meanings = [
        "RMS of the worse axis, about zero".to_owned(),
        "RMS of both axes together, about zero".to_owned(),
        format!("error that {share} % of the samples do not exceed"),
        "largest error".to_owned(),
        "size of the mean error".to_owned(),
        "share of the samples within the stated error".to_owned(),
    ];
    let mut out = Vec::new();
    for (place, ((name, meaning), value)) in
        NAMES.iter().zip(meanings).zip(all.judged()).enumerate()
    {
        let of_share = *name == "share_within";
        if of_share && survey.within.is_none() {
            continue;
        }
        let scaled = |value: f64| if of_share { 100.0 * value } else { unit.number(value) };
        let symbol = if of_share { "%" } else { unit.symbol };
        let outcome = Outcome::new(name, &meaning, significant(scaled(value), 6), symbol);
        out.push(match doubt.and_then(|doubt| doubt.all.get(place)) {
            Some(u) => outcome.within(significant(scaled(*u), 3)),
            None => outcome,
        });
    }
    let angle = |name: &str, meaning: &str, value: f64| {
        Outcome::new(name, meaning, significant(unit.number(value), 6), unit.symbol)
    };
    out.push(angle("mean_across", "mean error across, to greater azimuth", all.mean_across));
    out.push(angle("mean_up", "mean error in elevation, upward", all.mean_up));
    out.push(angle("scatter_across", "standard deviation across", all.scatter_across));
    out.push(angle("scatter_up", "standard deviation in elevation", all.scatter_up));
    out.push(angle("rms_across", "RMS across, about zero", all.rms_across));
    out.push(angle("rms_up", "RMS in elevation, about zero", all.rms_up));
    out.push(angle("median", "error that half of the samples do not exceed", all.median));
    out.push(Outcome::new("samples", "samples judged", all.samples.to_string(), "1"));
    out.push(Outcome::new(
        "effective_samples",
        "independent samples that would say as much",
        significant(found.effective, 3),
        "1",
    ));
    if let Some(clock) = found.clock {
        out.push(Outcome::new(
            "leads_by",
            "time by which the dish leads the sun, as a clock that is ahead makes it, fitted",
            significant(clock.seconds, 4),
            "s",
        ));
        out.push(Outcome::new(
            "lead_explains",
            "share of the mean square that this lead explains",
            significant(100.0 * clock.explained, 4),
            "%",
        ));
        out.push(angle("each_second", "error of a second of clock, RMS", clock.each_second));
    }
    out
}

fn working(
    survey: &Survey,
    found: &Found<'_>,
    all: &Statistics,
    doubt: Option<&Doubt>,
) -> Vec<Line> {
    let mut lines = Vec::new();
    let angle = |symbol: &str, meaning: &str, formula: &str, value: f64| {
        Line::new(symbol, meaning, formula, significant(value.to_degrees(), 8), "°")
    };
    let first = found.judged.first();
    if let (Some(place), Some(at)) = (&survey.place, first.and_then(|sample| sample.at)) {
        lines.extend(place.working(place.delta_t(at.moment).unwrap_or(f64::NAN)));
        lines.push(Line::new(
            "τ",
            "clock of the readings ahead of true time",
            "as typed; none typed is zero",
            significant(survey.ahead, 6),
            "s",
        ));
    }
    if let Some(f) = survey.focal_length {
        lines.push(Line::new("f", "distance of the target", "as typed", significant(f, 7), "m"));
    }
    let formula = match survey.method {
        Method::Camera => "σ = atan(√(dx² + dy²)/f), shared out as dx and dy",
        _ => ERROR,
    };
    if let Some(sample) = first {
        let number = sample.number;
        let line = angle(
            &format!("x{number}"),
            &format!("error across of reading {number}, as an example"),
            formula,
            sample.error.across,
        );
        lines.push(match survey.method {
            Method::SunComputed => line.sourced(SPA),
            _ => line,
        });
        lines.push(angle(
            &format!("y{number}"),
            &format!("error in elevation of reading {number}"),
            "the part upward of the same",
            sample.error.up,
        ));
    }
    lines.push(Line::new("n", "samples judged", "counted", all.samples.to_string(), "1"));
    lines.push(angle("x̄", "mean across", "x̄ = Σx/n", all.mean_across));
    lines.push(angle("ȳ", "mean in elevation", "ȳ = Σy/n", all.mean_up));
    lines.push(angle("RMS_x", "RMS across", "RMS_x = √(Σx²/n)", all.rms_across));
    lines.push(angle("RMS_y", "RMS in elevation", "RMS_y = √(Σy²/n)", all.rms_up));
    lines.push(angle("RMS", "RMS of both", "RMS = √(RMS_x² + RMS_y²)", all.rms));
    lines.push(angle(
        "P",
        "percentile",
        &format!("the ⌈p·n⌉-th of the errors σ in order of size, p = {} %", percent(survey.share)),
        all.percentile,
    ));
    if let (Some(within), Some(share)) = (survey.within, all.share_within) {
        lines.push(angle("σ₀", "error counted within", "as typed", within));
        lines.push(Line::new(
            "S",
            "share of the samples within it",
            "S = count(σ ≤ σ₀)/n",
            significant(100.0 * share, 6),
            "%",
        ));
    }
    lines.push(
        Line::new(
            "n_eff",
            "independent samples that would say as much, on the axis with fewer",
            "n_eff = n/(1 + 2·Σ(1 − k/n)·ρ_k), up to the first ρ_k ≤ 0",
            significant(found.effective, 4),
            "1",
        )
        .sourced(EFFECTIVE),
    );
    if let Some(clock) = found.clock {
        lines.push(angle("v", "sun's motion in a second, RMS", "√(Σ|v|²/n)", clock.each_second));
        lines.push(Line::new(
            "Δt",
            "time by which the dish leads the sun, that explains the errors best",
            "Δt = Σ(x·v_x + y·v_y)/Σ|v|²",
            significant(clock.seconds, 5),
            "s",
        ));
    }
    if let Some(doubt) = doubt {
        lines.push(Line::new(
            "N",
            "trials of each source of doubt and of all together",
            &format!("JCGM 101:2008, draws by ChaCha8 from the seed {SEED}"),
            doubt.trials.to_string(),
            "1",
        ));
    }
    lines
}

const ERROR: &str = "a = cos e_m·sin(A_m − A), b = cos e·sin e_m − sin e·cos e_m·cos(A_m − A), \
                     σ = atan2(√(a² + b²), sin e·sin e_m + cos e·cos e_m·cos(A_m − A)), \
                     x = σ·a/√(a² + b²), y = σ·b/√(a² + b²)";

/// The place of the statistic whose budget is shown: that of the first limit, else the RMS.
fn budgeted(survey: &Survey) -> usize {
    let limits = &survey.limits;
    let stated = [
        limits.rms_each_axis.is_some(),
        limits.rms.is_some(),
        limits.percentile.is_some(),
        limits.largest.is_some(),
        limits.mean.is_some(),
        limits.share_within.is_some(),
    ];
    stated.iter().position(|stated| *stated).unwrap_or(1)
}

/// Share of a variance that is rounding.
const NOTHING: f64 = 1e-16;

fn in_unit(place: usize, unit: Unit) -> (f64, &'static str) {
    if place + 1 == JUDGED { (100.0, "%") } else { (unit.scale, unit.symbol) }
}

fn doubt_lines(survey: &Survey, doubt: &Doubt, unit: Unit) -> Vec<DoubtLine> {
    let place = budgeted(survey);
    let (scale, symbol) = in_unit(place, unit);
    let at = |spread: &[f64; JUDGED]| spread.get(place).copied().unwrap_or(f64::NAN);
    let variance: f64 = doubt.sources.iter().map(|source| at(&source.spread)).map(|u| u * u).sum();
    doubt
        .sources
        .iter()
        .map(|source| {
            let u = at(&source.spread);
            DoubtLine {
                source: source.name.to_owned(),
                statement: source.statement.clone(),
                standard_uncertainty: source.standard.clone(),
                unit: source.unit.to_owned(),
                contribution: if u * u > NOTHING * variance {
                    significant(scale * u, 3)
                } else {
                    "0".to_owned()
                },
                contribution_unit: symbol.to_owned(),
                share: if variance > 0.0 {
                    format!("{:.1}", 100.0 * u * u / variance)
                } else {
                    "0".to_owned()
                },
                share_of_mass: None,
            }
        })
        .collect()
}

fn combined(survey: &Survey, doubt: &Doubt, unit: Unit) -> Option<Combined> {
    let place = budgeted(survey);
    let (scale, symbol) = in_unit(place, unit);
    let u = scale * doubt.all.get(place)?;
    Some(Combined {
        of: (*NAMES.get(place)?).to_owned(),
        standard: significant(u, 3),
        coverage_factor: "2".to_owned(),
        expanded: significant(2.0 * u, 3),
        unit: symbol.to_owned(),
    })
}

fn table(name: &str, title: &str, columns: Vec<String>, rows: Vec<Vec<String>>) -> Table {
    Table { name: name.to_owned(), title: title.to_owned(), columns, rows }
}

fn statistics_table(all: &Statistics) -> Table {
    let rows = [
        ("mean across", all.mean_across),
        ("mean in elevation", all.mean_up),
        ("standard deviation across", all.scatter_across),
        ("standard deviation in elevation", all.scatter_up),
        ("RMS across", all.rms_across),
        ("RMS in elevation", all.rms_up),
        ("RMS of both", all.rms),
        ("median", all.median),
        ("percentile", all.percentile),
        ("largest", all.largest),
    ];
    let rows = rows
        .into_iter()
        .map(|(name, value)| {
            vec![
                name.to_owned(),
                significant(1e3 * value, 5),
                significant(value.to_degrees(), 5),
                significant(60.0 * value.to_degrees(), 5),
            ]
        })
        .collect();
    let columns = ["statistic", "mrad", "°", "′"].map(str::to_owned).to_vec();
    table("statistics", "Statistics in three units", columns, rows)
}

fn groups(found: &Found<'_>, unit: Unit) -> Table {
    let rows = found
        .groups
        .iter()
        .map(|(name, of, seconds)| {
            vec![
                name.clone(),
                of.samples.to_string(),
                seconds.map_or_else(String::new, |s| significant(s / 60.0, 4)),
                unit.text(of.mean_across),
                unit.text(of.mean_up),
                unit.text(of.rms_across),
                unit.text(of.rms_up),
                unit.text(of.percentile),
                unit.text(of.largest),
            ]
        })
        .collect();
    let symbol = unit.symbol;
    let mut columns = vec!["run".to_owned(), "samples".to_owned(), "length min".to_owned()];
    for name in ["mean across", "mean up", "RMS across", "RMS up", "percentile", "largest"] {
        columns.push(format!("{name} {symbol}"));
    }
    table("runs", "Each run, and readings at too much wind", columns, rows)
}

/// Samples that a table lists; of more, the largest errors.
const LISTED: usize = 200;

fn samples(survey: &Survey, unit: Unit) -> Table {
    let mut listed: Vec<&Sample> = survey.samples.iter().collect();
    let all = listed.len();
    if all > LISTED {
        listed.sort_by(|one, other| other.error.size().total_cmp(&one.error.size()));
        listed.truncate(LISTED);
    }
    let symbol = unit.symbol;
    let rows = listed
        .into_iter()
        .map(|sample| {
            vec![
                sample.number.to_string(),
                sample.run.clone().unwrap_or_default(),
                sample.at.map_or_else(String::new, |at| at.moment.text()),
                sample.elevation.map_or_else(String::new, |e| format!("{:.2}", e.to_degrees())),
                unit.text(sample.error.across),
                unit.text(sample.error.up),
                unit.text(sample.error.size()),
            ]
        })
        .collect();
    let columns = vec![
        "reading".to_owned(),
        "run".to_owned(),
        "moment".to_owned(),
        "sun's elevation °".to_owned(),
        format!("across {symbol}"),
        format!("up {symbol}"),
        format!("error {symbol}"),
    ];
    let title = if all > LISTED {
        format!("The {LISTED} largest errors of {all}")
    } else {
        "Each reading".to_owned()
    };
    table("samples", &title, columns, rows)
}
