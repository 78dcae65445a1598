//! What must hold for every circuit.

use acceptance::pressure_decay::{Decay, decay};
use acceptance::{Gas, State};
use proptest::prelude::*;
use quantity::{Duration, Temperature, Volume};

use crate::table::state;

const HOLD: f64 = 43_200.0;

fn any_gas() -> impl Strategy<Value = Gas> {
    proptest::sample::select(vec![Gas::Hydrogen, Gas::Helium, Gas::Nitrogen])
}

/// A state within the range of every equation.
fn any_state() -> impl Strategy<Value = State> {
    (0.5_f64..24.0, 232.0_f64..398.0).prop_map(|(mpa, kelvins)| state(mpa, kelvins))
}

fn run(gas: Gas, start: State, end: State, litres: f64, seconds: f64) -> Decay {
    let volume = Volume::from_cubic_metres(litres / 1000.0);
    decay(gas, start, end, volume, Duration::from_seconds(seconds)).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// A lower end pressure is a larger loss.
    #[test]
    fn falls_with_end_pressure(gas in any_gas(), start in any_state(), end in any_state(), less in 0.001_f64..0.4) {
        let mut lower = end;
        lower.pressure = quantity::AbsolutePressure::from_pascals(end.pressure.pascals() - less * 1e6);
        let loss = |end| run(gas, start, end, 12.4, HOLD).loss();
        prop_assert!(loss(lower) > loss(end));
    }

    /// The same pressure at a warmer end is a larger loss.
    #[test]
    fn rises_with_end_temperature(gas in any_gas(), start in any_state(), end in any_state(), warmer in 0.01_f64..2.0) {
        let mut hot = end;
        hot.temperature = Temperature::from_kelvins(end.temperature.kelvins() + warmer);
        let loss = |end| run(gas, start, end, 12.4, HOLD).loss();
        prop_assert!(loss(hot) > loss(end));
    }

    /// Start and end exchanged: the mass lost changes its sign, and what was left becomes its inverse.
    #[test]
    fn exchange_of_start_and_end(gas in any_gas(), start in any_state(), end in any_state()) {
        let forth = run(gas, start, end, 12.4, HOLD);
        let back = run(gas, end, start, 12.4, HOLD);
        prop_assert!((forth.mass_lost().kilograms() + back.mass_lost().kilograms()).abs() < 1e-15);
        prop_assert!((forth.remaining().fraction() * back.remaining().fraction() - 1.0).abs() < 1e-12);
    }

    /// Twice the volume: twice the mass, the same loss. Twice the time: half the flow.
    #[test]
    fn scaling(gas in any_gas(), start in any_state(), end in any_state(), factor in 0.1_f64..10.0) {
        let one = run(gas, start, end, 12.4, HOLD);
        let larger = run(gas, start, end, 12.4 * factor, HOLD);
        let longer = run(gas, start, end, 12.4, HOLD * factor);
        let same = |a: f64, b: f64| (a - b).abs() <= 1e-12 * (a.abs() + b.abs()).max(1e-12);
        prop_assert!(same(larger.mass_lost().kilograms(), factor * one.mass_lost().kilograms()));
        prop_assert_eq!(larger.loss(), one.loss());
        prop_assert!(same(longer.mass_flow().kilograms_per_second() * factor, one.mass_flow().kilograms_per_second()));
        let base = Duration::from_seconds(HOLD);
        prop_assert!(same(longer.loss_per(base).fraction() * factor, one.loss().fraction()));
    }

    /// A circuit at its own tight pressure has lost nothing.
    #[test]
    fn tight_is_tight(gas in any_gas(), mpa in 0.5_f64..10.0, from in 232.0_f64..398.0, kelvins in 232.0_f64..398.0) {
        let start = state(mpa, from);
        let density = gas.equation().density(start);
        let Some(pressure) = gas.equation().pressure_at(density, Temperature::from_kelvins(kelvins)) else {
            return Err(TestCaseError::fail("no tight pressure"));
        };
        let end = State { pressure, temperature: Temperature::from_kelvins(kelvins) };
        if gas.equation().holds(end) {
            prop_assert!(run(gas, start, end, 12.4, HOLD).loss().fraction().abs() < 1e-10);
        }
    }

    /// No text in any field makes the calculation panic.
    #[test]
    fn no_text_makes_it_panic(text in any::<String>(), place in 0_usize..8) {
        let paths = [
            "/volume", "/start/gauge_pressure", "/start/barometer", "/end/temperature", "/elapsed",
            "/limit/loss", "/uncertainty/gauge_scale/value", "/required_hold",
        ];
        let mut input = crate::decay_cases::circuit();
        *input.pointer_mut(paths[place]).unwrap() = serde_json::Value::String(text);
        let _ = acceptance::calculation("pressure-decay").unwrap().run(&input);
    }
}
