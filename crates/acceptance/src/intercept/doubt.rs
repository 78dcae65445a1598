//! The doubt of the intercept, by trials (JCGM 101:2008), and of the heat.

use super::input::{Case, Known, variances};
use super::rings::{COARSE, Optics};
use crate::DoubtLine;
use crate::doubt::{Part, first_order};
use crate::draw::{Propagated, propagate};
use crate::optics::{Turned, Vague};

/// The doubt of a case; none where nothing is stated about any input of the intercept.
#[derive(Debug)]
pub(super) struct Doubt {
    pub(super) trials: Propagated,
    /// A line for each input, by first order.
    pub(super) lines: Vec<DoubtLine>,
    /// The same, combined by first order, for comparison.
    pub(super) first_order: f64,
    /// An input whose doubt is more than a third of itself, so that trials fell below zero and were
    /// taken as zero.
    pub(super) wide: Option<String>,
}

/// An input of the intercept.
struct Source<'a> {
    name: String,
    /// In SI.
    value: f64,
    doubt: Option<&'a Vague>,
    text: String,
    /// The unit that the budget shows, and how many of it make one of SI.
    unit: (&'static str, f64),
}

const MRAD: (&str, f64) = ("mrad", 1e3);
const MM: (&str, f64) = ("mm", 1e3);

fn sources(case: &Case) -> Vec<Source<'_>> {
    fn measure<'a>(name: &str, known: &'a Known, unit: (&'static str, f64)) -> Source<'a> {
        Source {
            name: name.to_owned(),
            value: known.value,
            doubt: known.doubt.as_ref(),
            text: String::new(),
            unit,
        }
    }
    let mut out: Vec<Source<'_>> = case
        .errors
        .iter()
        .map(|named| Source {
            name: named.name.clone(),
            value: named.scatter.stated,
            doubt: named.scatter.doubt.as_ref(),
            text: format!("{}; ", named.scatter.text),
            unit: MRAD,
        })
        .collect();
    out.push(measure("focal length", &case.focal_length, MM));
    out.push(measure("aperture diameter", &case.aperture, MM));
    out.push(measure("diameter of the receiver's aperture", &case.receiver, MM));
    out.extend(case.bias.as_ref().map(|bias| measure("fixed pointing error", bias, MRAD)));
    out
}

/// The optics of inputs in the order of `sources`.
fn optics(case: &Case, values: &[f64]) -> Optics {
    // A width below zero, as a trial can give it, is none.
    let at = |place: usize| values.get(place).copied().unwrap_or(f64::NAN).max(0.0);
    let count = case.errors.len();
    let (normal, ray) = variances(
        case.errors
            .iter()
            .enumerate()
            .map(|(place, named)| (named.scatter.of, at(place) / named.scatter.divisor)),
    );
    Optics {
        focal_length: at(count),
        rim: 0.5 * at(count + 1),
        inner: case.inner,
        receiver: 0.5 * at(count + 2),
        normal,
        // A trial in which every error vanishes is still no division by zero.
        ray: ray.max(1e-18),
        bias: if case.bias.is_some() { at(count + 3) } else { 0.0 },
    }
}

/// Carries every stated doubt through.
pub(super) fn doubt(case: &Case) -> Option<Doubt> {
    let sources = sources(case);
    if sources.iter().all(|source| source.doubt.is_none()) {
        return None;
    }
    let model = |values: &[f64]| optics(case, values).intercept(COARSE);
    let trials = propagate(case.trials, u64::from(case.seed), |draw| {
        let values: Vec<f64> = sources
            .iter()
            .map(|source| {
                source.doubt.map_or(source.value, |doubt| doubt.drawn(source.value, draw))
            })
            .collect();
        model(&values)
    });
    let parts: Vec<Part> = sources
        .iter()
        .map(|source| Part {
            source: source.name.clone(),
            statement: source.doubt.map_or_else(
                || format!("{}taken as exact", source.text),
                |doubt| format!("{}{}", source.text, doubt.stated.text),
            ),
            value: source.value * source.unit.1,
            standard: source
                .doubt
                .map_or(0.0, |doubt| doubt.stated.of(source.value) * source.unit.1),
            unit: source.unit.0,
        })
        .collect();
    let budget = first_order(&parts, "1", |values| {
        let si: Vec<f64> =
            values.iter().zip(&sources).map(|(value, source)| value / source.unit.1).collect();
        model(&si)
    });
    let wide = parts.iter().find(|part| 3.0 * part.standard > part.value.abs());
    Some(Doubt {
        trials,
        wide: wide.map(|part| part.source.clone()),
        first_order: budget.standard,
        lines: budget.lines,
    })
}

/// Relative standard uncertainty of the heat G·ρ·A·γ; none where a factor has none stated at all.
pub(super) fn heat(case: &Case, intercept: f64, doubt: Option<&Doubt>) -> Option<f64> {
    let relative = |known: &Option<Known>| {
        known.as_ref().and_then(|known| {
            known.doubt.as_ref().map(|doubt| doubt.stated.of(known.value) / known.value)
        })
    };
    let own = doubt.map(|doubt| doubt.trials.standard / intercept);
    // Where no net area is typed, the area follows from the diameter.
    let area = match &case.net_area {
        None => case
            .aperture
            .doubt
            .as_ref()
            .map(|doubt| 2.0 * doubt.stated.of(case.aperture.value) / case.aperture.value),
        net => relative(net),
    };
    let parts = [own, relative(&case.irradiance), relative(&case.reflectance), area];
    let any = parts.iter().any(Option::is_some);
    any.then(|| libm::sqrt(parts.iter().flatten().map(|part| part * part).sum()))
}

/// Whether an error of slope or alignment is stated of the light.
pub(super) fn of_light(case: &Case) -> Option<&str> {
    case.errors
        .iter()
        .find(|named| {
            ["σ_slope", "σ_alignment"].contains(&named.symbol.as_str())
                && named.scatter.of == Turned::Ray
                && named.scatter.stated > 0.0
        })
        .map(|named| named.name.as_str())
}
