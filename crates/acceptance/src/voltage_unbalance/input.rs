//! What the calculation takes, and reading it.

use quantity::{Current, Dimension, Ratio, Si, Voltage};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::triangle;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between};
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::{Refusal, Statement, limit, schema};

/// What the calculation takes: voltages, currents or both.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The three voltages between lines, read within a minute of each other.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "LineVoltages")]
    pub voltages: Option<LineVoltages>,
    /// The three line currents.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Currents")]
    pub currents: Option<Currents>,
    /// Largest voltage unbalance by NEMA's formula.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// Largest negative-sequence factor of the voltages, where the rule names that instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub negative_sequence_limit: Option<StatedLimit>,
    /// Largest current unbalance by NEMA's formula.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub current_limit: Option<StatedLimit>,
    /// What is stated about the instruments.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// Voltages between lines, not to neutral.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LineVoltages {
    /// Between the first and the second line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::voltage")]
    pub ab: Option<String>,
    /// Between the second and the third line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::voltage")]
    pub bc: Option<String>,
    /// Between the third and the first line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::voltage")]
    pub ca: Option<String>,
}

/// Line currents.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Currents {
    /// In the first line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::current")]
    pub a: Option<String>,
    /// In the second line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::current")]
    pub b: Option<String>,
    /// In the third line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::current")]
    pub c: Option<String>,
}

/// What is stated about the instruments, as it differs from reading to reading: an error that all
/// three share cancels.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of each voltage reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub voltage: Option<Statement>,
    /// Of each current reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub current: Option<Statement>,
}

/// Three readings with their doubt.
#[derive(Debug)]
pub(super) struct Three {
    pub(super) sides: [f64; 3],
    pub(super) doubt: Option<Stated>,
}

/// What was read.
#[derive(Debug)]
pub(super) struct Survey {
    pub(super) voltages: Option<Three>,
    pub(super) currents: Option<Three>,
    pub(super) limit: Option<ReadLimit<Ratio>>,
    pub(super) negative_sequence_limit: Option<ReadLimit<Ratio>>,
    pub(super) current_limit: Option<ReadLimit<Ratio>>,
}

const VOLTS: &[Dimension] = &[Dimension::Voltage];
const AMPERES: &[Dimension] = &[Dimension::Current];
const V_RANGE: (i64, i64, &str) = (0, 50_000, "V");
const I_RANGE: (i64, i64, &str) = (0, 10_000, "A");
const VOLTAGES: [Place; 3] = [
    between("ab", "voltage between the first and the second line", VOLTS, V_RANGE),
    between("bc", "voltage between the second and the third line", VOLTS, V_RANGE),
    between("ca", "voltage between the third and the first line", VOLTS, V_RANGE),
];
const CURRENTS: [Place; 3] = [
    between("a", "current in the first line", AMPERES, I_RANGE),
    between("b", "current in the second line", AMPERES, I_RANGE),
    between("c", "current in the third line", AMPERES, I_RANGE),
];

fn three<Q: Si>(
    form: &mut Form,
    places: &[Place; 3],
    texts: [Option<&str>; 3],
) -> Result<Option<[f64; 3]>, Refusal> {
    let mut read = [None, None, None];
    for ((place, text), slot) in places.iter().zip(texts).zip(&mut read) {
        *slot = form.take_above_zero::<Q>(place, text)?;
    }
    let [Some(a), Some(b), Some(c)] = read else { return Ok(None) };
    Ok(Some([a, b, c]))
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Survey>, Refusal> {
    let voltages = match &input.voltages {
        Some(v) => form.within("voltages", |form| {
            let texts = [v.ab.as_deref(), v.bc.as_deref(), v.ca.as_deref()];
            three::<Voltage>(form, &VOLTAGES, texts)
        })?,
        None => None,
    };
    let currents = match &input.currents {
        Some(i) => form.within("currents", |form| {
            let texts = [i.a.as_deref(), i.b.as_deref(), i.c.as_deref()];
            three::<Current>(form, &CURRENTS, texts)
        })?,
        None => None,
    };
    let judges_voltages = input.limit.is_some() || input.negative_sequence_limit.is_some();
    let nothing = input.voltages.is_none() && input.currents.is_none();
    if input.voltages.is_none() && (judges_voltages || nothing) {
        form.miss("voltages", "three voltages between lines");
    }
    if input.currents.is_none() && input.current_limit.is_some() {
        form.miss("currents", "three line currents");
    }
    if let Some(sides) = &voltages
        && triangle::negative_sequence(sides).is_none()
    {
        return Err(form.refuse(
            "no_triangle",
            "voltages",
            "One of the three voltages is larger than the two others together, which line voltages \
             of one supply never are.",
            "Read them again, all three between lines.",
        ));
    }
    let mut at_most = |field, meaning, stated: Option<&StatedLimit>| {
        limit::read::<Ratio>(form, field, meaning, Side::AtMost, stated)
    };
    let limit = at_most("limit", "largest voltage unbalance", input.limit.as_ref())?;
    let negative_sequence_limit = at_most(
        "negative_sequence_limit",
        "largest negative-sequence factor",
        input.negative_sequence_limit.as_ref(),
    )?;
    let current_limit =
        at_most("current_limit", "largest current unbalance", input.current_limit.as_ref())?;
    let doubt = &input.uncertainty;
    let of_voltage = stated(
        form,
        "uncertainty.voltage",
        "uncertainty of a voltage reading",
        VOLTS,
        doubt.voltage.as_ref(),
    )?;
    let of_current = stated(
        form,
        "uncertainty.current",
        "uncertainty of a current reading",
        AMPERES,
        doubt.current.as_ref(),
    )?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    Ok(Some(Survey {
        voltages: voltages.map(|sides| Three { sides, doubt: of_voltage }),
        currents: currents.map(|sides| Three { sides, doubt: of_current }),
        limit,
        negative_sequence_limit,
        current_limit,
    }))
}
