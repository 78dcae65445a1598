//! The sheet: results, working, tables, figure.

use quantity::significant;

use super::CALCULATION;
use super::input::Method;
use super::judge::{AtReference, Found, Laid, name};
use super::read::Case;
use crate::form::Form;
use crate::stats::count;
use crate::{DoubtLine, Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Table, Verdict};

const YORK: &str = "D. York et al., Am. J. Phys. 72 (2004) 367, eqs. 13a to 13d";
const LEAST_SQUARES: &str = "least squares, JCGM 100:2008 (GUM) H.3";
const FIELLER: &str = "E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175";
const GUM: &str = "JCGM 100:2008 (GUM), 5.1.2 and G.4.1";

/// The whole sheet.
pub(super) fn sheet(form: Form, case: &Case, found: &Found) -> Sheet {
    let reference = found.reference.as_ref();
    let judged = reference.and_then(|at| at.judged.as_ref());
    let (u, doubt) = reference.map_or((None, Vec::new()), |at| {
        (Some(at.budget.combined("power_at_reference")), doubt(at))
    });
    Sheet {
        verdict: judged.map_or(Verdict::Computed, |judged| judged.verdict),
        reason: reason(case, found),
        results: results(case, found),
        working: working(case, found),
        doubt,
        combined: u,
        rule: judged.map(|judged| judged.rule.clone()),
        validity:
            "Power as a straight line of irradiance, over the irradiances measured; errors of \
                   the points independent of each other and about normal; what all points share \
                   only as stated apart. Air temperature, wind and reflectance of the points are \
                   not corrected here."
                .to_owned(),
        sources: vec![
            LEAST_SQUARES.to_owned(),
            YORK.to_owned(),
            FIELLER.to_owned(),
            GUM.to_owned(),
            "JCGM 106:2012, decision rules".to_owned(),
        ],
        flags: flags(case, found),
        figure: Some(figure(case, found)),
        tables: tables(case, found),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn doubt(at: &AtReference) -> Vec<DoubtLine> {
    at.budget.lines.clone()
}

fn percent(level: f64) -> String {
    significant(100.0 * level, 3).trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn reason(case: &Case, found: &Found) -> String {
    let line = &found.laid;
    let threshold = format!(
        "The line reaches zero at {} W/m² (standard uncertainty {}).",
        significant(line.threshold(), 4),
        significant(found.threshold_doubt, 2)
    );
    let Some(at) = &found.reference else {
        return format!(
            "P = {} kW + {} kW/(W/m²)·G through {} points ({}). {threshold}",
            significant(line.fit.a, 5),
            significant(line.fit.b, 5),
            case.used().count(),
            name(case.method)
        );
    };
    let power = match &at.judged {
        Some(judged) => judged.sentence.clone(),
        None => format!("{} kW", significant(at.power, 5)),
    };
    format!(
        "Power at {} W/m²: {power}. Expanded uncertainty (k = 2) {} kW; {} % interval ±{} kW, for a \
         further point ±{} kW. {threshold}",
        significant(at.x, 5),
        significant(2.0 * at.budget.standard, 2),
        percent(case.level),
        significant(at.confidence, 2),
        significant(at.prediction, 2)
    )
}

fn results(case: &Case, found: &Found) -> Vec<Outcome> {
    let line = &found.laid;
    let mut out = Vec::new();
    let mut push = |name: &str, meaning: &str, value: f64, u: Option<f64>, unit: &str| {
        let outcome = Outcome::new(name, meaning, significant(value, 9), unit);
        out.push(match u {
            Some(u) => outcome.within(significant(u, 6)),
            None => outcome,
        });
    };
    if let Some(at) = &found.reference {
        let u = Some(at.budget.standard);
        push("power_at_reference", "power at the reference irradiance", at.power, u, "kW");
        push("confidence", "half-width of its interval", at.confidence, None, "kW");
        push(
            "prediction",
            "half-width of the interval for a further point with the same instruments",
            at.prediction,
            None,
            "kW",
        );
    }
    let u_b = line.scale * line.fit.u_b;
    push("slope", "slope b", line.fit.b, Some(u_b), "kW/(W/m²)");
    push("intercept", "intercept a", line.fit.a, Some(line.scale * line.fit.u_a), "kW");
    let u = Some(found.threshold_doubt);
    push("threshold", "irradiance at which the line reaches zero", line.threshold(), u, "W/m²");
    if let Some((low, high)) = line.threshold_interval() {
        push("threshold_low", "lower end of its interval, from the points", low, None, "W/m²");
        push("threshold_high", "upper end of its interval, from the points", high, None, "W/m²");
    }
    push("r_squared", "square of the correlation of the points", found.r_squared, None, "1");
    if line.method == Method::Ols {
        push("scatter", "standard deviation about the line", line.fit.scale(), None, "kW");
    } else {
        push("fit_ratio", "√(S/(n − 2))", line.fit.scale(), None, "1");
    }
    let n = case.used().count().to_string();
    out.push(Outcome::new("points", "points that count", n, "1"));
    out
}

fn working(case: &Case, found: &Found) -> Vec<Line> {
    let (laid, fit) = (&found.laid, &found.laid.fit);
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
        Line::new(symbol, meaning, formula, significant(value, 12), unit)
    };
    let mut out = vec![line("n", "points that count", "", count(case.used().count()), "1")];
    if laid.method == Method::Ols {
        let sums = Sums::of(case);
        out.push(line("x̄", "mean irradiance", "x̄ = ΣG/n", fit.x_mean, "W/m²"));
        out.push(line("ȳ", "mean power", "ȳ = ΣP/n", sums.y_mean, "kW"));
        out.push(line("S_xx", "squares", "S_xx = Σ(G − x̄)²", sums.xx, "(W/m²)²"));
        out.push(line("S_xy", "products", "S_xy = Σ(G − x̄)(P − ȳ)", sums.xy, "kW·W/m²"));
        let slope = line("b", "slope", "b = S_xy/S_xx", fit.b, "kW/(W/m²)");
        out.push(slope.sourced(LEAST_SQUARES));
        out.push(line("a", "intercept", "a = ȳ − b·x̄", fit.a, "kW"));
        out.push(line("W", "weight of a point", "1, equal for all", 1.0, "1"));
    } else {
        let formula = "b = ΣWβV/ΣWβU, W = 1/(u_P² + b²·u_G² − 2·b·r·u_G·u_P), until it stays";
        out.push(line("b", "slope", formula, fit.b, "kW/(W/m²)").sourced(YORK));
        out.push(line("", "rounds of the iteration", "", f64::from(fit.rounds), "1"));
        out.push(line("a", "intercept", "a = ȳ_W − b·x̄_W", fit.a, "kW"));
        out.push(line(
            "x̄",
            "weighted mean of the adjusted irradiances",
            "x̄ = ΣW·(x̄_W + β)/ΣW",
            fit.x_mean,
            "W/m²",
        ));
    }
    out.push(line("ΣW", "sum of the weights", "", fit.weight, unit_of_weight(laid)));
    out.push(line("S", "squares of the residuals", "S = ΣW·(P − a − b·G)²", fit.sum, unit(laid)));
    let scale_unit = if laid.method == Method::Ols { "kW" } else { "1" };
    out.push(line("√(S/ν)", "scatter found", "ν = n − 2", fit.scale(), scale_unit));
    let formula = match (laid.method, laid.freedom.is_finite()) {
        (Method::York, true) => "c = √(S/ν), because the scatter is larger than stated",
        (Method::York, false) => "c = 1, because the scatter is not larger than stated",
        _ => "c = √(S/ν)",
    };
    out.push(line("c", "scale of the line's doubt", formula, laid.scale, scale_unit));
    if laid.method != Method::Ols {
        out.push(line("σ_b", "doubt of the slope, as stated", "", fit.u_b, "kW/(W/m²)"));
        out.push(line("σ_a", "doubt of the intercept, as stated", "", fit.u_a, "kW"));
    }
    let formula = "u_b = c·√(1/ΣW·(x_adj − x̄)²)";
    out.push(line("u_b", "doubt of the slope", formula, laid.scale * fit.u_b, "kW/(W/m²)"));
    let formula = "u_a = √(c²/ΣW + x̄²·u_b²)";
    out.push(line("u_a", "doubt of the intercept", formula, laid.scale * fit.u_a, "kW"));
    let r = -fit.x_mean * fit.u_b / fit.u_a;
    out.push(line("r(a, b)", "correlation of a and b", "−x̄·u_b/u_a", r, "1"));
    let formula = if laid.freedom.is_finite() {
        format!("Student's t, {} %, ν = {}", percent(case.level), significant(laid.freedom, 6))
    } else {
        format!("normal distribution, {} %", percent(case.level))
    };
    out.push(line("t", "half-width of an interval over u", &formula, laid.factor, "1"));
    out.push(line("G₀", "threshold", "G₀ = −a/b", laid.threshold(), "W/m²"));
    let formula = "u(G₀) = √[c²/ΣW + (G₀ − x̄)²·u_b²]/|b|, first order";
    out.push(line("u(G₀)", "its doubt from the points", formula, laid.threshold_doubt(), "W/m²"));
    if let Some((low, high)) = laid.threshold_interval() {
        let formula = "(ȳ + b·d)² = t²·(c²/ΣW + d²·u_b²), G₀ = x̄ + d, ȳ = a + b·x̄";
        let value = format!("{}; {}", significant(low, 8), significant(high, 8));
        out.push(
            Line::new("G₀ low; high", "its interval", formula, value, "W/m²").sourced(FIELLER),
        );
    }
    if let Some(at) = &found.reference {
        let formula = "P_ref = a + b·G_ref";
        out.push(line("P_ref", "power at the reference irradiance", formula, at.power, "kW"));
        let formula = "√[c²/ΣW + (G_ref − x̄)²·u_b²]";
        out.push(line("u_line", "doubt of the line there", formula, laid.doubt(at.x), "kW"));
        let formula = "with what all points share, see the budget";
        out.push(line("u(P_ref)", "its doubt", formula, at.budget.standard, "kW").sourced(GUM));
        if at.freedom.is_finite() {
            let formula = "ν_eff = u⁴/Σ(uᵢ⁴/νᵢ)";
            out.push(line("ν_eff", "effective degrees of freedom", formula, at.freedom, "1"));
        }
        let formula = "t(ν_eff)·u(P_ref)";
        out.push(line("U", "half-width of its interval", formula, at.confidence, "kW"));
        let formula = "t·√(u_line² + c²/W)";
        out.push(line("U_new", "half-width for a further point", formula, at.prediction, "kW"));
    }
    out.push(line("r²", "square of the correlation of the points", "", found.r_squared, "1"));
    out
}

const fn unit(laid: &Laid) -> &'static str {
    if matches!(laid.method, Method::Ols) { "kW²" } else { "1" }
}

const fn unit_of_weight(laid: &Laid) -> &'static str {
    if matches!(laid.method, Method::Ols) { "1" } else { "1/kW²" }
}

