//! The sheet.

use quantity::{Resistance, significant};

use super::fall::{GOLDEN, Slope, slope};
use super::input::{Fall, Method, Survey};
use super::{CALCULATION, soil};
use crate::doubt::{Part, first_order};
use crate::form::Form;
use crate::steps::{curve, flag, outcome, step};
use crate::{Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Table, Verdict};

const IEEE_81: &str = "IEEE Std 81, fall of potential and Wenner's four probes, from memory";
const TAGG: &str = "G. F. Tagg's slope method, by the model behind its printed table";
const DWIGHT: &str = "H. B. Dwight, AIEE Trans. 55 (1936) 1319";
/// Soils whose soundings differ by more are layered; common practice, no source.
const LAYERED: f64 = 1.25;

/// What the line of readings says.
struct Found {
    golden: Option<(f64, f64)>,
    slope: Option<Slope>,
    at_slope: Option<f64>,
    spread: Option<f64>,
}

fn find(fall: &Fall) -> Found {
    let slope = slope(&fall.line);
    let at_slope = slope.and_then(|s| s.place()).and_then(|x| fall.line.at(x)).map(|(r, _)| r);
    let golden = fall.line.at(GOLDEN);
    let around = [GOLDEN - 0.1, GOLDEN + 0.1].map(|x| fall.line.at(x).map(|(r, _)| r));
    let spread = match (around, golden) {
        ([Some(before), Some(after)], Some((middle, _))) => {
            Some((middle - before).abs().max((after - middle).abs()) / middle)
        }
        _ => None,
    };
    Found { golden, slope, at_slope, spread }
}

/// Why a line of readings gives no result that can be judged.
fn obstacle(fall: &Fall, found: &Found) -> Option<&'static str> {
    if found.slope.is_some_and(|slope| slope.behind.is_none()) {
        return Some(
            "the slope μ is outside of 0.40 to 1.59: the current probe is too near, or something in \
             the ground disturbs the line; move the current probe out, or turn the line",
        );
    }
    match fall.method {
        Some(Method::Slope) if found.slope.is_none() => {
            return Some("there are no readings around 20, 40 and 60 % of the distance");
        }
        Some(Method::Slope) if found.at_slope.is_none() => {
            return Some("there is no reading on each side of the place that the slope gives");
        }
        Some(Method::GoldenShare) if found.golden.is_none() => {
            return Some("there is no reading on each side of 61.8 % of the distance");
        }
        _ => {}
    }
    match (fall.agreement, found.spread) {
        (Some(_), None) => Some("there are no readings around 52, 62 and 72 % to compare"),
        (Some(allowed), Some(spread)) if spread > allowed => {
            Some("the readings at 52, 62 and 72 % differ by more than allowed")
        }
        _ => None,
    }
}

/// Resistivity to compute models with; none without a soil or in a layered one.
fn resistivity(survey: &Survey) -> Option<f64> {
    if survey.stated.is_some() {
        return survey.stated;
    }
    if survey.soundings.is_empty() || layered(survey) {
        return None;
    }
    Some(crate::stats::mean(&survey.soundings.iter().map(|s| s.resistivity).collect::<Vec<_>>()))
}

fn layered(survey: &Survey) -> bool {
    let all = || survey.soundings.iter().map(|s| s.resistivity);
    all().fold(0.0, f64::max) > LAYERED * all().fold(f64::INFINITY, f64::min)
}

