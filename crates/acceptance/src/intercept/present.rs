//! The sheet of an intercept.

use quantity::{Ratio, significant};

use super::CALCULATION;
use super::beam::Beam;
use super::doubt::{Doubt, heat, of_light};
use super::input::Case;
use super::rings::{COARSE, FINE, Optics};
use super::working::{rings, working};
use crate::form::Form;
use crate::{Combined, Drawn, Figure, Flag, Outcome, Point, Series, Sheet, Table, Verdict};

/// What was worked out.
#[derive(Debug)]
pub(super) struct Found {
    pub(super) intercept: f64,
    pub(super) refined: f64,
    pub(super) paraxial: f64,
    pub(super) one_dimensional: Option<f64>,
    /// Concentration at the focus, with the reflectance where there is one.
    pub(super) peak: f64,
    pub(super) area: f64,
    /// W.
    pub(super) heat: Option<f64>,
}

impl Found {
    fn of(case: &Case) -> Self {
        let optics = &case.optics;
        let ring = core::f64::consts::PI * (optics.rim * optics.rim - optics.inner * optics.inner);
        let area = case.net_area.as_ref().map_or(ring, |net| net.value);
        let intercept = optics.intercept(FINE);
        let reflectance = case.reflectance.as_ref().map(|known| known.value);
        Self {
            intercept,
            refined: optics.refined(),
            paraxial: optics.paraxial(),
            one_dimensional: (optics.bias <= 0.0).then(|| optics.one_dimensional()),
            peak: reflectance.unwrap_or(1.0) * optics.peak(),
            area,
            heat: case
                .irradiance
                .as_ref()
                .zip(reflectance)
                .map(|(light, rho)| light.value * rho * area * intercept),
        }
    }
}

fn digits(value: f64) -> String {
    significant(value, 7)
}

