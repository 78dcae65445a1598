//! The sheet: results, working, doubt, rule.

use libm::sqrt;
use quantity::significant;

use super::checks::Checks;
use super::intervals::Intervals;
use super::judge::{Judged, Judgement, age, shown, shown_ratio};
use super::read::Run;
use super::{CALCULATION, tables};
use crate::form::Form;
use crate::pressure_decay::Rule;
use crate::stats::count;
use crate::time::Moment;
use crate::{Combined, DoubtLine, Line, Outcome, RuleShown, Sheet, sun};

const GUM: &str = "JCGM 100:2008, 5.1.2";
const CORRELATE: &str = "cross-correlation about the means, as scipy.signal.correlate defines it";

/// The whole sheet.
pub(super) fn sheet(
    form: Form,
    run: &Run,
    intervals: &Intervals,
    checks: &Checks,
    judgement: &Judgement,
) -> Sheet {
    let judged = judgement.judged.as_ref();
    let mut sources = vec![
        format!("Model of the expected output: {}", run.model.source),
        "JCGM 100:2008 (GUM), first-order propagation".to_owned(),
        "JCGM 106:2012, decision rules".to_owned(),
    ];
    if checks.worked_out {
        sources.push(sun::SPA.to_owned());
    }
    Sheet {
        verdict: judgement.verdict,
        reason: judgement.reason.clone(),
        results: results(run, intervals, checks, judged),
        working: working(run, intervals, checks, judged),
        doubt: judged.map_or_else(Vec::new, |judged| doubt(run, judged)),
        combined: judged.map(|judged| Combined {
            of: "ratio".to_owned(),
            standard: significant(judged.u, 3),
            coverage_factor: "2".to_owned(),
            expanded: significant(2.0 * judged.u, 3),
            unit: "1".to_owned(),
        }),
        rule: Some(rule(run, judged)),
        validity: "One continuous run of less than a day, equal steps within each series. The \
                   model's constants count as exact; the uncertainty of air temperature and wind \
                   is not in the budget: 1 K changes the expected output by the constant c."
            .to_owned(),
        sources,
        flags: judgement.flags.clone(),
        figure: tables::figure(run, checks.grid),
        tables: vec![tables::intervals(run, intervals)],
        findings: judgement.findings.clone(),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn seconds(value: i64) -> f64 {
    Moment { seconds: value, offset: 0 }.unix()
}

fn results(
    run: &Run,
    intervals: &Intervals,
    checks: &Checks,
    judged: Option<&Judged>,
) -> Vec<Outcome> {
    let mut out = Vec::new();
    if let Some(judged) = judged {
        out.push(Outcome {
            standard_uncertainty: Some(significant(judged.u, 2)),
            ..Outcome::new(
                "ratio",
                "measured over expected output, reflectance as measured",
                shown_ratio(run, judged),
                "1",
            )
        });
        out.push(Outcome::new(
            "ratio_at_reference",
            "measured over expected output at the reference reflectance, for comparison only",
            shown(run, judged.at_reference),
            "1",
        ));
    }
    let mut mean = |name: &str, meaning: &str, value: Option<f64>, digits: usize, unit: &str| {
        if let Some(value) = value {
            out.push(Outcome::new(name, meaning, significant(value, digits), unit));
        }
    };
    let kilowatts = intervals.mean(super::intervals::Interval::kilowatts);
    mean("mean_power", "mean net power", kilowatts, 4, "kW");
    let expected = intervals.mean(|interval| interval.expected.map(|[power, _]| power));
    mean("expected_power", "mean expected output", expected, 4, "kW");
    let irradiance = intervals.mean(|interval| interval.irradiance.mean());
    mean("mean_irradiance", "mean direct irradiance", irradiance, 5, "W/m²");
    let air = intervals.mean(|interval| interval.ambient.mean().map(|kelvins| kelvins - 273.15));
    mean("mean_ambient", "mean air temperature", air, 3, "°C");
    let wind = intervals.mean(|interval| interval.wind.mean());
    mean("mean_wind", "mean wind", wind, 2, "m/s");
    mean("reflectance", "mean reflectance", Some(100.0 * intervals.rho), 4, "%");
    let share = Some(100.0 * intervals.missing_share()).filter(|_| intervals.missing.1 > 0);
    mean("missing_share", "missing values of irradiance and power", share, 3, "%");
    let lag = checks.clear_lag().map(|lag| seconds(lag) / 60.0);
    mean("lag_minutes", "minutes by which power follows irradiance", lag, 3, "min");
    let peak = checks.clear_peak(run.limits.noon.value).map(|distance| distance / 60.0);
    mean("noon_offset", "minutes from solar noon to the irradiance's peak", peak, 3, "min");
    let used = intervals.used().count();
    out.push(Outcome::new("good_intervals", "steady intervals", used.to_string(), "1"));
    let all = intervals.list.len().to_string();
    out.push(Outcome::new("intervals", "intervals of the run", all, "1"));
    out
}

fn working(
    run: &Run,
    intervals: &Intervals,
    checks: &Checks,
    judged: Option<&Judged>,
) -> Vec<Line> {
    let mut lines = model_lines(run);
    lines.extend(mirror_lines(run, intervals));
    lines.extend(check_lines(run, checks));
    let [logger, meter] = run.clock_offsets;
    lines.push(Line::new(
        "t",
        "instants: stamps less the clock's offset, logger and meter",
        "t = t_stamp − Δt",
        format!("{logger}; {meter}"),
        "s",
    ));
    lines.push(Line::new(
        "N",
        "steady intervals, of all",
        "see the table",
        format!("{} of {}", intervals.used().count(), intervals.list.len()),
        "1",
    ));
    if let Some(judged) = judged {
        lines.extend(ratio_lines(run, intervals, judged));
    }
    lines
}

fn model_lines(run: &Run) -> Vec<Line> {
    let model = &run.model;
    let line = |symbol: &str, meaning: &str, value: f64, digits: usize, unit: &str| {
        Line::new(symbol, meaning, "given", significant(value, digits), unit).sourced(&model.source)
    };
    vec![
        line("a", "output for each unit of irradiance", model.a, 6, "kW/(W/m²)"),
        line("b", "fixed losses", model.b, 6, "kW"),
        line("c", "share lost for each kelvin of warmer air", model.c, 6, "1/K"),
        line("T_ref", "reference air temperature", model.t_ref - 273.15, 5, "°C"),
        line("ρ_ref", "reference reflectance", model.rho_ref, 5, "1"),
    ]
}

fn mirror_lines(run: &Run, intervals: &Intervals) -> Vec<Line> {
    let n = run.reflectance.len();
    let deviations = run.reflectance.iter().map(|rho| rho - intervals.rho);
    let squares = deviations.map(|d| d * d).sum::<f64>();
    let mut lines = vec![Line::new(
        "ρ",
        "reflectance, mean of the survey",
        "ρ = Σρᵢ/n",
        significant(intervals.rho, 6),
        "1",
    )];
    if n > 1 {
        lines.push(Line::new(
            "s(ρ)",
            "standard deviation of the readings",
            "s = √[Σ(ρᵢ − ρ)²/(n − 1)]",
            significant(sqrt(squares / (count(n) - 1.0)), 3),
            "1",
        ));
    }
    let hours = significant(age(run) / 3600.0, 4);
    lines.push(Line::new("Δt_ρ", "survey to the farther end of the run", "", hours, "h"));
    lines
}

fn check_lines(run: &Run, checks: &Checks) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some((lag, correlation)) = checks.lag {
        lines.push(
            Line::new(
                "r",
                "largest correlation of irradiance and power within ±2 h",
                "r(k) = Σ(G_i − Ḡ)(P_{i+k} − P̄)/√[Σ(G − Ḡ)²·Σ(P − P̄)²]",
                significant(correlation, 4),
                "1",
            )
            .sourced(CORRELATE),
        );
        lines.push(Line::new(
            "τ",
            "lag of power behind irradiance there",
            "k of the largest r, times the step",
            significant(seconds(lag) / 60.0, 4),
            "min",
        ));
    }
    let noon = Line::new("t_noon", "solar noon", "", checks.noon.text(), "");
    lines.push(if checks.worked_out { noon.sourced(sun::SPA) } else { noon });
    if let Some(peak) = checks.peak {
        let at = Moment { offset: run.irradiance.offset, ..checks.noon };
        lines.push(Line::new(
            "t_peak",
            "peak of the irradiance, smoothed by a parabola",
            "vertex of the least-squares parabola",
            at.after(peak.at - checks.noon.unix()).text(),
            "",
        ));
        lines.push(Line::new(
            "u(t_peak)",
            "standard uncertainty of the peak",
            "from the scatter about the parabola",
            significant(peak.doubt / 60.0, 3),
            "min",
        ));
    }
    lines
}

fn ratio_lines(run: &Run, intervals: &Intervals, judged: &Judged) -> Vec<Line> {
    let sum = |which: usize| {
        intervals.sum(|interval| interval.expected.and_then(|e| e.get(which).copied()))
    };
    let n = count(intervals.used().count().max(1));
    let power = intervals.sum(super::intervals::Interval::kilowatts) / n;
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
        Line::new(symbol, meaning, formula, significant(value, 7), unit)
    };
    vec![
        line("P", "mean net power of the steady intervals", "P = ΣPᵢ/N", power, "kW"),
        line(
            "E",
            "mean expected output, reflectance as measured",
            "E = Σ[a·Gᵢ·(ρ/ρ_ref) − b]·[1 − c·(Tᵢ − T_ref)]/N",
            sum(0) / n,
            "kW",
        )
        .sourced(&run.model.source),
        line("E_ref", "the same with ρ = ρ_ref", "", sum(1) / n, "kW"),
        line("R", "ratio", "R = P/E", judged.ratio, "1"),
        line(
            "R_ref",
            "ratio at the reference reflectance",
            "R_ref = P/E_ref",
            judged.at_reference,
            "1",
        ),
        line(
            "S",
            "relative sensitivity of the ratio to irradiance and to reflectance",
            "S = Σa·Gᵢ·(ρ/ρ_ref)·[1 − c·(Tᵢ − T_ref)]/ΣEᵢ",
            judged.sensitivity,
            "1",
        ),
        line(
            "u(R)",
            "standard uncertainty of the ratio",
            "u = R·√[(u_P)² + (S·u_G)² + (S·u_ρ)²], relative terms",
            judged.u,
            "1",
        )
        .sourced(GUM),
        line("U(R)", "expanded uncertainty of the ratio", "U = 2·u", 2.0 * judged.u, "1"),
    ]
}

