//! The steps of a trace.

use quantity::significant;

use super::list::Aligned;
use super::present::{Found, count};
use super::read::Case;
use super::tally::CELLS;
use super::trace::{BLOCK, Mirror};
use crate::Line;
use crate::optics::SUN_SOURCE;

fn digits(value: f64) -> String {
    significant(value, 7)
}

fn milli(value: f64) -> String {
    digits(1e3 * value)
}

fn line(symbol: &str, meaning: &str, formula: &str, value: String, unit: &str) -> Line {
    Line::new(symbol, meaning, formula, value, unit)
}

/// Every step.
pub(super) fn working(case: &Case, found: &Found) -> Vec<Line> {
    let mut lines = given(case);
    lines.extend(counted(case, found));
    lines.extend(light(case, found));
    lines
}

fn given(case: &Case) -> Vec<Line> {
    let scene = &case.scene;
    let sky = &scene.sky;
    let typed = "as typed";
    let mut lines = vec![line("f", "focal length", typed, digits(case.focal_length), "m")];
    match &scene.mirror {
        Mirror::Whole { dish, inner, .. } => {
            lines.push(line("D", "aperture diameter", typed, digits(2.0 * dish.rim), "m"));
            let value = digits(2.0 * inner);
            lines.push(line("D_i", "diameter of the middle", "as typed, or 0", value, "m"));
        }
        Mirror::Facets(facets) => {
            let all = case.rows.len();
            let meaning = "facets that reflect";
            let formula = format!("{all} in the list, without those masked");
            lines.push(line("k", meaning, &formula, facets.len().to_string(), "1"));
        }
    }
    let half = line("θ_s", "half-angle of the sun", typed, milli(sky.half_angle), "mrad");
    lines.push(if case.sun_typed {
        half
    } else {
        Line { formula: "mean, as nothing is typed".to_owned(), ..half }.sourced(SUN_SOURCE)
    });
    let formula = "as typed, or 0 for an even disc";
    lines.push(line("u", "darkening of the limb", formula, digits(sky.limb_darkening), "1"));
    if let Some((share, outer)) = sky.circumsolar {
        lines.push(line("χ", "share of light around the disc", typed, digits(share), "1"));
        lines.push(line("θ_c", "up to the half-angle", typed, milli(outer), "mrad"));
    }
    let errors = &case.errors;
    let own = "each facet its own".to_owned();
    let slope = errors.slope.map_or_else(|| own.clone(), milli);
    let meaning = "slope error, one axis, of the normal";
    lines.push(line("σ_slope", meaning, "as typed, for all that state none", slope, "mrad"));
    let scatter = errors.specularity.map_or(own, milli);
    let meaning = "scatter, one axis, of the light";
    lines.push(line("σ_spec", meaning, "as typed, for all that state none", scatter, "mrad"));
    if errors.alignment > 0.0 {
        let formula = match (&scene.mirror, case.aligned_by) {
            (Mirror::Whole { .. }, _) => "as typed, added to the slope as a square",
            (_, Aligned::Known) => "as typed, and not used: every facet states its tilt",
            _ => "as typed; a tilt drawn for each facet that states none",
        };
        let meaning = "alignment error, one axis, of the normal";
        lines.push(line("σ_align", meaning, formula, milli(errors.alignment), "mrad"));
    }
    if errors.tracking > 0.0 {
        let meaning = "error of tracking, one axis, of the light";
        lines.push(line("σ_track", meaning, typed, milli(errors.tracking), "mrad"));
    }
    let (x, y) = case.pointing;
    let formula = "as typed, or 0";
    lines.extend([
        line("e_x", "pointing error to the right", formula, milli(x), "mrad"),
        line("e_y", "pointing error upward", formula, milli(y), "mrad"),
        line(
            "z_p",
            "height of the plane above the vertex",
            "z_p = f + distance from the focus",
            digits(scene.plane),
            "m",
        ),
        line("r", "radius of the aperture", "half of the diameter", digits(scene.receiver), "m"),
    ]);
    if let Some((_, radius)) = scene.body {
        lines.push(line("r_b", "radius of the receiver's body", typed, digits(radius), "m"));
    }
    lines
}

fn counted(case: &Case, found: &Found) -> Vec<Line> {
    let scene = &case.scene;
    let whole = &found.whole;
    let draws = format!(
        "as typed, or 100 000; seed {}, ChaCha8, a stream for each block of {BLOCK}",
        scene.seed
    );
    let number = |value: u64| value.to_string();
    vec![
        line("N", "rays", &draws, number(whole.rays), "1"),
        line(
            "N_s",
            "held back by the receiver's body before the mirror",
            "count",
            number(whole.shaded),
            "1",
        ),
        line("n", "rays reflected", "n = N − N_s", number(whole.reflected()), "1"),
        line("n_0", "rays that never meet the plane", "count", number(whole.astray), "1"),
        line("n_h", "rays through the aperture", "count", number(whole.hits), "1"),
        line("γ", "intercept", "γ = n_h/n", significant(found.intercept, 8), "1"),
        line(
            "s(γ)",
            "standard error of the draws",
            "s = √(Σ n_i·γ_i·(1 − γ_i))/n over the rows of the first table",
            significant(found.sampling, 4),
            "1",
        ),
    ]
}

fn light(case: &Case, found: &Found) -> Vec<Line> {
    let scene = &case.scene;
    let meaning = "area of the mirrors as the sun sees it, shadows of the body with it";
    let formula = match &scene.mirror {
        Mirror::Whole { .. } => "A = π·(D² − D_i²)/4·cos e",
        Mirror::Facets(_) => "A = Σ ∫(n·s) dA over the facets, Gauss's places 6 × 6 on each",
    };
    let mut lines = vec![line("A", meaning, formula, digits(found.area), "m²")];
    let rho = match case.reflectance {
        Some(share) => {
            lines.push(line("ρ", "reflectance", "as typed", digits(share), "1"));
            "ρ·"
        }
        None => "",
    };
    let cell = 1e3 * scene.map / count(CELLS as u64);
    lines.extend([
        line("a", "side of a cell of the map", "a = width/41", digits(cell), "mm"),
        line(
            "c_1",
            "concentration for each ray of a cell",
            &format!("c_1 = {rho}(A/N)/a²"),
            digits(found.per_ray),
            "1",
        ),
        line("n_p", "rays of the fullest cell", "count", found.fullest.to_string(), "1"),
        line("C_p", "concentration of the fullest cell", "C_p = c_1·n_p", digits(found.peak), "1"),
        line(
            "C_u",
            "the same without the bias of choosing the fullest",
            "cell chosen by the rays of even number and read from those of odd number, and the other \
             way round; the mean of both",
            digits(found.peak_unbiased),
            "1",
        ),
    ]);
    if let (Some(irradiance), Some(heat)) = (case.irradiance, found.heat) {
        lines.extend([
            line("G", "direct normal irradiance", "as typed", digits(irradiance), "W/m²"),
            line("Q", "heat into the aperture", "Q = G·ρ·A·n_h/N/1000", digits(heat / 1e3), "kW"),
        ]);
    }
    lines
}