/// The sheet of a whole case.
pub(super) fn sheet(form: Form, case: &Case, doubt: Option<Doubt>) -> Sheet {
    let found = Found::of(case);
    let standard = doubt.as_ref().map(|doubt| doubt.trials.standard);
    let judged = case
        .limit
        .as_ref()
        .map(|limit| limit.judge(Ratio::from_fraction(found.intercept), standard));
    let sigma = significant(1e3 * case.optics.sigma(), 4);
    let mut reason = match &judged {
        Some(judged) => {
            format!("Intercept {}; all errors {sigma} mrad on one axis.", judged.sentence)
        }
        None => format!(
            "Intercept {} %, all errors {sigma} mrad on one axis.",
            significant(100.0 * found.intercept, 4)
        ),
    };
    if let Some(heat) = found.heat {
        reason.push_str(&format!(" Heat into the aperture {} kW.", significant(heat / 1e3, 4)));
    }
    let flags = flags(case, &found, doubt.as_ref());
    let mut tables = vec![rings(&case.optics.shares(), case.optics.sigma())];
    tables.extend(beams(case));
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason,
        results: results(case, &found, doubt.as_ref()),
        working: working(case, &found, doubt.as_ref()),
        combined: standard.map(|standard| Combined {
            of: "intercept".to_owned(),
            standard: significant(standard, 3),
            coverage_factor: "2".to_owned(),
            expanded: significant(2.0 * standard, 3),
            unit: "1".to_owned(),
        }),
        doubt: doubt.map(|doubt| doubt.lines).unwrap_or_default(),
        rule: judged.map(|judged| judged.rule),
        validity: "Small Gaussian errors without direction, evenly spread over the dish; receiver in \
                   the focal plane with its middle on the axis; rim below 85°. The sun's disc is no \
                   Gaussian: under a clear sky the intercept is 0.1 to 0.6 points too low. Errors of \
                   single facets, aim points and other planes are no part of it: trace rays."
            .to_owned(),
        sources: vec![
            "W. B. Stine, M. Geyer, Power From The Sun (2001), chapter 9; L. D. Jaffe, J. Energy 7 \
             (1983) 304; P. Bendt, A. Rabl, Appl. Opt. 20 (1981) 674 (from memory, derived again)"
                .to_owned(),
            "JCGM 101:2008, propagation by trials; JCGM 106:2012, decision rules".to_owned(),
        ],
        flags,
        figure: Some(figure(case, &found)),
        tables,
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn results(case: &Case, found: &Found, doubt: Option<&Doubt>) -> Vec<Outcome> {
    let mut out = Vec::new();
    let mut intercept =
        Outcome::new("intercept", "intercept by rings", digits(found.intercept), "1");
    intercept.standard_uncertainty = doubt.map(|doubt| significant(doubt.trials.standard, 3));
    out.push(intercept);
    let mut add = |name: &str, meaning: &str, value: String, unit: &str| {
        out.push(Outcome::new(name, meaning, value, unit));
    };
    if let Some(doubt) = doubt {
        let (low, high) = (digits(doubt.trials.low), digits(doubt.trials.high));
        add("intercept_low", "lower end of the interval of 95 %", low, "1");
        add("intercept_high", "upper end of the interval of 95 %", high, "1");
    }
    add("intercept_refined", "intercept, refined", digits(found.refined), "1");
    add("intercept_paraxial", "paraxial form, for comparison", digits(found.paraxial), "1");
    if let Some(one) = found.one_dimensional {
        add("intercept_one_dimensional", "form of one dimension, for comparison", digits(one), "1");
    }
    add("spillage", "share that misses the aperture", digits(1.0 - found.intercept), "1");
    let sigma = case.optics.sigma();
    add("sigma", "all errors, one axis, of the light", digits(1e3 * sigma), "mrad");
    let radial = digits(1e3 * core::f64::consts::SQRT_2 * sigma);
    add("sigma_radial", "all errors, radial, of the light", radial, "mrad");
    let meaning = match case.reflectance {
        Some(_) => "concentration at the focus",
        None => "concentration at the focus, for a reflectance of 1",
    };
    add("peak", meaning, digits(found.peak), "1");
    if let Some(heat_in) = found.heat {
        let aperture = core::f64::consts::PI * case.optics.receiver * case.optics.receiver;
        let lost = heat_in * (1.0 - found.intercept) / found.intercept;
        let mean = digits(heat_in / aperture / 1e3);
        add("mean_irradiance", "mean irradiance of the aperture", mean, "kW/m²");
        add("heat_lost", "heat that misses the aperture", digits(lost / 1e3), "kW");
        let value = digits(heat_in / 1e3);
        let mut heat_out = Outcome::new("heat", "heat into the aperture", value, "kW");
        heat_out.standard_uncertainty = heat(case, found.intercept, doubt)
            .map(|relative| significant(relative * heat_in / 1e3, 3));
        out.push(heat_out);
    }
    out
}

fn flags(case: &Case, found: &Found, doubt: Option<&Doubt>) -> Vec<Flag> {
    /// One-axis size of the sun that is plausible, in mrad: 2.325 for a clear disc at its mean
    /// distance, less for none, more for haze.
    const SUN: (f64, f64) = (2.2, 3.2);
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let sun = case.errors.iter().find(|named| named.symbol == "σ_sun");
    if let Some(sun) = sun.map(|named| 1e3 * named.scatter.one_axis()) {
        if sun < SUN.0 {
            flag(
                "small_sun",
                format!(
                    "The sun is {} mrad on one axis; a clear disc alone is 2.325 mrad on one axis, or \
                     3.288 mrad radial. Was a radial value halved twice?",
                    significant(sun, 4)
                ),
            );
        } else if sun > SUN.1 {
            flag(
                "large_sun",
                format!(
                    "The sun is {} mrad on one axis; a clear disc is 2.325. A radial value (3.288) \
                     typed as one axis, or the half-angle of the disc (4.65), is too high; haze can \
                     be the reason too.",
                    significant(sun, 4)
                ),
            );
        }
    }
    if let Some(name) = of_light(case) {
        flag(
            "surface_error_of_light",
            format!(
                "The {name} is stated of the light and so counted once. Surveys mostly give the \
                 error of the normal, which counts twice."
            ),
        );
    }
    if found.paraxial - found.intercept > 0.005 {
        flag(
            "paraxial_too_high",
            format!(
                "The paraxial form gives {} %, which is {} points too high for this rim.",
                significant(100.0 * found.paraxial, 4),
                significant(100.0 * (found.paraxial - found.intercept), 2)
            ),
        );
    }
    if let Some(name) = doubt.and_then(|doubt| doubt.wide.as_deref()) {
        flag(
            "doubt_as_large",
            format!(
                "The doubt of the {name} is more than a third of it; trials below zero were taken as \
                 zero."
            ),
        );
    }
    if case.optics.inner > 0.0 && !case.distances.is_empty() {
        flag(
            "hollow_beam",
            "The middle of the dish sends no light: away from the focus the axis is darker than the \
             cone around it, and the values on the axis are not the highest."
                .to_owned(),
        );
    }
    if case.optics.bias > 0.0 && !case.distances.is_empty() {
        flag(
            "beam_without_bias",
            "The light along the axis leaves the pointing error out.".to_owned(),
        );
    }
    flags
}

/// The light on the axis at the distances asked for.
fn beams(case: &Case) -> Option<Table> {
    let (light, share) = (case.irradiance.as_ref()?, case.reflectance.as_ref()?);
    if case.distances.is_empty() {
        return None;
    }
    let scale = light.value * share.value / 1e3;
    let peak = case.optics.peak();
    let rows = case
        .distances
        .iter()
        .map(|(typed, distance)| {
            let beam = Beam::at(&Optics { bias: 0.0, ..case.optics }, *distance);
            vec![
                typed.clone(),
                significant(scale * beam.beyond, 6),
                beam.before.map_or_else(|| "–".to_owned(), |before| significant(scale * before, 6)),
                significant(scale * beam.rule.min(peak), 6),
                significant(scale * beam.mean.min(peak), 6),
                significant(beam.radius, 6),
                significant(2e3 * beam.blur, 4),
            ]
        })
        .collect();
    let texts = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
    Some(Table {
        name: "beam".to_owned(),
        title:
            "The light along the axis, facets aligned; a facet out of line has a beam of its own"
                .to_owned(),
        columns: texts(&[
            "from the focus",
            "on the axis beyond, kW/m²",
            "on the axis before, kW/m²",
            "rule ρ·G·(f/x)², kW/m²",
            "mean over the cone, kW/m²",
            "radius of the cone m",
            "blur at its edge by 2σ, mm",
        ]),
        rows,
    })
}

/// The intercept against the radius of the aperture.
fn figure(case: &Case, found: &Found) -> Figure {
    const POINTS: u32 = 40;
    let curve = |value: &dyn Fn(&Optics) -> f64| -> Vec<Point> {
        (0..=POINTS)
            .map(|step| {
                let receiver = case.optics.receiver * 2.0 * f64::from(step) / f64::from(POINTS);
                let share =
                    if step == 0 { 0.0 } else { value(&Optics { receiver, ..case.optics }) };
                Point::of(1e3 * receiver, 100.0 * share)
            })
            .collect()
    };
    let mark = 1e3 * case.optics.receiver;
    let series = vec![
        Series::new("intercept", "by rings", Drawn::Thick, curve(&|o| o.intercept(COARSE))),
        Series::new("paraxial", "paraxial form, too high", Drawn::Thin, curve(&Optics::paraxial)),
        Series::new(
            "aperture",
            "radius of the aperture",
            Drawn::Dashed,
            vec![Point::of(mark, 0.0), Point::of(mark, 100.0)],
        ),
        Series::new(
            "here",
            "this receiver",
            Drawn::Points,
            vec![Point::of(mark, 100.0 * found.intercept)],
        ),
    ];
    Figure::lines("Intercept", "radius of the aperture in mm", "intercept in %", series)
}
