//! Pressure decay against worked cases from outside.

use acceptance::pressure_decay::decay;
use acceptance::{Gas, Sheet, Verdict};
use quantity::{Duration, MassFlow, PressureDifference, Ratio, Temperature, Volume};
use serde_json::{Value, json};

use crate::table::{close, gas, number, rows, state};

/// The circuit test of the site story, to be changed by each test.
pub(crate) fn circuit() -> Value {
    json!({
        "gas": "helium",
        "volume": "12.4 L",
        "start": {"gauge_pressure": "110.0 bar", "barometer": "862 hPa", "temperature": "24.0 °C"},
        "end": {"gauge_pressure": "104.7 bar", "barometer": "862 hPa", "temperature": "12.0 °C"},
        "elapsed": "12 h",
        "required_hold": "12 h",
        "limit": {"loss": "1.0 %", "per": "12 h"},
        "rule": "simple",
        "uncertainty": {
            "gauge_scale": {"value": "0.25 bar", "distribution": "rectangular"},
            "temperature": {"value": "0.15 K", "distribution": "rectangular"},
            "barometer": {"value": "0.5 hPa", "distribution": "rectangular"},
            "volume": {"value": "0.1 L", "distribution": "rectangular"}
        }
    })
}

/// Runs the calculation by its name.
pub(crate) fn run(input: &Value) -> Sheet {
    acceptance::calculation("pressure-decay").unwrap().run(input).unwrap()
}

/// The value of a result.
pub(crate) fn value(sheet: &Sheet, name: &str) -> f64 {
    sheet.result(name).unwrap().value.parse().unwrap()
}

#[test]
fn three_attempts_in_three_gases() {
    for row in rows("circuit_tests.csv") {
        let mut input = circuit();
        input["gas"] = json!(row[0]);
        input["start"]["gauge_pressure"] = json!(format!("{} bar(g)", row[1]));
        input["start"]["temperature"] = json!(format!("{} °C", row[2]));
        input["end"]["gauge_pressure"] = json!(format!("{} bar(g)", row[3]));
        input["end"]["temperature"] = json!(format!("{} °C", row[4]));
        let sheet = run(&input);
        assert_eq!(sheet.result("loss_scaled").unwrap().value, row[5], "{row:?}");
        let verdict = serde_json::to_value(sheet.verdict).unwrap();
        assert_eq!(verdict, json!(row[6]), "{row:?}: {}", sheet.reason);
    }
}

/// The first attempt lost 48 normal litres; the third shows 0.77 % by the ideal gas law.
#[test]
fn numbers_beside_the_loss() {
    let mut first = circuit();
    first["start"]["gauge_pressure"] = json!("110,2 bar");
    first["start"]["temperature"] = json!("19.4 °C");
    first["end"]["gauge_pressure"] = json!("103.1 bar");
    first["end"]["temperature"] = json!("12.6 °C");
    assert!((value(&run(&first), "normal_litres") - 48.0).abs() < 0.5);
    let third = run(&circuit());
    let ideal = third.working.iter().find(|line| line.symbol == "L_ideal").unwrap();
    assert!((ideal.value.parse::<f64>().unwrap() - 0.77).abs() < 0.005);
    assert_eq!(third.result("drop").unwrap().value, "4.8");
}

/// A circuit in the night when the clocks jump: 0.13 % in 11 h (site story, helium).
#[test]
fn the_short_night() {
    let mut input = circuit();
    input["start"]["gauge_pressure"] = json!("110.4 bar");
    input["start"]["temperature"] = json!("21.0 °C");
    input["end"]["gauge_pressure"] = json!("106.9 bar");
    input["end"]["temperature"] = json!("12.1 °C");
    input["elapsed"] = json!("11 h");
    let sheet = run(&input);
    assert_eq!(sheet.result("loss").unwrap().value, "0.13");
    assert_eq!(sheet.verdict, Verdict::NotJudged);
}

