//! One type a quantity, in SI, for calculations: a pascal is never taken for a kelvin.
//!
//! These hold binary floats for computing with. Records keep the decimals of `Reading` instead.

use std::ops::{Add, Sub};

use rust_decimal::prelude::ToPrimitive;

use crate::{Bound, Dimension, Reading, Unusable};

/// A quantity that holds its value in the coherent SI unit.
pub trait Si: Copy + PartialOrd {
    /// What it measures.
    const DIMENSION: Dimension;

    /// Makes the quantity from its value in the coherent SI unit.
    fn from_si(value: f64) -> Self;

    /// The value in the coherent SI unit.
    fn si(self) -> f64;

    /// Takes the value of a reading.
    ///
    /// # Errors
    /// Refuses a reading of another dimension, and one that is only a bound.
    fn from_reading(reading: &Reading) -> Result<Self, Unusable> {
        if reading.dimension() != Self::DIMENSION {
            return Err(Unusable::Dimension {
                text: reading.text().to_owned(),
                found: reading.dimension().name(),
                wanted: Self::DIMENSION.name(),
            });
        }
        if reading.bound() != Bound::Exact {
            return Err(Unusable::Bound { text: reading.text().to_owned() });
        }
        // A Decimal is always in the range of f64; NaN would fail every comparison made with it.
        Ok(Self::from_si(reading.base().to_f64().unwrap_or(f64::NAN)))
    }
}

macro_rules! si {
    ($($(#[$doc:meta])* $name:ident $from:ident $get:ident $unit:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("Makes it from ", $unit, ".")]
            pub const fn $from(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("The value in ", $unit, ".")]
            pub const fn $get(self) -> f64 {
                self.0
            }
        }

        impl Si for $name {
            const DIMENSION: Dimension = Dimension::$name;

            fn from_si(value: f64) -> Self {
                Self(value)
            }

            fn si(self) -> f64 {
                self.0
            }
        }
    )*};
}

si! {
    /// Pressure above the surrounding air.
    GaugePressure from_pascals pascals "Pa above the surrounding air";
    /// Pressure above vacuum.
    AbsolutePressure from_pascals pascals "Pa above vacuum";
    /// A difference of pressures.
    PressureDifference from_pascals pascals "Pa";
    /// Thermodynamic temperature.
    Temperature from_kelvins kelvins "K";
    /// A difference of temperatures.
    TemperatureDifference from_kelvins kelvins "K";
    /// Volume.
    Volume from_cubic_metres cubic_metres "m³";
    /// Elapsed time.
    Duration from_seconds seconds "s";
    /// Electrical resistance.
    Resistance from_ohms ohms "Ω";
    /// Plane angle.
    Angle from_radians radians "rad";
    /// Torque.
    Torque from_newton_metres newton_metres "N·m";
    /// Mass.
    Mass from_kilograms kilograms "kg";
    /// Mass of a unit of volume.
    MassDensity from_kilograms_per_cubic_metre kilograms_per_cubic_metre "kg/m³";
    /// Mass of a unit of time.
    MassFlow from_kilograms_per_second kilograms_per_second "kg/s";
    /// Leak as pressure times volume of a unit of time; its temperature must be said beside it.
    Leak from_pascal_cubic_metres_per_second pascal_cubic_metres_per_second "Pa·m³/s";
    /// Leak as amount of a unit of time.
    MolarFlow from_moles_per_second moles_per_second "mol/s";
    /// Amount of substance.
    Amount from_moles moles "mol";
    /// A ratio.
    Ratio from_fraction fraction "1 (0.01 for 1 %)";
    /// Speed.
    Speed from_metres_per_second metres_per_second "m/s";
    /// Power of light on a unit of area.
    Irradiance from_watts_per_square_metre watts_per_square_metre "W/m²";
    /// Length.
    Length from_metres metres "m";
    /// Power.
    Power from_watts watts "W";
    /// Voltage.
    Voltage from_volts volts "V";
    /// Electric current.
    Current from_amperes amperes "A";
    /// Area.
    Area from_square_metres square_metres "m²";
    /// Volume of a unit of time.
    VolumeFlow from_cubic_metres_per_second cubic_metres_per_second "m³/s";
    /// Energy.
    Energy from_joules joules "J";
    /// Energy of light on a unit of area.
    Irradiation from_joules_per_square_metre joules_per_square_metre "J/m²";
    /// Periods of a unit of time.
    Frequency from_hertz hertz "Hz";
    /// Turns of a unit of time, as an angle.
    RotationalSpeed from_radians_per_second radians_per_second "rad/s";
    /// Reactive power.
    ReactivePower from_vars vars "var";
    /// Apparent power.
    ApparentPower from_volt_amperes volt_amperes "VA";
    /// Electrical resistivity.
    Resistivity from_ohm_metres ohm_metres "Ω·m";
}

/// A gauge reading and the barometer at the same time make an absolute pressure.
impl Add<AbsolutePressure> for GaugePressure {
    type Output = AbsolutePressure;

    fn add(self, barometer: AbsolutePressure) -> AbsolutePressure {
        AbsolutePressure(self.0 + barometer.0)
    }
}

impl Sub for AbsolutePressure {
    type Output = PressureDifference;

    fn sub(self, other: Self) -> PressureDifference {
        PressureDifference(self.0 - other.0)
    }
}

impl Sub for Temperature {
    type Output = TemperatureDifference;

    fn sub(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}
