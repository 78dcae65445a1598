//! The sheet of a trace.

use quantity::{Ratio, significant};

use super::CALCULATION;
use super::list::Aligned;
use super::read::Case;
use super::tables::{figure, radius_of, tables};
use super::tally::{CELLS, Share, Tally};
use super::trace::Mirror;
use super::working::working;
use crate::doubt::{Budget, Part, first_order};
use crate::form::Form;
use crate::limit::Judged;
use crate::{Flag, Outcome, Sheet, Verdict};

/// What the counts say.
#[derive(Debug)]
pub(super) struct Found {
    pub(super) whole: Share,
    pub(super) intercept: f64,
    /// Standard error of the draws.
    pub(super) sampling: f64,
    /// Area of the mirrors as the sun sees it, m².
    pub(super) area: f64,
    /// Concentration for each ray of a cell.
    pub(super) per_ray: f64,
    pub(super) fullest: u32,
    pub(super) peak: f64,
    pub(super) peak_unbiased: f64,
    /// Rays on the map.
    mapped: f64,
    /// W.
    pub(super) heat: Option<f64>,
}

/// A count as a number to compute with.
#[expect(clippy::cast_precision_loss, reason = "counts are far below 2^53")]
pub(super) const fn count(rays: u64) -> f64 {
    rays as f64
}

impl Found {
    fn of(case: &Case, tally: &Tally) -> Self {
        let whole = tally.whole();
        let n = count(whole.reflected());
        let variance: f64 = tally
            .shares
            .iter()
            .filter(|share| share.reflected() > 0)
            .map(|share| {
                let n = count(share.reflected());
                let hits = count(share.hits);
                hits * (1.0 - hits / n)
            })
            .sum();
        let area = case.scene.area();
        let cell = case.scene.map / count(CELLS as u64);
        let per_ray = case.reflectance.unwrap_or(1.0) * area / count(whole.rays) / (cell * cell);
        let map = tally.map();
        let fullest = map.iter().copied().max().unwrap_or(0);
        let [even, odd] = &tally.maps;
        let intercept = count(whole.hits) / n;
        let caught = count(whole.hits) / count(whole.rays);
        Self {
            intercept,
            sampling: libm::sqrt(variance) / n,
            area,
            per_ray,
            fullest,
            peak: per_ray * f64::from(fullest),
            // Each half holds half of the rays: the sum of both readings is that of a whole.
            peak_unbiased: per_ray * (other_half(even, odd) + other_half(odd, even)),
            mapped: map.iter().map(|rays| f64::from(*rays)).sum::<f64>() / n,
            heat: case
                .irradiance
                .zip(case.reflectance)
                .map(|(light, rho)| light * rho * area * caught),
            whole,
        }
    }
}

/// What one half of the rays puts into the fullest cell of the other half.
fn other_half(chosen_by: &[u32], read_from: &[u32]) -> f64 {
    chosen_by
        .iter()
        .zip(read_from)
        .max_by_key(|(chosen, _)| **chosen)
        .map_or(0.0, |(_, read)| f64::from(*read))
}

fn digits(value: f64) -> String {
    significant(value, 6)
}

