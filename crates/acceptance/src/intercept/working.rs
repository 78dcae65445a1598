//! The steps of an intercept, and the share of every ring, so that the sum can be redone.

use quantity::significant;

use super::doubt::Doubt;
use super::input::Case;
use super::present::Found;
use super::rings::Ring;
use crate::optics::Turned;
use crate::{Line, Table};

const RABL: &str = "P. Bendt, A. Rabl, Appl. Opt. 20 (1981) 674, from memory; derived again";
const GEYER: &str = "W. B. Stine, M. Geyer, Power From The Sun (2001), chapter 9, from memory";

fn digits(value: f64) -> String {
    significant(value, 8)
}

fn milli(value: f64) -> String {
    digits(1e3 * value)
}

/// Every step.
pub(super) fn working(case: &Case, found: &Found, doubt: Option<&Doubt>) -> Vec<Line> {
    let optics = &case.optics;
    let dish = optics.dish();
    let line = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
        Line::new(symbol, meaning, formula, value, unit)
    };
    let mut lines = vec![
        line("f", "focal length", "as typed", digits(optics.focal_length), "m"),
        line("D", "aperture diameter", "as typed", digits(case.aperture.value), "m"),
        line(
            "D_i",
            "diameter of the middle without mirror",
            "as typed, or 0",
            digits(2.0 * optics.inner),
            "m",
        ),
        line(
            "r",
            "radius of the receiver's aperture",
            "half of the diameter as typed",
            digits(optics.receiver),
            "m",
        ),
        line(
            "φ_r",
            "rim angle",
            "φ_r = 2·arctan(D/(4f))",
            digits(dish.angle(optics.rim).to_degrees()),
            "°",
        ),
        line(
            "φ_i",
            "angle of the middle's edge",
            "φ_i = 2·arctan(D_i/(4f))",
            digits(dish.angle(optics.inner).to_degrees()),
            "°",
        ),
    ];
    lines.extend(error_lines(case));
    let names = case.errors.iter().map(|named| match named.scatter.of {
        Turned::Normal => format!("(2{})²", named.symbol),
        Turned::Ray => format!("{}²", named.symbol),
    });
    let sum = format!("σ = √({})", names.collect::<Vec<_>>().join(" + "));
    lines.push(
        line("σ", "all errors, one axis, of the light", &sum, milli(optics.sigma()), "mrad")
            .sourced(GEYER),
    );
    lines.push(line(
        "σ_y(φ_r)",
        "across the plane of incidence at the rim, for the refined form",
        "as σ, with 2·cos(φ_r/2) instead of 2",
        milli(optics.sigma_across(dish.angle(optics.rim))),
        "mrad",
    ));
    if case.bias.is_some() {
        lines.push(line("b", "fixed pointing error", "as typed", milli(optics.bias), "mrad"));
    }
    lines.push(
        line(
            "γ",
            "intercept by rings",
            "γ = Σ w·γ(φ) over the table of rings",
            digits(found.intercept),
            "1",
        )
        .sourced(RABL),
    );
    lines.push(line(
        "γ_f",
        "intercept, refined across the plane of incidence",
        "as γ, with σ_y(φ) across",
        digits(found.refined),
        "1",
    ));
    let paraxial = if optics.bias > 0.0 {
        "γ_p = F((r/(f·σ))²; 2, (b/σ)²), non-central chi-square"
    } else {
        "γ_p = 1 − exp(−r²/(2f²·σ²))"
    };
    lines.push(line("γ_p", "paraxial form, too high", paraxial, digits(found.paraxial), "1"));
    if let Some(one) = found.one_dimensional {
        lines.push(
            line(
                "γ_1",
                "form of one dimension, too high",
                "γ_1 = Σ w·[1 − 2Q(n/2)], n = (2/σ)·arctan(r·cos φ/p)",
                digits(one),
                "1",
            )
            .sourced(GEYER),
        );
    }
    lines.extend(heat_lines(case, found));
    lines.extend(doubt.map(|doubt| doubt_lines(case, doubt)).unwrap_or_default());
    lines
}