/// Sums of the working of ordinary least squares.
struct Sums {
    y_mean: f64,
    xx: f64,
    xy: f64,
}

impl Sums {
    fn of(case: &Case) -> Self {
        let n = count(case.used().count());
        let x = case.used().map(|point| point.datum.x).sum::<f64>() / n;
        let y_mean = case.used().map(|point| point.datum.y).sum::<f64>() / n;
        let off = |x_of: f64| x_of - x;
        let xx = case.used().map(|point| off(point.datum.x) * off(point.datum.x)).sum();
        let xy = case.used().map(|point| off(point.datum.x) * (point.datum.y - y_mean)).sum();
        Self { y_mean, xx, xy }
    }
}

/// Names of the points whose residual is beyond the bound.
fn outliers(case: &Case, found: &Found) -> Vec<String> {
    let Some(bound) = found.bound else { return Vec::new() };
    case.used()
        .zip(&found.studentised)
        .filter(|(_, size)| size.is_some_and(|size| size.abs() > bound))
        .map(|(point, _)| point.name.clone())
        .collect()
}

fn flags(case: &Case, found: &Found) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let outliers = outliers(case, found);
    if !outliers.is_empty() {
        flag(
            "outliers",
            format!(
                "Far from the line: {}. Nothing was left out; look for the cause before anything is.",
                outliers.join(", ")
            ),
        );
    }
    let left: Vec<String> = case
        .points
        .iter()
        .filter_map(|point| point.left_out.as_ref().map(|why| format!("{} ({why})", point.name)))
        .collect();
    if !left.is_empty() {
        flag(
            "left_out",
            format!(
                "Left out by the input: {}. The line with them stands beside.",
                left.join("; ")
            ),
        );
    }
    if found.laid.fit.b <= 0.0 {
        flag(
            "falling_line",
            "The power does not rise with the irradiance; −a/b is no threshold. Are the columns \
             exchanged?"
                .to_owned(),
        );
    }
    if found.laid.threshold_interval().is_none() {
        flag(
            "threshold_unbounded",
            "The slope is not distinguished from zero, and the threshold has no interval."
                .to_owned(),
        );
    }
    flags.extend(range(case, found));
    flags.extend(attenuated(case));
    flags.extend(scatter(found));
    if case.irradiance_common.is_none() || case.power_common.is_none() {
        flags.push(Flag {
            code: "calibration_not_in_budget".to_owned(),
            sentence:
                "What all points share, as the calibration of irradiance instrument or power \
                       meter, is not fully stated; it does not average out and is not seen in the \
                       scatter."
                    .to_owned(),
        });
    }
    flags
}

