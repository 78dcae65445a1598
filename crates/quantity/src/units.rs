//! The table of units, as data: symbol, spellings, factor, source.
//!
//! A factor is kept as `scale / divisor` so that exact definitions stay exact. The source column
//! says where it comes from: `SI` for decimal multiples and what the SI brochure defines; `SP 811`
//! for factors of NIST SP 811 (2008) Appendix B, which are recomputed here from the exact
//! definitions (inch, pound, standard gravity, π) and compared in the tests with the printed
//! digits; `state` for a volume of gas at a stated state, from the exact molar gas constant.

use crate::{Dimension, Unit};

const SI: &str = "SI Brochure, 9th edition (2019)";
const SP811: &str = "NIST SP 811 (2008) App. B, recomputed from exact definitions";
const STATE: &str = "ideal gas at the stated state; R = 8.31446261815324 J/(mol·K), exact";

/// 1 lbf in newtons, over 1 in² in square metres: psi without rounding.
const POUND_FORCE: &str = "4.4482216152605";
const SQUARE_INCH: &str = "0.00064516";
/// π to 28 digits.
const PI: &str = "3.141592653589793238462643383";
/// R·T in J/mol at 0, 15, 20 and 25 °C.
const RT_0: &str = "2271.095464148575506";
const RT_15: &str = "2395.8124034208561060";
const RT_20: &str = "2437.3847165116223060";
const RT_25: &str = "2478.9570296023885060";

/// Every unit, dimension by dimension, the base unit of each first.
pub(crate) fn all() -> impl Iterator<Item = &'static Unit> {
    TABLES.iter().flat_map(|table| table.iter())
}

static TABLES: [&[Unit]; 9] =
    [GAUGE, ABSOLUTE, DIFFERENCE, TEMPERATURE, GAS, MECHANICS, ELECTRICITY, RATES, OTHERS];

/// One row: dimension, symbol, spellings, scale, divisor, source.
macro_rules! rows {
    ($($dimension:ident $symbol:literal [$($alias:literal),*] $scale:tt / $divisor:tt $(+ $offset:literal)? $source:ident;)*) => {
        &[$(Unit::row(
            Dimension::$dimension, $symbol, &[$($alias),*],
            ($scale, $divisor, rows!(@offset $($offset)?)), $source,
        )),*]
    };
    (@offset) => { "0" };
    (@offset $offset:literal) => { $offset };
}

/// The units of pressure once for each of its three dimensions: (g), (a), or neither.
///
/// The plain spelling stands in all three. It is the field that says which is meant; a field that
/// allows more than one refuses the plain spelling.
macro_rules! pressures {
    ($name:ident $dimension:ident $mark:literal [$($spelling:literal),*]) => {
        const $name: &[Unit] = pressures!(@table $dimension $mark [$($spelling),*]
            "Pa" "Pa" [] "1" / "1" SI;
            "bar" "bar" ["Bar", "BAR"] "100000" / "1" SP811;
            "mbar" "mbar" ["mb"] "100" / "1" SP811;
            "hPa" "hPa" ["hpa"] "100" / "1" SI;
            "kPa" "kPa" ["KPa", "kpa"] "1000" / "1" SI;
            "MPa" "MPa" [] "1000000" / "1" SI;
            "psi" "psi" ["PSI", "Psi", "lbf/in²"] POUND_FORCE / SQUARE_INCH SP811;
            "kgf/cm²" "kgf/cm²" ["kp/cm²", "kg/cm²", "kg/cm2", "kgf/cm2", "at"] "98066.5" / "1" SP811;
            "atm" "atm" [] "101325" / "1" SP811;
            "torr" "torr" ["Torr"] "101325" / "760" SP811;
            "mmHg" "mmHg" [] "133.322387415" / "1" SP811;
            "inHg" "inHg" [] "3386.388640341" / "1" SP811;
            "mmH₂O" "mmH2O" ["mmH₂O", "mmWC"] "9.80665" / "1" SP811;
            "inH₂O" "inH2O" ["inH₂O", "inWC"] "249.08891" / "1" SP811;
        );
    };
    (@table $dimension:ident $mark:literal $spellings:tt
        $($symbol:literal $stem:literal [$($alias:literal),*] $scale:tt / $divisor:tt $source:ident;)*) => {
        &[$(pressures!(@row $dimension $mark $spellings $symbol $stem [$($alias),*] $scale / $divisor $source)),*]
    };
    (@row $dimension:ident $mark:literal [$($spelling:literal),*] $symbol:literal $stem:literal
        [$($alias:literal),*] $scale:tt / $divisor:tt $source:ident) => {
        Unit::row(
            Dimension::$dimension,
            concat!($symbol, $mark),
            &[$stem, $($alias,)* $(concat!($stem, $spelling)),*],
            ($scale, $divisor, "0"),
            $source,
        )
    };
}