fn error_lines(case: &Case) -> Vec<Line> {
    case.errors
        .iter()
        .map(|named| {
            let radial = named.scatter.divisor > 1.0;
            let of = match named.scatter.of {
                Turned::Normal => "of the normal",
                Turned::Ray => "of the light",
            };
            let formula = if radial {
                format!("{} = ({})/√2", named.symbol, named.scatter.text)
            } else {
                format!("as typed: {}", named.scatter.text)
            };
            let meaning = format!("{}, one axis, {of}", named.name);
            Line::new(&named.symbol, &meaning, &formula, milli(named.scatter.one_axis()), "mrad")
        })
        .collect()
}

fn heat_lines(case: &Case, found: &Found) -> Vec<Line> {
    let line = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
        Line::new(symbol, meaning, formula, value, unit)
    };
    let mut lines = Vec::new();
    let rho = match &case.reflectance {
        Some(reflectance) => {
            lines.push(line("ρ", "reflectance", "as typed", digits(reflectance.value), "1"));
            "ρ·"
        }
        None => "",
    };
    let bias = if case.optics.bias > 0.0 { "·exp(−b²/(2σ²))" } else { "" };
    lines.push(line(
        "C_0",
        if rho.is_empty() {
            "concentration at the focus, for a reflectance of 1"
        } else {
            "concentration at the focus"
        },
        &format!("C_0 = {rho}(sin²φ_r − sin²φ_i)/(2σ²){bias}"),
        digits(found.peak),
        "1",
    ));
    let (Some(irradiance), Some(heat)) = (&case.irradiance, found.heat) else { return lines };
    let formula = if case.net_area.is_some() { "as typed" } else { "A = π·(D² − D_i²)/4" };
    lines.extend([
        line("G", "direct normal irradiance", "as typed", digits(irradiance.value), "W/m²"),
        line("A", "area of the mirrors", formula, digits(found.area), "m²"),
        line("Q", "heat into the aperture", "Q = G·ρ·A·γ/1000", digits(heat / 1e3), "kW"),
    ]);
    lines
}

fn doubt_lines(case: &Case, doubt: &Doubt) -> Vec<Line> {
    let line = |symbol: &str, meaning: &str, formula: String, value: String, unit: &str| {
        Line::new(symbol, meaning, &formula, value, unit)
    };
    let trials = &doubt.trials;
    let how = format!(
        "{} trials, ChaCha8 with the seed {}, stream 0; rings coarser than above (within 1e-5)",
        trials.trials, case.seed
    );
    vec![
        line(
            "u(γ)",
            "standard uncertainty of the intercept",
            how,
            significant(trials.standard, 4),
            "1",
        )
        .sourced("JCGM 101:2008, 7"),
        line("γ̄", "mean of the trials", "as above".to_owned(), digits(trials.mean), "1"),
        line(
            "γ_2.5",
            "below it lie 2.5 % of the trials",
            "as above".to_owned(),
            digits(trials.low),
            "1",
        ),
        line(
            "γ_97.5",
            "below it lie 97.5 % of the trials",
            "as above".to_owned(),
            digits(trials.high),
            "1",
        ),
        line(
            "u_1(γ)",
            "the same by first order, for comparison",
            "root of the sum of squares of the budget's contributions".to_owned(),
            significant(doubt.first_order, 4),
            "1",
        ),
    ]
}

/// The share of every ring.
pub(super) fn rings(shares: &[(Ring, f64)], sigma: f64) -> Table {
    let texts = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
    Table {
        name: "rings".to_owned(),
        title: "The rings of the dish at Gauss's places in r²".to_owned(),
        columns: texts(&["radius m", "φ °", "p m", "σ_x mm", "σ_y mm", "w", "γ(φ)"]),
        rows: shares
            .iter()
            .map(|(ring, share)| {
                let spread = 1e3 * ring.distance * sigma;
                vec![
                    significant(ring.radius, 7),
                    significant(ring.angle.to_degrees(), 7),
                    significant(ring.distance, 7),
                    significant(spread / libm::cos(ring.angle), 6),
                    significant(spread, 6),
                    digits(ring.weight),
                    digits(*share),
                ]
            })
            .collect(),
    }
}
