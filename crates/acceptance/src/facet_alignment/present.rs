//! The sheet of a survey: figures of the dish, and the steps of the worst facet and of the racks
//! that moved, so that anyone can redo them by hand.

use quantity::significant;

use super::CALCULATION;
use super::input::SurveyState;
use super::judge::{Judgement, limit_of};
use super::measure::{Errored, Facet, Measured, Rack};
use super::read::{Edge, Survey, rule_name};
use super::results::{results, spots};
use super::tables::tables;
use super::work::Plan;
use super::worked;
use crate::form::Form;
use crate::{Combined, DoubtLine, Line, RuleShown, Sheet};

pub(super) const DERIVED: &str = "first-order reflection at a paraboloid, derived in this calculation and \
                       checked by exact reflection";

/// The sheet of a whole survey.
pub(super) fn sheet(
    form: Form,
    survey: &Survey,
    (measured, plan): (&Measured<'_>, &Plan<'_>),
    judgement: Judgement,
) -> Sheet {
    Sheet {
        verdict: judgement.verdict,
        reason: judgement.reason,
        results: results(survey, measured, plan),
        working: working(survey, measured, plan),
        doubt: doubt(survey, measured),
        combined: combined(measured),
        rule: rule(survey),
        validity: "Paraboloid, small tilts: at a tilt δ the radial part is off by about 2δ·tan φ of \
                   itself. Shifts are counted from the dish axis. Facets of their own curvature and \
                   sag with elevation are no part of it. Turns are exact for the middle of a facet \
                   that stays where it is. Light lost holds for the irradiance and reflectance given \
                   and a Gaussian beam; it carries no uncertainty."
            .to_owned(),
        sources: vec![
            DERIVED.to_owned(),
            "A. Rabl, Active Solar Collectors (1985); Stine and Geyer, Power From The Sun, chapter 9 \
             (frame of the method, from memory)"
                .to_owned(),
            "JCGM 100:2008 (GUM), first-order propagation; JCGM 106:2012, decision rules".to_owned(),
        ],
        flags: judgement.flags,
        tables: tables(survey, measured, plan),
        figure: spots(survey, measured, plan),
        findings: judgement.findings,
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn working(survey: &Survey, measured: &Measured<'_>, plan: &Plan<'_>) -> Vec<Line> {
    let mut lines = bench_lines(survey);
    if let Some((facet, error)) = measured.worst() {
        lines.extend(facet_lines(survey, facet, error));
    }
    if let Some(all) = &measured.all {
        lines.push(Line::new("n", "facets measured", "count", all.count.to_string(), "1"));
        for (symbol, meaning, formula, value) in [
            ("RMS_x", "RMS along x", "RMS_x = √(Σδ_x²/n)", all.rms_x),
            ("RMS_y", "RMS along y", "RMS_y = √(Σδ_y²/n)", all.rms_y),
            ("RMS", "RMS in two dimensions", "RMS = √(Σ(δ_x² + δ_y²)/n)", all.rms),
        ] {
            lines.push(Line::new(symbol, meaning, formula, milli(value), "mrad"));
        }
    }
    for rack in measured.racks.iter().filter(|rack| rack.moved == Some(true)) {
        lines.extend(rack_lines(survey, rack));
    }
    lines.extend(worked::lines(survey, measured, plan));
    lines
}

pub(super) fn milli(value: f64) -> String {
    significant(1000.0 * value, 6)
}

fn bench_lines(survey: &Survey) -> Vec<Line> {
    let metres = |value: f64| significant(value, 6);
    let bench = &survey.bench;
    let mut lines =
        vec![Line::new("f", "focal length", "as typed", metres(bench.focal_length), "m")];
    match bench.lamp {
        Some(lamp) => {
            lines.push(Line::new("s", "lamp, from the vertex", "as typed", metres(lamp), "m"));
        }
        None => lines.push(Line::new(
            "s",
            "lamp, from the vertex",
            &format!("{}: light parallel to the axis", survey.method.words()),
            "∞".to_owned(),
            "m",
        )),
    }
    lines.push(Line::new(
        "b",
        "board, from the vertex",
        "as typed, or the focal plane",
        metres(bench.board),
        "m",
    ));
    lines
}

/// The steps of one facet, shown for the worst.
fn facet_lines(survey: &Survey, facet: &Facet<'_>, error: &Errored) -> Vec<Line> {
    let name = &facet.row.facet;
    let (spot, ray) = (facet.row.spot, &facet.ray);
    let degrees = |cosine: f64| significant(libm::acos(cosine.clamp(-1.0, 1.0)).to_degrees(), 6);
    let millimetres = |value: f64| significant(1000.0 * value, 6);
    let mut lines = vec![
        Line::new(
            "r",
            &format!("radius of {name}, the worst"),
            "design",
            significant(spot.radius, 6),
            "m",
        ),
        Line::new(
            "β",
            "bearing, clockwise from up",
            "design",
            significant(spot.bearing.to_degrees(), 6),
            "°",
        ),
    ];
    if survey.bench.lamp.is_some() || survey.bench.board > survey.bench.focal_length {
        if let Some(lamp) = survey.bench.lamp {
            let f = survey.bench.focal_length;
            let p = f + spot.radius * spot.radius / (4.0 * f);
            lines.push(
                Line::new(
                    "Δ",
                    "how far beyond the focus the lamp's light of that radius crosses the axis",
                    "Δ = (f + r²/(4f))²/(s − f)",
                    significant(p * p / (lamp - f), 6),
                    "m",
                )
                .sourced(DERIVED),
            );
        }
        lines.push(Line::new(
            "ρ",
            "where a correctly set facet puts its spot, outward",
            "ρ = r·(f + Δ − b)/(f + Δ − z), z = r²/(4f), Δ = 0 in parallel light",
            millimetres(ray.meets),
            "mm",
        ));
    }
    lines.extend([
        Line::new(
            "p",
            "from facet to board",
            "p = f + r²/(4f) in the focal plane",
            significant(ray.p, 7),
            "m",
        )
        .sourced(DERIVED),
        Line::new(
            "φ",
            "between its light and the axis",
            "cos φ = 2f/p − 1 in the focal plane",
            degrees(ray.cos_axis),
            "°",
        ),
        Line::new(
            "i",
            "incidence",
            "i = φ/2 for light parallel to the axis",
            degrees(ray.cos_incidence),
            "°",
        ),
        Line::new(
            "Δ_r",
            "shift along the radius, less ρ",
            &format!(
                "Δ_r = dx·sin β + dy·cos β − ρ, dx = {}, dy = {}",
                error.typed.dx, error.typed.dy
            ),
            millimetres(error.shift.r),
            "mm",
        ),
        Line::new(
            "Δ_t",
            "shift across",
            "Δ_t = dx·cos β − dy·sin β",
            millimetres(error.shift.t),
            "mm",
        ),
        Line::new(
            "δ_r",
            "tilt of the normal along the radius, less the aim point's",
            "δ_r = Δ_r·cos φ/(2p) − a_r·cos φ/(2p)",
            milli(error.polar.r),
            "mrad",
        )
        .sourced(DERIVED),
        Line::new(
            "δ_t",
            "tilt of the normal across, less the aim point's",
            "δ_t = Δ_t/(2p·cos i) − a_t/(2p·cos i)",
            milli(error.polar.t),
            "mrad",
        )
        .sourced(DERIVED),
        Line::new(
            "δ_x",
            "error to the right",
            "δ_x = δ_r·sin β + δ_t·cos β",
            milli(error.tilt.x),
            "mrad",
        ),
        Line::new(
            "δ_y",
            "error upward",
            "δ_y = δ_r·cos β − δ_t·sin β",
            milli(error.tilt.y),
            "mrad",
        ),
    ]);
    if let (Some(quick), Some(distance)) = (error.quick, survey.quick_distance) {
        lines.push(Line::new(
            "θ",
            "the site's quick rule, for comparison only",
            &format!("θ = d/(2L), L = {} m", significant(distance, 4)),
            milli(quick),
            "mrad",
        ));
    }
    lines
}

fn rack_lines(survey: &Survey, rack: &Rack) -> Vec<Line> {
    let Some(fit) = &rack.fit else { return Vec::new() };
    let mut lines = Vec::new();
    for (i, axis) in ["x", "y", "z"].iter().enumerate() {
        lines.push(Line::new(
            &format!("ω_{axis}({})", rack.name),
            &format!("turn of rack {} about {axis}, ± {} mrad", rack.name, milli(fit.errors[i])),
            "least squares of δ_r = −ω·e_t, δ_t = ω·(e_z·sin(φ/2) + e_r·cos(φ/2))",
            milli(fit.turn[i]),
            "mrad",
        ));
    }
    lines.push(Line::new(
        &format!("κ({})", rack.name),
        "condition of that fit: how much softer the least known turn is than the best known",
        "largest over smallest singular value of the equations",
        significant(fit.condition, 4),
        "1",
    ));
    lines.push(Line::new(
        &format!("θ({})", rack.name),
        "common turn: tilt of the rack's mean normal",
        "θ = |ω × n_mean|",
        milli(fit.tilt),
        "mrad",
    ));
    let share = Line::new(
        &format!("S({})", rack.name),
        "share of the sum of squares that the turn explains",
        &format!(
            "S = 1 − Σ(rest²)/Σ(δ²), wanted at least {} %",
            significant(100.0 * survey.rack_share.unwrap_or(0.0), 3)
        ),
        significant(100.0 * fit.explained, 5),
        "%",
    );
    lines.push(match &survey.rack_source {
        Some(source) => share.sourced(source),
        None => share,
    });
    lines
}

fn doubt(survey: &Survey, measured: &Measured<'_>) -> Vec<DoubtLine> {
    let (Some(doubt), Some(u)) = (&survey.doubt, measured.rms_doubt) else { return Vec::new() };
    vec![DoubtLine {
        source: "reading of each shift on the board".to_owned(),
        statement: doubt.statement.clone(),
        standard_uncertainty: significant(1000.0 * doubt.standard, 3),
        unit: "mm".to_owned(),
        contribution: significant(1000.0 * u, 3),
        contribution_unit: "mrad of RMS".to_owned(),
        share: "100.0".to_owned(),
        share_of_mass: None,
    }]
}

fn combined(measured: &Measured<'_>) -> Option<Combined> {
    let u = 1000.0 * measured.rms_doubt?;
    Some(Combined {
        of: "rms".to_owned(),
        standard: significant(u, 3),
        coverage_factor: "2".to_owned(),
        expanded: significant(2.0 * u, 3),
        unit: "mrad".to_owned(),
    })
}

fn rule(survey: &Survey) -> Option<RuleShown> {
    if survey.state == Some(SurveyState::AsFound) {
        return None;
    }
    let (axis, rms) = (survey.axis.as_ref()?, survey.rms.as_ref()?);
    let name = if axis.rule == rms.rule { rule_name(axis.rule) } else { "each its own" };
    let words = |edge: &Edge| match edge.guard > 0.0 {
        true => "limit less the expanded uncertainty (k = 2)",
        false => "limit",
    };
    let source = [&axis.source, &rms.source].into_iter().flatten().cloned().collect::<Vec<_>>();
    Some(RuleShown {
        name: name.to_owned(),
        text: format!(
            "Accepted if every facet was measured, |δ_x| and |δ_y| of each ≤ {}, and RMS ≤ {}, \
             unrounded (JCGM 106:2012, 8.2 and 8.3).",
            words(axis),
            words(rms)
        ),
        limit: format!("{} mrad on each axis; RMS {} mrad", limit_of(axis), limit_of(rms)),
        limit_source: (!source.is_empty()).then(|| {
            let mut source = source;
            source.dedup();
            source.join("; ")
        }),
        acceptance_limit: None,
        conformance_probability: None,
    })
}
