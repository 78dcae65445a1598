//! `gas-mass`: the mass of gas in a volume, and the mass admitted between two states of it.
//!
//! `m = V·ρ(p, T)` with the real-gas equations of `gas-density`; admitted `Δm = V·(ρ₂ − ρ₁)`,
//! negative when gas was let out. A circuit may be made of parts with a temperature each, whose
//! masses are added. Pressure is absolute: gauge and barometer at the same time. The
//! volume is rigid and holds one gas. Outside the range of the gas's equation it is refused.

use quantity::significant;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::circuit::{self, CircuitState, Counted, Instruments, ReadPart, read_circuit_state};
use crate::doubt::Budget;
use crate::form::{self, Form};
use crate::registry::example;
use crate::state::{Places, places};
use crate::{
    Calculation, CircuitPart, Flag, Gas, InstrumentDoubt, Line, Outcome, Refusal, Sheet, StateRead,
    Verdict, schema,
};

const NAME: &str = "gas-mass";
const TITLE: &str = "Gas in a circuit";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Mass of hydrogen, helium or nitrogen in a volume, and the mass admitted between two \
              states.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("gas-mass", "good-contents"),
        example!("gas-mass", "good-fill"),
        example!("gas-mass", "good-volume-missing"),
        example!("gas-mass", "good-engine-line-bottle"),
        example!("gas-mass", "bad-volume-in-kg"),
        example!("gas-mass", "bad-gas-unknown"),
        example!("gas-mass", "bad-unknown-field"),
        example!("gas-mass", "bad-temperature-null"),
        example!("gas-mass", "bad-pressure-without-unit"),
        example!("gas-mass", "wrong-psi-typed-as-bar"),
        example!("gas-mass", "wrong-temperature-of-a-part-missing"),
        example!("gas-mass", "wrong-too-cold-for-the-equation"),
    ],
};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The gas; there is no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub gas: Option<Gas>,
    /// The volume that holds it; left out where parts are given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// Parts of the circuit with a temperature each; instead of one volume.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<CircuitPart>")]
    pub parts: Vec<CircuitPart>,
    /// Readings after the filling, or the only ones.
    #[serde(default)]
    pub after: StateRead,
    /// Readings before the filling. Left out, only the contents are computed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StateRead")]
    pub before: Option<StateRead>,
    /// What is known of the instruments; left out, the masses have no uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "InstrumentDoubt")]
    pub uncertainty: Option<InstrumentDoubt>,
}

const PRESSURE: (i64, i64, &str) = (0, 300, "bar(g)");
const ABSOLUTE: (i64, i64, &str) = (0, 300, "bar(a)");
const TEMPERATURE: (i64, i64, &str) = (-60, 130, "°C");
const AFTER: Places = places!("after.", " after", PRESSURE, ABSOLUTE, TEMPERATURE);
const BEFORE: Places = places!("before.", " before", PRESSURE, ABSOLUTE, TEMPERATURE);

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read, is implausible, or lies outside the range of the gas's equation.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = Form::default();
    match input.gas {
        Some(gas) => form.show("gas", "gas", gas.name()),
        None => form.miss("gas", "gas"),
    }
    let volume_doubt = input.uncertainty.as_ref().and_then(|doubt| doubt.volume.as_ref());
    let parts =
        circuit::read_parts(&mut form, input.volume.as_deref(), volume_doubt, &input.parts)?;
    let count = input.parts.len();
    let before = match &input.before {
        Some(texts) => Some(read_circuit_state(&mut form, &BEFORE, "before.", texts, count)?),
        None => None,
    };
    let after = read_circuit_state(&mut form, &AFTER, "after.", &input.after, count)?;
    let instruments = InstrumentDoubt::read(&mut form, input.uncertainty.as_ref())?;
    let (Some(gas), Some(parts), Some(after)) = (input.gas, parts, after) else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let before = match before {
        Some(None) => return Ok(Sheet::blank(&CALCULATION, form)),
        Some(Some(read)) => {
            read.require(gas, BEFORE.absolute.field)?;
            Some(read)
        }
        None => None,
    };
    after.require(gas, AFTER.absolute.field)?;
    let fill = Fill { gas, parts, before, after, instruments };
    Ok(sheet(form, &fill))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}

/// A filling, read.
struct Fill {
    gas: Gas,
    parts: Vec<ReadPart>,
    before: Option<CircuitState>,
    after: CircuitState,
    instruments: Instruments,
}