fn range(case: &Case, found: &Found) -> Option<Flag> {
    let at = found.reference.as_ref()?;
    let (low, high) = ends(case);
    (at.x < low || at.x > high).then(|| Flag {
        code: "extrapolated".to_owned(),
        sentence: format!(
            "The reference irradiance of {} W/m² lies outside of the points, which reach from {} to \
             {} W/m².",
            significant(at.x, 5),
            significant(low, 4),
            significant(high, 4)
        ),
    })
}

fn ends(case: &Case) -> (f64, f64) {
    case.used().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), point| {
        (low.min(point.datum.x), high.max(point.datum.x))
    })
}

/// Ordinary least squares flattens the slope by about u_G² over the variance of the irradiances.
fn attenuated(case: &Case) -> Option<Flag> {
    let n = count(case.used().count());
    let square = case.used().map(|point| point.datum.u_x * point.datum.u_x).sum::<f64>() / n;
    let share = square / (Sums::of(case).xx / n);
    (case.method == Method::Ols && share > 0.001).then(|| Flag {
        code: "attenuated".to_owned(),
        sentence: format!(
            "The irradiance's own doubt flattens the slope by about {} %; Deming's or York's line \
             does not have this.",
            significant(100.0 * share, 2)
        ),
    })
}

fn scatter(found: &Found) -> Option<Flag> {
    let (low, high) = found.chi?;
    let ratio = found.laid.fit.sum / found.laid.fit.freedom;
    let (code, word) = if ratio > high {
        ("scatter_larger_than_stated", "larger")
    } else if ratio < low {
        ("scatter_smaller_than_stated", "smaller")
    } else {
        return None;
    };
    Some(Flag {
        code: code.to_owned(),
        sentence: format!(
            "S/(n − 2) is {}, {word} than doubts rightly stated let expect ({} to {} in 95 % of \
             cases).",
            significant(ratio, 3),
            significant(low, 3),
            significant(high, 3)
        ),
    })
}