/// The sheet of a tally.
pub(super) fn sheet(form: Form, case: &Case, tally: &Tally) -> Sheet {
    let found = Found::of(case, tally);
    if !tally.is_whole() || found.whole.reflected() == 0 {
        return Sheet {
            reason: format!(
                "Not judged: every block has to be traced once; {} rays of {} were, and {} of them \
                 reflected.",
                found.whole.rays,
                case.scene.rays,
                found.whole.reflected()
            ),
            ..Sheet::blank(&CALCULATION, form)
        };
    }
    let budget = budget(case, &found);
    let standard = case.doubt.as_ref().map(|_| budget.standard);
    let judged = case
        .limit
        .as_ref()
        .map(|limit| limit.judge(Ratio::from_fraction(found.intercept), standard));
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason: reason(&found, judged.as_ref()),
        results: results(case, &found, tally, standard),
        working: working(case, &found),
        combined: Some(budget.combined("intercept")),
        doubt: budget.lines,
        flags: flags(case, &found, judged.as_ref()),
        rule: judged.map(|judged| judged.rule),
        validity: "Facets don't shade or block each other and all reflect alike; slope errors have no \
                   structure; no sag. The receiver's body, if given, shades the way to the mirror, not \
                   the way back. The standard error of the draws is not what is known of the mirrors."
            .to_owned(),
        sources: vec![
            "Law of reflection, exact; paraboloid as in dish-geometry".to_owned(),
            "JCGM 100:2008 (GUM), first-order propagation; JCGM 106:2012, decision rules".to_owned(),
        ],
        figure: Some(figure(case, &found, tally)),
        tables: tables(case, &found, tally),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn reason(found: &Found, judged: Option<&Judged>) -> String {
    let error = significant(100.0 * found.sampling, 2);
    let mut text = match judged {
        Some(judged) => {
            format!("Intercept {} (standard error of the draws {error} points).", judged.sentence)
        }
        None => format!(
            "Intercept {} %, standard error of the draws {error} points.",
            significant(100.0 * found.intercept, 4)
        ),
    };
    if let Some(heat) = found.heat {
        text.push_str(&format!(" Heat into the aperture {} kW.", significant(heat / 1e3, 4)));
    }
    text.push_str(&format!(" Peak concentration about {}.", significant(found.peak_unbiased, 3)));
    text
}

fn budget(case: &Case, found: &Found) -> Budget {
    let mut parts = vec![Part {
        source: "draws of the rays".to_owned(),
        statement: format!("{} rays, standard error of the counts", case.scene.rays),
        value: found.intercept,
        standard: found.sampling,
        unit: "1",
    }];
    parts.extend(case.doubt.as_ref().map(|doubt| Part {
        source: "mirrors, sun and receiver".to_owned(),
        statement: doubt.text.clone(),
        value: 0.0,
        standard: doubt.of(found.intercept),
        unit: "1",
    }));
    first_order(&parts, "1", |values| values.iter().sum())
}

fn results(case: &Case, found: &Found, tally: &Tally, standard: Option<f64>) -> Vec<Outcome> {
    let mut intercept = Outcome::new(
        "intercept",
        "share of the reflected light through the aperture",
        significant(found.intercept, 7),
        "1",
    );
    intercept.standard_uncertainty = standard.map(|standard| significant(standard, 3));
    let mut out = vec![intercept];
    let mut add = |name: &str, meaning: &str, value: String, unit: &str| {
        out.push(Outcome::new(name, meaning, value, unit));
    };
    let error = significant(found.sampling, 3);
    add("intercept_error", "standard error of the draws", error, "1");
    add("area", "area of the mirrors as the sun sees it", digits(found.area), "m²");
    let shaded = count(found.whole.shaded) / count(found.whole.rays);
    if case.scene.body.is_some() {
        add("shaded", "share shaded by the receiver's body", digits(shaded), "1");
    }
    add("mapped", "share of the reflected light on the map", digits(found.mapped), "1");
    for (name, share) in
        [("radius_50", 0.5), ("radius_90", 0.9), ("radius_95", 0.95), ("radius_99", 0.99)]
    {
        let meaning = format!("radius that holds {} % of the light", significant(100.0 * share, 2));
        if let Some(radius) = radius_of(case, found, tally, share) {
            add(name, &meaning, significant(1e3 * radius, 4), "mm");
        }
    }
    let of = if case.reflectance.is_some() { "" } else { ", for a reflectance of 1" };
    add("peak", &format!("concentration of the fullest cell{of}"), digits(found.peak), "1");
    let meaning = format!("peak concentration without the bias of choosing{of}");
    add("peak_unbiased", &meaning, digits(found.peak_unbiased), "1");
    let fullest = f64::from(found.fullest).max(1.0);
    let error = significant(found.peak / libm::sqrt(fullest), 2);
    add("peak_error", "standard error of the peak by the draws", error, "1");
    if let (Some(irradiance), Some(heat)) = (case.irradiance, found.heat) {
        let aperture = core::f64::consts::PI * case.scene.receiver * case.scene.receiver;
        let peak = digits(found.peak_unbiased * irradiance / 1e3);
        add("peak_irradiance", "peak irradiance, without that bias", peak, "kW/m²");
        add(
            "mean_irradiance",
            "mean irradiance of the aperture",
            digits(heat / aperture / 1e3),
            "kW/m²",
        );
        add("heat", "heat into the aperture", digits(heat / 1e3), "kW");
    }
    out
}

fn flags(case: &Case, found: &Found, judged: Option<&Judged>) -> Vec<Flag> {
    /// Rays of the fullest cell below which the map is mostly noise.
    const FEW: u32 = 50;
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    flag(
        "peak_of_cells",
        format!(
            "The fullest of {} cells is mostly fuller than the light there by chance alone ({} rays, \
             ±{} %): the peak without that bias is the better figure. Both are means over a cell and so \
             below the true peak where it is narrower than a cell.",
            CELLS * CELLS,
            found.fullest,
            significant(100.0 / libm::sqrt(f64::from(found.fullest).max(1.0)), 2)
        ),
    );
    if case.doubt.is_none() {
        flag(
            "draws_only",
            "The combined uncertainty is that of the draws alone. What is not known of mirrors, sun \
             and receiver comes on top: the calculation intercept gives it."
                .to_owned(),
        );
    }
    if found.fullest < FEW {
        flag("few_rays", "The map holds too few rays for a peak; ask for more rays.".to_owned());
    }
    let near = case.limit.as_ref().is_some_and(|limit| {
        (limit.value.fraction() - found.intercept).abs() < 2.0 * found.sampling
    });
    if near && judged.is_some() {
        flag(
            "limit_within_draws",
            "The limit lies within two standard errors of the draws: another seed may decide \
             otherwise. Ask for more rays."
                .to_owned(),
        );
    }
    if case.aligned_by == Aligned::AsDesigned {
        flag(
            "taken_as_designed",
            "Facets without a tilt of their own are taken as set exactly as designed; give their \
             tilts, or an alignment error from which tilts are drawn."
                .to_owned(),
        );
    }
    if case.aligned_by == Aligned::Drawn {
        flag(
            "tilts_drawn",
            "Tilts of facets are drawn and not measured: another seed is another dish.".to_owned(),
        );
    }
    if found.mapped < 0.95 {
        flag(
            "map_too_small",
            format!(
                "The map holds {} % of the light; a wider one shows the rest.",
                significant(100.0 * found.mapped, 3)
            ),
        );
    }
    if let Mirror::Facets(facets) = &case.scene.mirror {
        let reach = facets.iter().map(|facet| facet.patch.reach()).fold(0.0, f64::max);
        if found.area > core::f64::consts::PI * reach * reach {
            flag(
                "facets_overlap",
                "The facets together have more area than the opening that holds them: some lie over \
                 others, or are too large."
                    .to_owned(),
            );
        }
    }
    flags
}