#[test]
fn leaks_of_hydrogen() {
    let volume = Volume::from_cubic_metres(0.010);
    for row in rows("leaks.csv") {
        let n = |column: usize| number(&row[column]);
        let elapsed = Duration::from_seconds(n(5) * 3600.0);
        let (start, end) = (state(n(1), n(2)), state(n(3), n(4)));
        let got = decay(Gas::Hydrogen, start, end, volume, elapsed).unwrap();
        let close = |got: f64, column: usize| close(got, n(column), n(11), &format!("{row:?}"));
        close(got.mass_lost().kilograms(), 6);
        close(got.mass_flow().kilograms_per_second(), 7);
        let leak =
            |kelvins| got.leak(Temperature::from_kelvins(kelvins)).pascal_cubic_metres_per_second();
        close(leak(293.15), 8);
        close(leak(273.15) / 0.101_325, 9);
        let ideal = got.ideal_loss().fraction() * ideal_mass(n(1), n(2));
        let error = 100.0 * (ideal / got.mass_lost().kilograms() - 1.0);
        assert!((error - n(10)).abs() < 0.5, "{row:?}: {error}");
    }
}

/// Contents of 10 L by the ideal gas law.
fn ideal_mass(megapascals: f64, kelvins: f64) -> f64 {
    0.010 * megapascals * 1e6 * 2.015_88e-3 / (8.314_472 * kelvins)
}

/// 40 CFR 1065.644: a vacuum of 2.00 L that rises from 25.3 to 50.6 kPa in 70 s takes in
/// 0.00030 mol/s; recomputed 2.965705e-4. Nitrogen at these pressures is ideal within 2e-4.
#[test]
fn the_regulation_s_example() {
    let volume = Volume::from_cubic_metres(0.002_00);
    let (start, end) = (state(0.025_3, 293.15), state(0.050_6, 293.15));
    let got = decay(Gas::Nitrogen, start, end, volume, Duration::from_seconds(70.0)).unwrap();
    let flow = -got.molar_flow().moles_per_second();
    close(flow, 2.965_705e-4, 3e-4, "mol/s");
    assert_eq!(format!("{flow:.5}"), "0.00030");
}

#[test]
fn shortest_times() {
    let volume = Volume::from_cubic_metres(0.010);
    let at = state(15.0, 293.15);
    let any = decay(Gas::Hydrogen, at, at, volume, Duration::from_seconds(1.0)).unwrap();
    for row in rows("shortest_times.csv") {
        // 1 Pa·m³/s at 20 °C is 8.270668e-7 kg/s of hydrogen.
        let limit = MassFlow::from_kilograms_per_second(number(&row[1]) * 8.270_668e-7);
        let step = PressureDifference::from_pascals(number(&row[0]) * 1e6);
        let got = any.shortest_time(step, limit, Ratio::from_fraction(10.0)).seconds();
        close(got, number(&row[2]), 2e-6, &format!("{row:?}"));
    }
}

/// Case A typed with its instruments: u(Δm) = 3.277e-5 kg by `uncertainties` 3.2.3 (first order)
/// and 3.276e-5 by Monte Carlo; u(ṁ) = 3.793e-10 kg/s; relative 4.74 %.
pub(crate) fn case_a() -> Value {
    json!({
        "gas": "hydrogen",
        "volume": "10.0 L",
        "start": {"absolute_pressure": "15.000 MPa(a)", "temperature": "293.1500 K"},
        "end": {"absolute_pressure": "14.900 MPa(a)", "temperature": "293.1500 K"},
        "elapsed": "24 h",
        "required_hold": "24 h",
        "limit": {"loss": "2.0 %", "per": "24 h"},
        "rule": "simple",
        "uncertainty": {
            "gauge_scale": {"value": "0 bar", "distribution": "standard"},
            "temperature": {"value": "0.1 K", "distribution": "rectangular"},
            "volume": {"value": "0.2 L", "distribution": "standard"}
        }
    })
}