fn doubt(run: &Run, judged: &Judged) -> Vec<DoubtLine> {
    let [irradiance, power, reflectance] = &run.doubt;
    [
        ("irradiance", irradiance, judged.sensitivity),
        ("net power", power, 1.0),
        ("mean reflectance", reflectance, judged.sensitivity),
    ]
    .into_iter()
    .map(|(source, stated, sensitivity)| {
        let contribution = stated.standard * sensitivity * judged.ratio;
        let share = if judged.u > 0.0 {
            100.0 * contribution * contribution / (judged.u * judged.u)
        } else {
            0.0
        };
        DoubtLine {
            source: source.to_owned(),
            statement: stated.text.clone(),
            standard_uncertainty: significant(100.0 * stated.standard, 3),
            unit: "%".to_owned(),
            contribution: significant(contribution, 3),
            contribution_unit: "1".to_owned(),
            share: format!("{share:.1}"),
            share_of_mass: None,
        }
    })
    .collect()
}

fn rule(run: &Run, judged: Option<&Judged>) -> RuleShown {
    let (name, text) = match run.limits.rule {
        Rule::Simple => (
            "simple",
            "Simple acceptance (JCGM 106:2012, 8.2): accepted if ratio ≥ limit, unrounded.",
        ),
        Rule::Guarded => (
            "guarded",
            "Guarded acceptance (JCGM 106:2012, 8.3): accepted if ratio ≥ limit + w; guard band \
             w = U, the expanded uncertainty for k = 2.",
        ),
    };
    RuleShown {
        name: name.to_owned(),
        text: format!(
            "{text} Not judged if the mirrors' reflectance is below its condition, too few \
             intervals are steady, too much is missing, or the clocks don't agree."
        ),
        limit: run.limits.ratio.text.clone(),
        limit_source: run.limits.ratio.source.clone(),
        acceptance_limit: judged
            .filter(|_| run.limits.rule == Rule::Guarded)
            .map(|judged| significant(judged.acceptance, 4)),
        conformance_probability: judged
            .and_then(|judged| judged.conformance)
            .map(|p| format!("{:.2}", 100.0 * p.clamp(0.0001, 0.9999))),
    }
}
