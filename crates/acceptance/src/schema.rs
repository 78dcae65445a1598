//! JSON Schema pieces that the inputs share.

use quantity::{Dimension, pattern};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde_json::Value;

macro_rules! readings {
    ($($(#[$doc:meta])* $name:ident [$($dimension:ident),+] $example:literal;)*) => {$(
        $(#[$doc])*
        pub(crate) fn $name(_: &mut SchemaGenerator) -> Schema {
            reading(&[$(Dimension::$dimension),+], $example)
        }
    )*};
}

readings! {
    gauge_pressure [GaugePressure] "110.2 bar(g)";
    absolute_pressure [AbsolutePressure] "862 hPa";
    temperature [Temperature] "19.4 °C";
    volume [Volume] "12.4 L";
    duration [Duration] "12 h";
    angle [Angle] "-23.10 °";
    length [Length] "1350 m";
    ratio [Ratio] "1.0 %";
    power [Power] "3.44 kW";
    pressure_difference [PressureDifference] "0.1 bar";
    pressure_doubt [PressureDifference, Ratio] "0.25 bar";
    temperature_doubt [TemperatureDifference] "0.15 K";
    volume_doubt [Volume, Ratio] "0.1 L";
}

/// A text that names the unit of one of the dimensions.
fn reading(dimensions: &[Dimension], example: &str) -> Schema {
    let names: Vec<_> = dimensions.iter().map(|dimension| dimension.name()).collect();
    let patterns: Vec<_> = dimensions.iter().map(|dimension| pattern(*dimension)).collect();
    json_schema!({
        "type": "string",
        "description": format!("A {} as people type it, with its unit.", names.join(" or a ")),
        "pattern": patterns.join("|"),
        "examples": [example],
    })
}

/// A moment, as RFC 3339 writes it.
pub(crate) fn moment(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A moment with its offset from UTC (RFC 3339).",
        "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}:[0-9]{2}(\\.[0-9]+)?([Zz]|[+-][0-9]{2}:[0-9]{2})$",
        "examples": ["2026-08-25T18:10:00-04:00"],
    })
}

/// A pure number, as a coverage factor.
pub(crate) fn number(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A number without unit.",
        "pattern": "^[0-9]+([.,][0-9]+)?$",
        "examples": ["2"],
    })
}

/// The schema of a type, as JSON.
pub(crate) fn of<T: JsonSchema>() -> Value {
    schemars::schema_for!(T).to_value()
}