fn tables(case: &Case, found: &Found) -> Vec<Table> {
    let mut tables = vec![points(case, found), lines(case, found)];
    tables.extend(found.reference.as_ref().and_then(|at| at.rules.clone()));
    tables
}

fn points(case: &Case, found: &Found) -> Table {
    let fit = &found.laid.fit;
    let mut used = fit.weights.iter().zip(&fit.residuals).zip(&found.studentised);
    let row = |point: &super::read::Point| {
        let datum = &point.datum;
        let fitted = fit.at(datum.x);
        let mut row = vec![
            point.name.clone(),
            significant(datum.x, 6),
            significant(datum.y, 6),
            significant(fitted, 6),
            significant(datum.y - fitted, 4),
        ];
        if let Some(why) = &point.left_out {
            row.extend([String::new(), String::new(), format!("left out: {why}")]);
        } else if let Some(((weight, _), size)) = used.next() {
            let far = size.zip(found.bound).is_some_and(|(size, bound)| size.abs() > bound);
            let word = if far { "flagged, counts" } else { "counts" };
            let size = size.map_or_else(String::new, |size| significant(size, 3));
            row.extend([significant(*weight, 6), size, word.to_owned()]);
        }
        row
    };
    let bound = found.bound.map_or_else(|| "none".to_owned(), |bound| significant(bound, 4));
    Table {
        name: "points".to_owned(),
        title: format!(
            "Points and their distance from the line; externally studentised residuals beyond \
             {bound} are flagged (Bonferroni, 5 %)"
        ),
        columns: [
            "point",
            "irradiance W/m²",
            "power kW",
            "line kW",
            "residual kW",
            "weight",
            "studentised",
            "part",
        ]
        .map(str::to_owned)
        .to_vec(),
        rows: case.points.iter().map(row).collect(),
    }
}

