//! The judgements: resistance, polarisation index, absorption ratio, each against its own minimum.

use quantity::{Bound, Ratio, Resistance, Si, significant};

use super::bounded::Bounded;
use super::input::{Insulation, Test, Winding, winding_name};
use super::standard;
use crate::form::Form;
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::{Refusal, RuleShown, Verdict, limit};

/// A judgement with its sentence.
#[derive(Debug)]
pub(super) struct Judgement {
    pub(super) verdict: Verdict,
    pub(super) sentence: String,
    pub(super) rule: Option<RuleShown>,
}

/// Judges a value that may be a bound: a lower bound can only show a pass, an upper bound only a
/// failure.
pub(super) fn at_least<Q: Si>(
    what: &str,
    limit: &ReadLimit<Q>,
    value: Bounded,
    standard: Option<f64>,
) -> Judgement {
    let judged = limit.judge(Q::from_si(value.number), standard);
    let below = value.bound == Bound::Below && value.number <= limit.value.si();
    let verdict = match judged.verdict {
        Verdict::Fail if value.is_lower() => Verdict::NotJudged,
        Verdict::Pass if value.is_upper() && below => Verdict::Fail,
        Verdict::Pass if value.is_upper() => Verdict::NotJudged,
        verdict => verdict,
    };
    let sign = value.bound.sign();
    let sentence = match (value.bound, verdict) {
        (Bound::Exact, _) => format!("{what} {}", judged.sentence),
        (_, Verdict::NotJudged) => format!(
            "{what} {sign}{}: a bound that does not tell on which side of {} it lies",
            judged.value,
            limit.shown()
        ),
        (_, Verdict::Fail) => {
            format!("{what} {sign}{}, below the limit of {}", judged.value, limit.shown())
        }
        _ => format!("{what} {sign}{}", judged.sentence),
    };
    Judgement { verdict, sentence, rule: Some(judged.rule) }
}

/// A minimum of a standard, made into a limit with its source.
fn of_standard<Q: Si>(value: String, source: String) -> Result<Option<ReadLimit<Q>>, Refusal> {
    let stated = StatedLimit { value: Some(value), source: Some(source), ..StatedLimit::default() };
    limit::read(&mut Form::default(), "limit", "minimum", Side::AtLeast, Some(&stated))
}

/// The minimum of the standard for the winding, if one was chosen.
pub(super) fn standard_minimum(test: &Test) -> Option<(f64, String)> {
    let winding = test.winding?;
    let (ohms, rule, source) = standard::minimum(winding, test.rated)?;
    Some((ohms, format!("{source}: {} {rule}", winding_name(winding))))
}

/// Judges the resistance; none without any minimum.
pub(super) fn resistance(
    test: &Test,
    value: Bounded,
    standard: Option<f64>,
) -> Result<Option<Judgement>, Refusal> {
    let what = match test.insulation {
        Insulation::AsMeasured => "Resistance",
        _ => "Resistance at 40 °C",
    };
    if let Some(own) = &test.limit {
        return Ok(Some(at_least(what, own, value, standard)));
    }
    let Some((ohms, source)) = standard_minimum(test) else { return Ok(None) };
    let text = format!("{} MΩ", trimmed(ohms / 1e6));
    Ok(of_standard::<Resistance>(text, source)?
        .map(|limit| at_least(what, &limit, value, standard)))
}

/// A number with six digits at most and no idle zeros.
fn trimmed(value: f64) -> String {
    let text = significant(value, 6);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Judges the polarisation index; none without a minimum, or where it is not asked for.
pub(super) fn index(test: &Test, index: Option<Bounded>) -> Result<Option<Judgement>, Refusal> {
    let limit = match (&test.index_limit, test.thermal_class) {
        (Some(own), _) => Some(own.clone()),
        (None, Some(class)) => of_standard::<Ratio>(
            standard::least_index(class).to_string(),
            format!("{}: by thermal class", standard::IEEE_43),
        )?,
        (None, None) => None,
    };
    Ok(limit.filter(|_| !exempt(test)).map(|limit| ratio("Polarisation index", &limit, index)))
}

/// Judges the absorption ratio; none without a limit.
pub(super) fn absorption(test: &Test, ratio_found: Option<Bounded>) -> Option<Judgement> {
    test.absorption_limit.as_ref().map(|limit| ratio("Absorption ratio", limit, ratio_found))
}

fn ratio(what: &str, limit: &ReadLimit<Ratio>, value: Option<Bounded>) -> Judgement {
    match value {
        // Both readings come from one tester in one winding: their ratio carries no doubt here.
        Some(value) => at_least(what, limit, value, None),
        None => Judgement {
            verdict: Verdict::NotJudged,
            sentence: format!("{what} is not judged: two bounds give no ratio"),
            rule: None,
        },
    }
}

/// Whether the one-minute reading is so high that the standard asks for no polarisation index.
pub(super) fn exempt(test: &Test) -> bool {
    let one = Bounded::of(&test.one_minute);
    test.index_limit.is_none() && !one.is_upper() && one.number > standard::PI_CEILING
}

/// Whether the winding's temperature is one that the formulas are meant for.
pub(super) fn in_range(test: &Test) -> bool {
    let (low, high) = standard::RANGE;
    match (test.insulation, test.celsius) {
        (Insulation::AsMeasured, _) | (_, None) => true,
        // A reading of 10.0 °C must not miss the range by the rounding of 283.15 − 273.15.
        (_, Some(celsius)) => (low - 1e-9..=high + 1e-9).contains(&celsius),
    }
}

/// The dew point in °C, and whether the winding was not above it.
pub(super) fn dew(test: &Test) -> Option<(f64, bool)> {
    let (air, humidity) = test.air?;
    let dew = standard::dew_point(air, humidity);
    Some((dew, test.celsius.is_some_and(|celsius| celsius <= dew)))
}

/// Whether the test voltage is one that the standard names for the rated voltage; with that range.
pub(super) fn voltage(test: &Test) -> Option<(bool, (f64, f64))> {
    let (rated, applied) = test.rated.zip(test.applied)?;
    let cable = test.winding == Some(Winding::LowVoltageCircuit);
    let (low, high) = standard::test_voltages(cable, rated);
    // A tester's 500 V range holds its voltage within some percent; common practice, no source.
    Some(((0.95 * low..=1.25 * high).contains(&applied), (low, high)))
}