pressures!(GAUGE GaugePressure "(g)" ["(g)", "g", "(G)", "-g", "_g", " gauge", "(gauge)", "(e)"]);
pressures!(ABSOLUTE AbsolutePressure "(a)" ["(a)", "a", "(A)", "-a", "_a", " abs", " absolute", "(abs)"]);
pressures!(DIFFERENCE PressureDifference "" []);

const TEMPERATURE: &[Unit] = rows! {
    Temperature "K" ["kelvin"] "1" / "1" SI;
    Temperature "°C" ["C", "degC", "deg C", "celsius", "Celsius"] "1" / "1" + "273.15" SI;
    Temperature "°F" ["F", "degF", "deg F", "Fahrenheit"] "1" / "1.8" + "459.67" SP811;
    TemperatureDifference "K" ["kelvin", "Δ°C", "°C", "C", "ΔK"] "1" / "1" SI;
    TemperatureDifference "Δ°F" ["°F", "F"] "1" / "1.8" SP811;
};

const GAS: &[Unit] = rows! {
    Leak "Pa·m³/s" ["Pa·m3·s-1"] "1" / "1" SI;
    Leak "mbar·L/s" ["mbar·l·s-1", "mbar·l/s"] "0.1" / "1" SI;
    Leak "Pa·L/s" ["Pa·l/s"] "0.001" / "1" SI;
    Leak "torr·L/s" ["torr·l/s", "Torr·L/s"] "101.325" / "760" SP811;
    Leak "atm·cm³/s" ["atm·cc/s", "atm·cm3/s"] "0.101325" / "1" SP811;
    MolarFlow "mol/s" ["mol·s-1"] "1" / "1" SI;
    MolarFlow "std cm³/s (0 °C)" ["scc/s (0 °C)"] "0.101325" / RT_0 STATE;
    MolarFlow "std cm³/s (15 °C)" ["scc/s (15 °C)"] "0.101325" / RT_15 STATE;
    MolarFlow "std cm³/s (20 °C)" ["scc/s (20 °C)"] "0.101325" / RT_20 STATE;
    MolarFlow "std cm³/s (25 °C)" ["scc/s (25 °C)"] "0.101325" / RT_25 STATE;
    Amount "mol" [] "1" / "1" SI;
    Amount "L (0 °C, 101.325 kPa)" ["NL", "Nl"] "101.325" / RT_0 STATE;
    Amount "L (20 °C, 101.325 kPa)" [] "101.325" / RT_20 STATE;
    MassFlow "kg/s" [] "1" / "1" SI;
    MassFlow "kg/h" [] "1" / "3600" SI;
    MassFlow "g/h" [] "0.001" / "3600" SI;
    MassFlow "g/s" [] "0.001" / "1" SI;
    MassFlow "mg/s" [] "0.000001" / "1" SI;
    MassFlow "mg/h" [] "0.000001" / "3600" SI;
    MassFlow "g/d" ["g/day"] "0.001" / "86400" SI;
    MassFlow "kg/d" ["kg/day"] "1" / "86400" SI;
    MassFlow "lb/h" [] "0.45359237" / "3600" SP811;
    MassDensity "kg/m³" ["kg·m-3"] "1" / "1" SI;
    MassDensity "g/L" ["g/l", "g/dm³"] "1" / "1" SI;
    MassDensity "g/cm³" [] "1000" / "1" SI;
    MassDensity "lb/ft³" [] "0.45359237" / "0.028316846592" SP811;
};