pub(super) fn sheet(form: Form, survey: &Survey) -> Sheet {
    let found = survey.fall.as_ref().filter(|fall| !fall.line.points.is_empty()).map(find);
    let line = survey.fall.as_ref().zip(found.as_ref());
    let obstacle = line.and_then(|(fall, found)| obstacle(fall, found));
    let measured = survey.direct.or_else(|| {
        line.and_then(|(fall, found)| match fall.method {
            Some(Method::Slope) => found.at_slope,
            _ => found.golden.map(|(r, _)| r),
        })
    });
    let budget = measured.zip(survey.doubt.as_ref()).map(|(r, stated)| {
        let part = Part {
            source: "earth tester".to_owned(),
            statement: stated.text.clone(),
            value: r,
            standard: stated.of(r),
            unit: "Ω",
        };
        first_order(&[part], "Ω", |values| values.iter().sum())
    });
    let standard = budget.as_ref().map(|budget| budget.standard);
    let judged = measured
        .zip(survey.limit.as_ref())
        .map(|(r, limit)| limit.judge(Resistance::from_ohms(r), standard));
    let (verdict, reason) = match (obstacle, &judged, measured) {
        (Some(why), ..) => (Verdict::NotJudged, format!("Not judged: {why}.")),
        (None, Some(judged), _) => {
            (judged.verdict, format!("Earth resistance {}.", judged.sentence))
        }
        (None, None, Some(r)) => (
            Verdict::Computed,
            format!("Earth resistance {} Ω; no limit is given.", significant(r, 4)),
        ),
        (None, None, None) => {
            (Verdict::Computed, "Computed from the soil, not measured.".to_owned())
        }
    };
    let measured = measured.filter(|_| obstacle.is_none());
    Sheet {
        verdict,
        reason,
        results: results(survey, measured, standard),
        working: working(survey, found.as_ref()),
        doubt: budget.as_ref().map(|budget| budget.lines.clone()).unwrap_or_default(),
        combined: budget.as_ref().map(|budget| budget.combined("resistance")),
        rule: judged.map(|judged| judged.rule),
        validity:
            "Readings along one straight line with the electrode apart from other earths and \
                   from buried metal; uniform soil for the models and for 61.8 %. The doubt is the \
                   tester's alone: season and direction of the line matter more."
                .to_owned(),
        sources: vec![IEEE_81.to_owned(), TAGG.to_owned(), DWIGHT.to_owned()],
        flags: flags(survey, line),
        figure: figure(survey, found.as_ref()),
        tables: tables(survey),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn results(survey: &Survey, measured: Option<f64>, standard: Option<f64>) -> Vec<Outcome> {
    let mut results = Vec::new();
    if let Some(r) = measured {
        let value = outcome("resistance", "resistance of the electrode, measured", r, "Ω");
        results.push(match standard {
            Some(u) => value.within(significant(u, 3)),
            None => value,
        });
    }
    let Some(rho) = resistivity(survey) else { return results };
    results.push(outcome("resistivity", "resistivity of the soil", rho, "Ω·m"));
    if let Some((length, radius)) = survey.rod {
        let meaning = "resistance of the rod, by model";
        results.push(outcome("rod", meaning, soil::rod(rho, length, radius), "Ω"));
    }
    if let Some(radius) = survey.hemisphere {
        let meaning = "resistance of the hemisphere, by model";
        results.push(outcome("hemisphere", meaning, soil::hemisphere(rho, radius), "Ω"));
    }
    results
}

fn working(survey: &Survey, found: Option<&Found>) -> Vec<Line> {
    let mut w = Vec::new();
    if let Some(r) = survey.direct {
        w.push(step("R", "resistance of the electrode", "as typed", r, "Ω"));
    }
    if let Some((fall, found)) = survey.fall.as_ref().zip(found) {
        w.push(step("c", "distance of the current probe", "as typed", fall.current, "m"));
        let by_line = "between its neighbours by line";
        if let Some((r, _)) = found.golden {
            let x = GOLDEN * fall.current;
            w.push(step("x₆₂", "61.8 % of the distance", "x₆₂ = c·(√5 − 1)/2", x, "m"));
            w.push(step("R₆₂", "resistance there", by_line, r, "Ω").sourced(IEEE_81));
        }
        if let Some(slope) = found.slope {
            for (symbol, r) in ["R₂₀", "R₄₀", "R₆₀"].iter().zip(slope.readings) {
                w.push(step(symbol, "resistance at that percentage of c", by_line, r, "Ω"));
            }
            let formula = "μ = (R₆₀ − R₄₀)/(R₄₀ − R₂₀)";
            w.push(step("μ", "slope", formula, slope.mu, "1").sourced(TAGG));
            if let Some((d, place)) = slope.behind.zip(slope.place()) {
                let meaning = "share of c by which the electrode's middle is behind the tape";
                let formula = "μ(d) = μ, with R(x) ∝ −1/(x + d) + 1/(1 − x)";
                w.push(step("d", meaning, formula, d, "1").sourced(TAGG));
                let meaning = "place of the true reading";
                w.push(step("x_T/c", meaning, "x_T/c = 0.618034·(1 + d) − d", place, "1"));
                w.extend(found.at_slope.map(|r| step("R_T", "resistance there", by_line, r, "Ω")));
            }
        }
        if let Some(spread) = found.spread {
            let meaning = "spread of the readings at 52, 62 and 72 %";
            let formula = "max(|R₆₂ − R₅₂|, |R₇₂ − R₆₂|)/R₆₂";
            w.push(step("Δ", meaning, formula, spread, "1"));
        }
    }
    for (number, s) in survey.soundings.iter().enumerate() {
        let n = number + 1;
        let formula = match s.depth {
            None => "ρ = 2π·a·R",
            Some(_) => "ρ = 4π·a·R/(1 + 2a/√(a² + 4b²) − a/√(a² + b²))",
        };
        w.push(step(&format!("a({n})"), "spacing of the probes", "as typed", s.spacing, "m"));
        w.push(step(&format!("R({n})"), "resistance read", "as typed", s.ohms, "Ω"));
        w.extend(
            s.depth.map(|b| step(&format!("b({n})"), "depth of the probes", "as typed", b, "m")),
        );
        let symbol = format!("ρ({n})");
        w.push(step(&symbol, "resistivity", formula, s.resistivity, "Ω·m").sourced(IEEE_81));
    }
    let Some(rho) = resistivity(survey) else { return w };
    let formula = if survey.stated.is_some() { "as typed" } else { "mean of the readings" };
    w.push(step("ρ", "resistivity of the soil", formula, rho, "Ω·m"));
    if let Some((length, radius)) = survey.rod {
        w.push(step("L", "length of the rod", "as typed", length, "m"));
        w.push(step("a", "radius of the rod", "half the diameter", radius, "m"));
        let r = soil::rod(rho, length, radius);
        let formula = "R_rod = ρ/(2π·L)·(ln(4L/a) − 1)";
        w.push(step("R_rod", "resistance of the rod", formula, r, "Ω").sourced(DWIGHT));
    }
    if let Some(radius) = survey.hemisphere {
        w.push(step("r", "radius of the hemisphere", "as typed", radius, "m"));
        let r = soil::hemisphere(rho, radius);
        w.push(step("R_hem", "resistance of the hemisphere", "R_hem = ρ/(2π·r)", r, "Ω"));
    }
    w
}

fn flags(survey: &Survey, line: Option<(&Fall, &Found)>) -> Vec<Flag> {
    let mut flags = Vec::new();
    if let Some((fall, found)) = line {
        match found.slope {
            None => flags.push(flag(
                "slope_not_checked",
                "The slope is not checked: there are no readings around 20, 40 and 60 % of the \
                 distance, so nothing shows that the current probe is far enough out.",
            )),
            Some(slope) if slope.behind.is_none() => flags.push(flag(
                "slope_out_of_range",
                format!("The slope μ = {} is outside of 0.40 to 1.59.", significant(slope.mu, 4)),
            )),
            Some(_) => {}
        }
        if let Some((at_slope, (golden, _))) = found.at_slope.zip(found.golden)
            && (at_slope / golden - 1.0).abs() > 0.05
        {
            flags.push(flag(
                "methods_disagree",
                format!(
                    "The slope method gives {} Ω and 61.8 % gives {} Ω: the electrode's middle is not \
                     where the tape begins, or the current probe is near.",
                    significant(at_slope, 4),
                    significant(golden, 4)
                ),
            ));
        }
        if !fall.line.rises() {
            flags.push(flag(
                "not_rising",
                "The readings do not rise along the line: stray currents, buried metal, or a probe \
                 that was moved.",
            ));
        }
        if found.golden.is_some_and(|(_, gap)| gap > 0.15) {
            flags.push(flag(
                "wide_gap",
                "The readings on both sides of 61.8 % are far apart; the value between them is taken \
                 from a straight line.",
            ));
        }
    }
    if layered(survey) && !survey.soundings.is_empty() {
        flags.push(flag(
            "layered_soil",
            "The resistivity changes with the spacing: the soil is layered, and the models of uniform \
             soil are not computed.",
        ));
    }
    if survey.soil_state.is_none() && (survey.direct.is_some() || line.is_some()) {
        flags.push(flag(
            "soil_state_not_recorded",
            "Whether the soil was wet or dry is not recorded; an earth electrode changes with it.",
        ));
    }
    flags
}

fn tables(survey: &Survey) -> Vec<Table> {
    let mut tables = Vec::new();
    if !survey.soundings.is_empty() {
        tables.push(Table {
            name: "soundings".to_owned(),
            title: "Soil by four probes".to_owned(),
            columns: ["spacing in m", "resistance in Ω", "resistivity in Ω·m"]
                .map(str::to_owned)
                .to_vec(),
            rows: survey
                .soundings
                .iter()
                .map(|s| [s.spacing, s.ohms, s.resistivity].map(|v| significant(v, 5)).to_vec())
                .collect(),
        });
    }
    if let (Some(fall), Some(radius), Some(rho)) =
        (&survey.fall, survey.hemisphere, resistivity(survey))
    {
        let truth = soil::hemisphere(rho, radius);
        let row = |share: f64| {
            let r = soil::fall(rho, radius, fall.current, share * fall.current);
            let off = 100.0 * (r / truth - 1.0);
            vec![significant(share, 4), significant(r, 7), format!("{off:.2}")]
        };
        tables.push(Table {
            name: "model_line".to_owned(),
            title: "What a probe reads of the hemisphere, by model".to_owned(),
            columns: ["x/c", "resistance in Ω", "off by %"].map(str::to_owned).to_vec(),
            rows: [0.2, 0.4, 0.5, 0.6, GOLDEN, 0.62, 0.7, 0.8].map(row).to_vec(),
        });
    }
    tables
}

/// Resistance along the line: readings, the place of the result, the model, the limit.
fn figure(survey: &Survey, found: Option<&Found>) -> Option<Figure> {
    let fall = survey.fall.as_ref()?;
    let c = fall.current;
    let mut series = Vec::new();
    if let Some((radius, rho)) = survey.hemisphere.zip(resistivity(survey)) {
        let from = (2.0 * radius).max(0.05 * c).min(0.5 * c);
        let model = curve(from, 0.95 * c, 60, |x| soil::fall(rho, radius, c, x));
        series.push(Series::new("model", "hemisphere in uniform soil", Drawn::Thin, model));
    }
    if let Some(found) = found {
        let points = || fall.line.points.iter().map(|(x, r)| Point::of(x * c, *r)).collect();
        series.push(Series::new("line", "between the readings", Drawn::Thick, points()));
        series.push(Series::new("readings", "readings", Drawn::Points, points()));
        let place = found.slope.and_then(|slope| slope.place());
        let result = match fall.method {
            Some(Method::Slope) => place.zip(found.at_slope),
            _ => found.golden.map(|(r, _)| (GOLDEN, r)),
        };
        if let Some((x, r)) = result {
            let at = vec![Point::of(x * c, r)];
            series.push(Series::new("result", "where the result is read", Drawn::Crosses, at));
        }
    }
    if let Some(limit) = &survey.limit {
        let r = limit.value.ohms();
        let at = vec![Point::of(0.0, r), Point::of(c, r)];
        series.push(Series::new("limit", "limit", Drawn::Dashed, at));
    }
    Some(Figure::lines(
        "Fall of potential",
        "distance of the potential probe in m",
        "resistance in Ω",
        series,
    ))
}
