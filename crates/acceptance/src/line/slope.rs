//! A slope, power for each unit of irradiance, as people type it: `0.0297 kW/(W/m²)`.

use quantity::{Dimension, Field, Ratio, Si, Unit, find_unit};
use rust_decimal::prelude::ToPrimitive;
use schemars::{Schema, SchemaGenerator, json_schema};

use crate::Refusal;
use crate::form::Form;

/// How one is typed.
const EXAMPLE: &str = "0.0297 kW/(W/m²)";

/// Schema of a slope.
pub(crate) fn schema(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "Power for each unit of irradiance, with its unit.",
        "pattern": r"^ *[+\-−]?[0-9][0-9 .,]*([eE][+\-−]?[0-9]+)? *([A-Za-z]+ */ *\([^()]+(\(.+\))?\)|[A-Za-z]+·m(²|2)/[A-Za-z]+|m(²|2)) *$",
        "examples": [EXAMPLE],
    })
}

/// Reads a slope that may be absent, in kW/(W/m²).
pub(crate) fn read(
    form: &mut Form,
    field: &str,
    meaning: &str,
    text: Option<&str>,
) -> Result<Option<f64>, Refusal> {
    let Some(text) = text else { return Ok(None) };
    form.show(field, meaning, text);
    parse(text).map(Some).ok_or_else(|| {
        form.refuse(
            "malformed",
            field,
            format!("The {meaning} can't be read: “{text}”."),
            format!("Type it as {EXAMPLE}, power over irradiance."),
        )
    })
}

fn parse(text: &str) -> Option<f64> {
    let text = text.trim();
    let (number, unit) = text.split_at(unit_begins(text)?);
    let number = quantity::parse(number.trim(), &Field::of(Dimension::Ratio)).ok()?;
    let number = Ratio::from_reading(&number).ok().map(Ratio::fraction)?;
    Some(number * watts_for_each_watt(unit.trim())? / 1e3)
}

/// Where the unit begins: at the first letter that is no power of ten.
fn unit_begins(text: &str) -> Option<usize> {
    let mut letters = text.char_indices().filter(|(_, c)| c.is_alphabetic());
    letters
        .find(|(place, c)| {
            let mut rest = text.get(place + c.len_utf8()..).unwrap_or_default().chars();
            let next = rest.next();
            !(matches!(c, 'e' | 'E')
                && next.is_some_and(|n| n.is_ascii_digit() || "+-−".contains(n)))
        })
        .map(|(place, _)| place)
}

/// The unit in W/(W/m²).
fn watts_for_each_watt(unit: &str) -> Option<f64> {
    let power = |symbol: &str| factor(find_unit(Dimension::Power, symbol.trim())?);
    if matches!(unit, "m²" | "m2") {
        return Some(1.0);
    }
    for mark in ["·m²/", "·m2/"] {
        if let Some((above, below)) = unit.split_once(mark) {
            return Some(power(above)? / power(below)?);
        }
    }
    let (above, below) = unit.split_once('/')?;
    let below = below.trim().strip_prefix('(')?.strip_suffix(')')?;
    Some(power(above)? / factor(find_unit(Dimension::Irradiance, below.trim())?)?)
}

fn factor(unit: &Unit) -> Option<f64> {
    unit.factor()?.to_f64()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_in_many_units() {
        for text in [
            "0.0297 kW/(W/m²)",
            "29.7 W/(W/m2)",
            "29.7 kW/(kW/m²)",
            "0,0297 kW / (W/m²)",
            "2.97e-2 kW·m²/W",
            "29.7 m²",
            "2.97E1 m2",
        ] {
            let got = parse(text).unwrap_or_else(|| panic!("{text}"));
            assert!((got - 0.0297).abs() < 1e-15, "{text}: {got}");
        }
        // 1 Btu/(h·ft²) is 3.154591 W/m² (NIST SP 811, B.8).
        let got = parse("0.09369135 kW/(Btu/(h·ft²))").unwrap();
        assert!((got - 0.0297).abs() < 1e-7, "{got}");
        for bad in ["0.0297", "0.0297 kW", "0.0297 kW/m²", "W/(W/m²)", "3 W/(kW)", "3 %/(W/m²)"]
        {
            assert_eq!(parse(bad), None, "{bad}");
        }
    }
}
