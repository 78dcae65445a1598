//! What IEEE Std 43-2013 and IEC 60364-6 say, as entries to choose from; from memory of both.

use super::input::{Insulation, ThermalClass, Winding};

pub(super) const IEEE_43: &str = "IEEE Std 43-2013, from memory";
pub(super) const IEC_60364_6: &str = "IEC 60364-6:2016, table of minimum values, from memory";
pub(super) const DEW: &str = "Magnus' formula, constants of Alduchov and Eskridge (1996)";

/// The temperatures in °C for which the correction formulas are meant.
pub(super) const RANGE: (f64, f64) = (10.0, 85.0);
/// The one-minute reading in Ω above which the standard doesn't ask for a polarisation index.
pub(super) const PI_CEILING: f64 = 5000e6;

/// K_T and its formula; none where nothing is corrected.
pub(super) fn correction(insulation: Insulation, celsius: f64) -> Option<(f64, &'static str)> {
    let steep = |slope: f64| libm::exp(-slope * (1.0 / (celsius + 273.0) - 1.0 / 313.0));
    match insulation {
        Insulation::Thermoplastic => {
            Some((libm::pow(0.5, (40.0 - celsius) / 10.0), "K_T = 0.5^((40 − T)/10)"))
        }
        Insulation::Thermosetting if celsius <= 40.0 => {
            Some((steep(1245.0), "K_T = exp(−1245·(1/(T + 273) − 1/313))"))
        }
        Insulation::Thermosetting => {
            Some((steep(4230.0), "K_T = exp(−4230·(1/(T + 273) − 1/313))"))
        }
        Insulation::AsMeasured => None,
    }
}

/// The least resistance in Ω that a standard names for a kind of winding, with the rule; the rated
/// voltage in V where it depends on it.
pub(super) fn minimum(
    winding: Winding,
    rated: Option<f64>,
) -> Option<(f64, &'static str, &'static str)> {
    match winding {
        Winding::Before1970OrField => rated.map(|volts| {
            ((volts / 1000.0 + 1.0) * 1e6, "kV + 1 MΩ, at 40 °C after one minute", IEEE_43)
        }),
        Winding::FormWound => Some((100e6, "100 MΩ, at 40 °C after one minute", IEEE_43)),
        Winding::RandomWoundOrBelow1Kv => Some((5e6, "5 MΩ, at 40 °C after one minute", IEEE_43)),
        Winding::LowVoltageCircuit => Some((1e6, "1 MΩ, as measured", IEC_60364_6)),
    }
}

/// The least polarisation index of a thermal class.
pub(super) const fn least_index(class: ThermalClass) -> f64 {
    match class {
        ThermalClass::Class105 => 1.5,
        ThermalClass::Class130AndUp => 2.0,
    }
}

/// The test voltages in V that a standard names for a rated voltage in V.
pub(super) fn test_voltages(cable: bool, rated: f64) -> (f64, f64) {
    match rated {
        _ if cable && rated <= 500.0 => (500.0, 500.0),
        _ if cable => (1000.0, 1000.0),
        _ if rated < 1000.0 => (500.0, 500.0),
        _ if rated <= 2500.0 => (500.0, 1000.0),
        _ if rated <= 5000.0 => (1000.0, 2500.0),
        _ if rated <= 12_000.0 => (2500.0, 5000.0),
        _ => (5000.0, 10_000.0),
    }
}

/// The dew point in °C of air at a temperature in °C and a relative humidity above zero.
pub(super) fn dew_point(celsius: f64, humidity: f64) -> f64 {
    let gamma = libm::log(humidity) + 17.625 * celsius / (243.04 + celsius);
    243.04 * gamma / (17.625 - gamma)
}