impl Fill {
    fn doubt(&self, terms: &[Counted<'_>]) -> Option<Budget> {
        circuit::budget(self.gas, &self.parts, terms, &self.instruments)
    }

    /// A mass with its uncertainty.
    fn mass(&self, name: &str, meaning: &str, value: f64, doubt: Option<&Budget>) -> Outcome {
        let outcome = Outcome::new(name, meaning, significant(value, 5), "kg");
        match doubt {
            Some(budget) => outcome.within(significant(budget.standard, 3)),
            None => outcome,
        }
    }

    fn amount(&self, name: &str, meaning: &str, kilograms: f64, doubt: Option<&Budget>) -> Outcome {
        let molar = self.gas.equation().molar_mass();
        let outcome = Outcome::new(name, meaning, significant(kilograms / molar, 5), "mol");
        match doubt {
            Some(budget) => outcome.within(significant(budget.standard / molar, 3)),
            None => outcome,
        }
    }
}

fn sheet(form: Form, fill: &Fill) -> Sheet {
    let (gas, equation) = (fill.gas, fill.gas.equation());
    let molar = equation.molar_mass();
    let mass = fill.after.mass(gas, &fill.parts);
    let last = Counted { sign: 1.0, state: &fill.after, when: "after" };
    let of_after = fill.doubt(&[last]);
    let mut working = equation.constants();
    working.extend(circuit::volume_lines(&fill.parts));
    let mut results = vec![
        fill.mass("mass", "mass of the contents after", mass, of_after.as_ref()),
        fill.amount("amount", "amount of the contents after", mass, of_after.as_ref()),
    ];
    let mut flags = Vec::new();
    let (reason, judged, of, terms) = match &fill.before {
        None => {
            working.extend(circuit::lines(gas, &fill.parts, "", &fill.after));
            let reason = format!(
                "{} kg of {} ({} mol).",
                significant(mass, 4),
                gas.name(),
                significant(mass / molar, 4)
            );
            (reason, of_after, "mass", vec![last])
        }
        Some(before) => {
            let first = before.mass(gas, &fill.parts);
            let admitted = mass - first;
            let start = Counted { sign: -1.0, state: before, when: "before" };
            let terms = vec![start, last];
            let doubt = fill.doubt(&terms);
            let of_before = fill.doubt(&[Counted { sign: 1.0, ..start }]);
            working.extend(circuit::lines(gas, &fill.parts, "₁", before));
            working.extend(circuit::lines(gas, &fill.parts, "₂", &fill.after));
            let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
                Line::new(symbol, meaning, formula, significant(value, 6), unit)
            };
            working.push(line("Δm", "mass admitted", "Δm = m₂ − m₁", admitted, "kg"));
            working.push(line("Δn", "amount admitted", "Δn = n₂ − n₁", admitted / molar, "mol"));
            let d = doubt.as_ref();
            results.insert(0, fill.mass("admitted", "mass admitted", admitted, d));
            results.insert(1, fill.amount("admitted_amount", "amount admitted", admitted, d));
            let meaning = "mass of the contents before";
            results.push(fill.mass("mass_before", meaning, first, of_before.as_ref()));
            if admitted < 0.0 {
                flags.push(Flag {
                    code: "gas_let_out".to_owned(),
                    sentence: "There was more gas before than after: gas was let out, or readings \
                               are exchanged."
                        .to_owned(),
                });
            }
            let reason = format!(
                "{} kg of {} admitted ({} mol); {} kg in the circuit afterwards.",
                significant(admitted, 4),
                gas.name(),
                significant(admitted / molar, 4),
                significant(mass, 4)
            );
            (reason, doubt, "admitted", terms)
        }
    };
    if judged.is_some() {
        flags.extend(circuit::incomplete(&fill.parts, &terms, &fill.instruments));
    }
    Sheet {
        verdict: Verdict::Computed,
        reason,
        results,
        working,
        combined: judged.as_ref().map(|budget| budget.combined(of)),
        doubt: judged.map(|budget| budget.lines).unwrap_or_default(),
        validity: format!(
            "{} right after a filling the gas is warmer than the wall. {}: {}; {}.",
            if fill.parts.len() > 1 {
                "Rigid parts with one gas under one pressure, each at its own temperature;"
            } else {
                "A rigid volume with one gas at one temperature;"
            },
            gas.name(),
            equation.range(),
            equation.accuracy()
        ),
        sources: vec![equation.source().to_owned()],
        flags,
        ..Sheet::blank(&CALCULATION, form)
    }
}
