//! The kinds of quantity that the program knows, each with its base unit.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Names what a number measures.
///
/// Gauge and absolute pressure, and a temperature and a difference of temperatures, are different
/// dimensions here: the same unit text means another thing in each of them.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Dimension {
    /// Pressure above the surrounding air.
    GaugePressure,
    /// Pressure above vacuum, a barometer's reading included.
    AbsolutePressure,
    /// A difference or an uncertainty of pressures.
    PressureDifference,
    /// Temperature on a scale with a zero.
    Temperature,
    /// A difference or an uncertainty of temperatures; takes no offset.
    TemperatureDifference,
    /// Volume.
    Volume,
    /// Elapsed time.
    Duration,
    /// Electrical resistance.
    Resistance,
    /// Plane angle.
    Angle,
    /// Torque.
    Torque,
    /// Mass.
    Mass,
    /// Mass of a unit of volume.
    MassDensity,
    /// Mass of a unit of time.
    MassFlow,
    /// Leak as pressure times volume of a unit of time, at a temperature said beside it.
    Leak,
    /// Leak as amount of a unit of time; a standard volume flow with its reference state.
    MolarFlow,
    /// Amount of substance; a standard volume with its reference state.
    Amount,
    /// A ratio, often typed in percent.
    Ratio,
    /// Speed.
    Speed,
    /// Power of light on a unit of area.
    Irradiance,
    /// Length.
    Length,
    /// Power.
    Power,
    /// Voltage.
    Voltage,
    /// Electric current.
    Current,
    /// Area.
    Area,
    /// Volume of a unit of time.
    VolumeFlow,
    /// Energy.
    Energy,
    /// Energy of light on a unit of area.
    Irradiation,
    /// Periods of a unit of time.
    Frequency,
    /// Turns of a unit of time, as an angle.
    RotationalSpeed,
    /// Reactive power.
    ReactivePower,
    /// Apparent power.
    ApparentPower,
    /// Electrical resistivity, as of soil.
    Resistivity,
}

impl Dimension {
    /// Every dimension, in the order of the documentation.
    pub const ALL: [Self; 32] = [
        Self::GaugePressure,
        Self::AbsolutePressure,
        Self::PressureDifference,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Volume,
        Self::Duration,
        Self::Resistance,
        Self::Angle,
        Self::Torque,
        Self::Mass,
        Self::MassDensity,
        Self::MassFlow,
        Self::Leak,
        Self::MolarFlow,
        Self::Amount,
        Self::Ratio,
        Self::Speed,
        Self::Irradiance,
        Self::Length,
        Self::Power,
        Self::Voltage,
        Self::Current,
        Self::Area,
        Self::VolumeFlow,
        Self::Energy,
        Self::Irradiation,
        Self::Frequency,
        Self::RotationalSpeed,
        Self::ReactivePower,
        Self::ApparentPower,
        Self::Resistivity,
    ];

    /// The unit of base values: coherent SI, the radian for angles, `1` for ratios.
    pub const fn base_unit(self) -> &'static str {
        match self {
            Self::GaugePressure | Self::AbsolutePressure | Self::PressureDifference => "Pa",
            Self::Temperature | Self::TemperatureDifference => "K",
            Self::Volume => "m³",
            Self::Duration => "s",
            Self::Resistance => "Ω",
            Self::Angle => "rad",
            Self::Torque => "N·m",
            Self::Mass => "kg",
            Self::MassDensity => "kg/m³",
            Self::MassFlow => "kg/s",
            Self::Leak => "Pa·m³/s",
            Self::MolarFlow => "mol/s",
            Self::Amount => "mol",
            Self::Ratio => "1",
            Self::Speed => "m/s",
            Self::Irradiance => "W/m²",
            Self::Length => "m",
            Self::Power => "W",
            Self::Voltage => "V",
            Self::Current => "A",
            Self::Area => "m²",
            Self::VolumeFlow => "m³/s",
            Self::Energy => "J",
            Self::Irradiation => "J/m²",
            Self::Frequency => "Hz",
            Self::RotationalSpeed => "rad/s",
            Self::ReactivePower => "var",
            Self::ApparentPower => "VA",
            Self::Resistivity => "Ω·m",
        }
    }

    /// The name used in sentences, without an article.
    pub const fn name(self) -> &'static str {
        match self {
            Self::GaugePressure => "gauge pressure",
            Self::AbsolutePressure => "absolute pressure",
            Self::PressureDifference => "pressure difference",
            Self::Temperature => "temperature",
            Self::TemperatureDifference => "temperature difference",
            Self::Volume => "volume",
            Self::Duration => "duration",
            Self::Resistance => "resistance",
            Self::Angle => "angle",
            Self::Torque => "torque",
            Self::Mass => "mass",
            Self::MassDensity => "density",
            Self::MassFlow => "mass flow",
            Self::Leak => "leak rate",
            Self::MolarFlow => "standard flow",
            Self::Amount => "amount of gas",
            Self::Ratio => "ratio",
            Self::Speed => "speed",
            Self::Irradiance => "irradiance",
            Self::Length => "length",
            Self::Power => "power",
            Self::Voltage => "voltage",
            Self::Current => "current",
            Self::Area => "area",
            Self::VolumeFlow => "volume flow",
            Self::Energy => "energy",
            Self::Irradiation => "irradiation",
            Self::Frequency => "frequency",
            Self::RotationalSpeed => "rotational speed",
            Self::ReactivePower => "reactive power",
            Self::ApparentPower => "apparent power",
            Self::Resistivity => "resistivity",
        }
    }

    /// Whether the dimension is one of the three of pressure.
    pub const fn is_pressure(self) -> bool {
        matches!(self, Self::GaugePressure | Self::AbsolutePressure | Self::PressureDifference)
    }
}