#[test]
fn uncertainty_of_case_a() {
    let sheet = run(&case_a());
    let mass = sheet.result("mass_lost").unwrap();
    assert_eq!(mass.value, "6.910e-4");
    assert_eq!(mass.standard_uncertainty.as_deref(), Some("3.277e-5"));
    let flow: f64 =
        sheet.result("mass_flow").unwrap().standard_uncertainty.clone().unwrap().parse().unwrap();
    close(flow, 3.793e-10, 3e-3, "u(ṁ)");
    assert_eq!(sheet.verdict, Verdict::Pass, "{}", sheet.reason);
    // Shares of u²(Δm) by `uncertainties`: temperature 82 %, volume 18 %, pressure below 1 %.
    let share = |part: &str| -> f64 {
        let lines = sheet.doubt.iter().filter(|line| line.source.contains(part));
        lines.map(|line| line.share_of_mass.clone().unwrap().parse::<f64>().unwrap()).sum()
    };
    assert!((share("temperature") - 82.0).abs() < 0.7, "{}", share("temperature"));
    assert!((share("volume") - 18.0).abs() < 0.7, "{}", share("volume"));
    assert!(share("gauge") < 1.0);
}

/// A scale error of 0.25 % common to both readings alters the mass lost of case A by 0.20 %; the
/// same error in one reading alone would alter it to 4.33e-4 kg. Recomputed in Python.
#[test]
fn a_common_scale_error_nearly_cancels() {
    let mut input = case_a();
    input["uncertainty"] = json!({
        "gauge_scale": {"value": "0.25 %", "distribution": "standard"},
        "gauge_resolution": "0 bar",
        "temperature": {"value": "0 K", "distribution": "standard"},
        "volume": {"value": "0 L", "distribution": "standard"}
    });
    for end in ["start", "end"] {
        input[end]["temperature"] = json!("293.150000000 K");
    }
    let sheet = run(&input);
    let u: f64 =
        sheet.result("mass_lost").unwrap().standard_uncertainty.clone().unwrap().parse().unwrap();
    close(u / 6.909_635e-4, 0.0020, 0.03, "common");
    input["uncertainty"]["gauge_scale"]["value"] = json!("0 %");
    input["uncertainty"]["gauge_repeatability"] =
        json!({"value": "0.375 bar", "distribution": "standard"});
    let sheet = run(&input);
    let u: f64 =
        sheet.result("mass_lost").unwrap().standard_uncertainty.clone().unwrap().parse().unwrap();
    // Two independent readings: √2 times the change of one.
    close(u, 2.0_f64.sqrt() * (6.909_6e-4 - 4.33e-4), 0.01, "each alone");
}

/// Shortest holds of case A as results: a limit of 2 % of 0.11355941 kg in 24 h, 0.001 MPa steps,
/// 2008 equation: 10·V·∂ρ/∂p·δ/ṁ = 10·0.010·0.690546·0.001/ṁ, and 4·U(Δm)/ṁ with u 3.277e-5 kg, by
/// hand; the ratios 10 and 4 are those of ASTM E2930-13(2021) 5.1.
#[test]
fn shortest_holds_are_results() {
    let limit = 0.02 * 0.113_559_41 / 24.0;
    let sheet = run(&case_a());
    close(value(&sheet, "shortest_hold_display"), 10.0 * 0.010 * 0.690_546e-3 / limit, 1e-3, "δ");
    close(value(&sheet, "shortest_hold_accuracy"), 8.0 * 3.277e-5 / limit, 1e-3, "4U");
}

/// A gas must be named: the same readings in three gases differ by more than the limit's half.
#[test]
fn the_gas_decides() {
    let loss = |name: &str| {
        let mut input = circuit();
        input["gas"] = json!(name);
        value(&run(&input), "loss_scaled")
    };
    assert!(loss("helium") - loss("nitrogen") > 0.5);
    assert_eq!(gas("helium"), Gas::Helium);
}