fn lines(case: &Case, found: &Found) -> Table {
    let row = |name: &str, laid: &Laid, part: &str| {
        vec![
            name.to_owned(),
            significant(laid.fit.a, 7),
            significant(laid.scale * laid.fit.u_a, 3),
            significant(laid.fit.b, 7),
            significant(laid.scale * laid.fit.u_b, 3),
            significant(laid.threshold(), 5),
            case.reference.map_or_else(String::new, |x| significant(laid.fit.at(x), 6)),
            case.reference.map_or_else(String::new, |x| significant(laid.doubt(x), 3)),
            part.to_owned(),
        ]
    };
    let mut rows = vec![row(name(case.method), &found.laid, "counts")];
    let beside = "beside, judges nothing";
    rows.extend(found.others.iter().map(|(name, laid)| row(name, laid, beside)));
    Table {
        name: "lines".to_owned(),
        title: "The line that counts and what other ways to lay it give".to_owned(),
        columns: [
            "line",
            "a kW",
            "u(a) kW",
            "b kW/(W/m²)",
            "u(b) kW/(W/m²)",
            "threshold W/m²",
            "power at reference kW",
            "doubt of the line there kW",
            "part",
        ]
        .map(str::to_owned)
        .to_vec(),
        rows,
    }
}

/// Steps of a curve.
const STEPS: u32 = 40;

fn figure(case: &Case, found: &Found) -> Figure {
    let laid = &found.laid;
    let (mut low, mut high) = ends(case);
    for x in [case.reference, Some(laid.threshold()).filter(|x| *x > 0.0 && *x < high)] {
        low = low.min(x.unwrap_or(low));
        high = high.max(x.unwrap_or(high));
    }
    let curve = |of: &dyn Fn(f64) -> f64| -> Vec<Point> {
        (0..=STEPS)
            .map(|step| low + (high - low) * f64::from(step) / f64::from(STEPS))
            .map(|x| Point::of(x, of(x)))
            .collect()
    };
    let marks = |left: bool| -> Vec<Point> {
        let some = case.points.iter().filter(|point| point.left_out.is_some() == left);
        some.map(|point| Point::of(point.datum.x, point.datum.y)).collect()
    };
    let further = |x: f64| laid.factor * laid.further(case, x);
    let sure = |x: f64| laid.factor * laid.doubt(x);
    let at = |x: f64| laid.fit.at(x);
    let mut series = vec![
        Series::new("points", "points", Drawn::Points, marks(false)),
        Series::new("line", "line", Drawn::Thick, curve(&at)),
        Series::new("line_low", "line, lower", Drawn::Thin, curve(&|x| at(x) - sure(x))),
        Series::new("line_high", "line, upper", Drawn::Thin, curve(&|x| at(x) + sure(x))),
        Series::new(
            "further_low",
            "further point, lower",
            Drawn::Dashed,
            curve(&|x| at(x) - further(x)),
        ),
        Series::new(
            "further_high",
            "further point, upper",
            Drawn::Dashed,
            curve(&|x| at(x) + further(x)),
        ),
    ];
    if case.points.iter().any(|point| point.left_out.is_some()) {
        series.push(Series::new("left_out", "left out", Drawn::Crosses, marks(true)));
    }
    Figure::lines(
        "Net power over direct irradiance",
        "direct irradiance in W/m²",
        "net power in kW",
        series,
    )
}
