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
    length [Length] "6.0 m";
    altitude [Length] "1350 m";
    ratio [Ratio] "1.0 %";
    power [Power] "3.44 kW";
    mass [Mass] "1.8 kg";
    mass_flow [MassFlow] "0.4 g/h";
    leak_flow [MassFlow, MolarFlow, Leak] "0.5 g/d";
    volume_flow [VolumeFlow] "360 m³/h";
    area [Area] "87.7 m²";
    speed [Speed] "6.2 m/s";
    irradiance [Irradiance] "912 W/m²";
    irradiance_change [Irradiance, Ratio] "5 %";
    resistance [Resistance] "220 MΩ";
    resistivity [Resistivity] "100 Ω·m";
    voltage [Voltage] "480 V";
    current [Current] "30.1 A";
    frequency [Frequency] "60 Hz";
    rotational_speed [RotationalSpeed] "1825 r/min";
    reactive_power [ReactivePower] "14 kvar";
    temperature_difference [TemperatureDifference] "12 K";
    pressure_difference [PressureDifference] "0.1 bar";
    pressure_doubt [PressureDifference, Ratio] "0.25 bar";
    temperature_doubt [TemperatureDifference] "0.15 K";
    volume_doubt [Volume, Ratio] "0.1 L";
    mass_density [MassDensity] "1.06 kg/m³";
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

/// A resistance that an instrument may show as a bound, such as more than it can read.
pub(crate) fn bounded_resistance(_: &mut SchemaGenerator) -> Schema {
    let pattern = pattern(Dimension::Resistance);
    let bounded = pattern.replacen("^ *", "^ *(>=|<=|[<>=≥≤⩾⩽])? *", 1);
    json_schema!({
        "type": "string",
        "description": "A resistance as the instrument shows it, with its unit; a bound with its \
                        sign.",
        "pattern": bounded,
        "examples": ["240 MΩ", ">550 MΩ"],
    })
}

/// A reading of whatever kind the input names: a number and, mostly, a unit.
pub(crate) fn any_reading(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A reading with its unit, of the kind that the input names.",
        "pattern": "^ *(>=|<=|[<>=≥≤⩾⩽])? *[+\\-−]?[0-9].*$",
        "examples": ["133.2 bar(g)"],
    })
}

/// A voltage in volts or of the nominal one, or a frequency: what a protection relay is set to.
pub(crate) fn relay_value(_: &mut SchemaGenerator) -> Schema {
    let patterns: Vec<_> = [Dimension::Voltage, Dimension::Ratio, Dimension::Frequency]
        .iter()
        .map(|dimension| pattern(*dimension))
        .collect();
    json_schema!({
        "type": "string",
        "description": "A voltage in pu, in percent of the nominal or in volts; or a frequency.",
        "pattern": format!("{}|^ *[0-9][0-9.,]* *(pu|p\\.u\\.) *$", patterns.join("|")),
        "examples": ["0.88 pu", "59.3 Hz"],
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

/// A number that may have a sign, as a slope.
pub(crate) fn signed_number(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A number without unit, with its sign where it has one.",
        "pattern": "^ *[+\\-−]?[0-9]+([.,][0-9]+)?([eE][+\\-−]?[0-9]+)? *$",
        "examples": ["-0.0045"],
    })
}

/// A whole number, as a count.
pub(crate) fn count(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A whole number.",
        "pattern": "^ *[0-9]+ *$",
        "examples": ["32"],
    })
}

/// A day, as ISO 8601 writes it.
pub(crate) fn day(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A day of the calendar (ISO 8601).",
        "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$",
        "examples": ["2026-08-25"],
    })
}

/// What is stated about an instrument: in the unit of what it shows, or in percent of it; of a ratio
/// also as a bare number, which is the ratio's own.
pub(crate) fn statement(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "type": "string",
        "description": "A size without sign, in the unit of what is measured or in percent of it; of a ratio also as a bare number.",
        "pattern": "^ *[0-9][0-9 .,'’]*([eE][+\\-−]?[0-9]+)? *([^0-9 ].*)?$",
        "examples": ["0.5 %"],
    })
}

/// The schema of a type, as JSON.
pub(crate) fn of<T: JsonSchema>() -> Value {
    schemars::schema_for!(T).to_value()
}