const MECHANICS: &[Unit] = rows! {
    Volume "m³" [] "1" / "1" SI;
    Volume "L" ["l", "litre", "litres", "liter", "dm³"] "0.001" / "1" SI;
    Volume "mL" ["ml", "cm³", "cc"] "0.000001" / "1" SI;
    Volume "ft³" ["cuft"] "0.028316846592" / "1" SP811;
    Volume "in³" [] "0.000016387064" / "1" SP811;
    Volume "US gal" ["gal (US)"] "0.003785411784" / "1" SP811;
    Torque "N·m" ["N-m", "newton metre"] "1" / "1" SI;
    Torque "kN·m" [] "1000" / "1" SI;
    Torque "cN·m" [] "0.01" / "1" SI;
    Torque "lbf·ft" ["ft·lbf", "ft-lbf", "lb·ft", "ft·lb", "ft-lb", "lb-ft", "lbf-ft"] "1.3558179483314004" / "1" SP811;
    Torque "lbf·in" ["in·lbf", "in-lbf", "lb·in", "in·lb", "in-lb", "lb-in", "lbf-in"] "0.1129848290276167" / "1" SP811;
    Torque "kgf·m" ["kp·m"] "9.80665" / "1" SP811;
    Torque "ozf·in" [] "0.00706155181422604375" / "1" SP811;
    Mass "kg" [] "1" / "1" SI;
    Mass "g" [] "0.001" / "1" SI;
    Mass "mg" [] "0.000001" / "1" SI;
    Mass "t" [] "1000" / "1" SI;
    Mass "lb" ["lbm", "lbs"] "0.45359237" / "1" SP811;
    Mass "oz" [] "0.028349523125" / "1" SP811;
    Length "m" [] "1" / "1" SI;
    Length "mm" [] "0.001" / "1" SI;
    Length "cm" [] "0.01" / "1" SI;
    Length "µm" ["um"] "0.000001" / "1" SI;
    Length "km" [] "1000" / "1" SI;
    Length "in" ["inch", "\""] "0.0254" / "1" SP811;
    Length "ft" ["'"] "0.3048" / "1" SP811;
    Speed "m/s" ["m·s-1"] "1" / "1" SI;
    Speed "km/h" ["kph", "kmh"] "1" / "3.6" SI;
    Speed "kn" ["kt", "kts", "knot", "knots"] "1852" / "3600" SP811;
    Speed "mile/h" ["mph", "mi/h"] "0.44704" / "1" SP811;
    Speed "ft/s" [] "0.3048" / "1" SP811;
    Power "W" [] "1" / "1" SI;
    Power "mW" [] "0.001" / "1" SI;
    Power "kW" [] "1000" / "1" SI;
    Power "MW" [] "1000000" / "1" SI;
    Power "Btu/h" ["Btu(IT)/h"] "1055.05585262" / "3600" SP811;
    Power "hp" [] "745.69987158227022" / "1" SP811;
    Power "metric hp" ["PS", "hp (metric)"] "735.49875" / "1" SP811;
};

const ELECTRICITY: &[Unit] = rows! {
    Resistance "Ω" ["ohm", "Ohm", "ohms", "R"] "1" / "1" SI;
    Resistance "µΩ" ["uohm", "uΩ"] "0.000001" / "1" SI;
    Resistance "mΩ" ["mohm"] "0.001" / "1" SI;
    Resistance "kΩ" ["kohm", "kOhm", "KΩ"] "1000" / "1" SI;
    Resistance "MΩ" ["Mohm", "MOhm", "megohm"] "1000000" / "1" SI;
    Resistance "GΩ" ["Gohm", "GOhm"] "1000000000" / "1" SI;
    Resistance "TΩ" ["Tohm", "TOhm"] "1000000000000" / "1" SI;
    Voltage "V" ["volt", "Vac", "Vdc", "V AC", "V DC"] "1" / "1" SI;
    Voltage "µV" ["uV"] "0.000001" / "1" SI;
    Voltage "mV" [] "0.001" / "1" SI;
    Voltage "kV" [] "1000" / "1" SI;
    Current "A" ["amp", "Aac", "Adc"] "1" / "1" SI;
    Current "µA" ["uA"] "0.000001" / "1" SI;
    Current "mA" [] "0.001" / "1" SI;
    Current "kA" [] "1000" / "1" SI;
};

const RATES: &[Unit] = rows! {
    Area "m²" ["sq m"] "1" / "1" SI;
    Area "cm²" [] "0.0001" / "1" SI;
    Area "mm²" [] "0.000001" / "1" SI;
    Area "ft²" ["sq ft"] "0.09290304" / "1" SP811;
    Area "in²" ["sq in"] "0.00064516" / "1" SP811;
    VolumeFlow "m³/s" [] "1" / "1" SI;
    VolumeFlow "m³/h" [] "1" / "3600" SI;
    VolumeFlow "L/s" ["l/s"] "0.001" / "1" SI;
    VolumeFlow "m³/min" [] "1" / "60" SI;
    VolumeFlow "mL/min" ["ml/min", "cm³/min"] "0.000001" / "60" SI;
    VolumeFlow "cm³/s" ["mL/s", "ml/s"] "0.000001" / "1" SI;
    VolumeFlow "ft³/h" ["cfh"] "0.028316846592" / "3600" SP811;
    VolumeFlow "L/min" ["l/min", "lpm"] "0.001" / "60" SI;
    VolumeFlow "ft³/min" ["cfm", "ft³/m"] "0.028316846592" / "60" SP811;
    VolumeFlow "US gal/min" ["gpm (US)"] "0.003785411784" / "60" SP811;
    Energy "J" [] "1" / "1" SI;
    Energy "kJ" [] "1000" / "1" SI;
    Energy "MJ" [] "1000000" / "1" SI;
    Energy "Wh" [] "3600" / "1" SI;
    Energy "kWh" [] "3600000" / "1" SI;
    Energy "MWh" [] "3600000000" / "1" SI;
    Energy "Btu" ["Btu(IT)"] "1055.05585262" / "1" SP811;
    Irradiation "J/m²" [] "1" / "1" SI;
    Irradiation "kJ/m²" [] "1000" / "1" SI;
    Irradiation "MJ/m²" [] "1000000" / "1" SI;
    Irradiation "Wh/m²" [] "3600" / "1" SI;
    Irradiation "kWh/m²" [] "3600000" / "1" SI;
    Irradiation "langley" ["Ly", "cal/cm²"] "41840" / "1" SP811;
    Frequency "Hz" ["hz"] "1" / "1" SI;
    Frequency "kHz" [] "1000" / "1" SI;
    RotationalSpeed "rad/s" [] "1" / "1" SI;
    RotationalSpeed "r/min" ["rpm", "RPM", "1/min"] PI / "30" SI;
    RotationalSpeed "°/s" ["deg/s"] PI / "180" SP811;
    ReactivePower "var" ["VAr", "VAR"] "1" / "1" SI;
    ReactivePower "kvar" ["kVAr", "kVAR"] "1000" / "1" SI;
    ApparentPower "VA" [] "1" / "1" SI;
    ApparentPower "kVA" [] "1000" / "1" SI;
    Resistivity "Ω·m" ["ohm m", "Ohm m", "ohm-m"] "1" / "1" SI;
    Resistivity "Ω·cm" ["ohm cm", "Ohm cm"] "0.01" / "1" SI;
};

const OTHERS: &[Unit] = rows! {
    Duration "s" ["sec", "second", "seconds"] "1" / "1" SI;
    Duration "ms" [] "0.001" / "1" SI;
    Duration "min" ["minute", "minutes"] "60" / "1" SI;
    Duration "h" ["hr", "hrs", "hour", "hours"] "3600" / "1" SI;
    Duration "d" ["day", "days"] "86400" / "1" SI;
    Angle "rad" [] "1" / "1" SI;
    Angle "mrad" [] "0.001" / "1" SI;
    Angle "µrad" ["urad"] "0.000001" / "1" SI;
    Angle "°" ["deg", "degree", "degrees"] PI / "180" SP811;
    Angle "′" ["'", "arcmin"] PI / "10800" SP811;
    Angle "″" ["\"", "arcsec"] PI / "648000" SP811;
    Angle "mil" ["mil (6400)"] PI / "3200" SP811;
    Ratio "1" [] "1" / "1" SI;
    Ratio "%" ["percent", "per cent", "pct"] "0.01" / "1" SI;
    Ratio "‰" [] "0.001" / "1" SI;
    Ratio "ppm" [] "0.000001" / "1" SI;
    Irradiance "W/m²" ["W·m-2"] "1" / "1" SI;
    Irradiance "kW/m²" ["kW·m-2"] "1000" / "1" SI;
    Irradiance "W/cm²" [] "10000" / "1" SI;
    Irradiance "Btu/(h·ft²)" ["Btu/h/ft²", "Btu/h·ft²", "Btu(IT)/(h·ft²)"] "1055.05585262" / "334.4509440" SP811;
    Irradiance "ly/min" ["cal/(cm²·min)"] "41840" / "60" SP811;
};
