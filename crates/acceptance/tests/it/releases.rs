//! Releases against gas tables, CoolProp's real gas and SciPy's integrator.

use acceptance::{Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{line, result, run};
use crate::table::{close, number, rows};

fn example(name: &str) -> Value {
    let examples = calculation("gas-release").unwrap().examples();
    serde_json::from_str(examples.iter().find(|e| e.name == name).unwrap().text).unwrap()
}

fn refused(input: &Value) -> (String, String) {
    let refusal = calculation("gas-release").unwrap().run(input).unwrap_err();
    (refusal.code, refusal.field)
}

/// A release at an absolute pressure in MPa and kelvins, through 1 mm² with C_d 1, air at 101.325 kPa.
fn release(gas: &str, megapascals: f64, kelvins: f64) -> Value {
    json!({
        "gas": gas, "absolute_pressure": format!("{megapascals} MPa"), "barometer": "101.325 kPa",
        "temperature": format!("{kelvins} K"), "ambient_temperature": "20 °C",
        "hole_area": "1 mm²", "discharge_coefficient": "1",
    })
}

#[test]
fn releases_of_the_table() {
    for row in rows("releases.csv") {
        let mut input = release(&row[1], number(&row[2]), number(&row[3]));
        input["barometer"] = json!(format!("{} kPa", row[4]));
        input["discharge_coefficient"] = json!(row[7]);
        if row[6].is_empty() {
            input["hole_area"] = json!(format!("{} mm²", row[5]));
        } else {
            input.as_object_mut().unwrap().remove("hole_area");
            input["hole_diameter"] = json!(format!("{} mm", row[6]));
        }
        if !row[8].is_empty() {
            input["heat_capacity_ratio"] = json!(row[8]);
        }
        let sheet = run("gas-release", &input);
        let tolerance = number(&row[11]);
        close(result(&sheet, "mass_flow"), number(&row[9]), tolerance, &row[0]);
        if !row[10].is_empty() {
            close(result(&sheet, "volume_flow"), number(&row[10]), tolerance, &row[0]);
        }
    }
}

/// Ratios of pressures at which flows choke: 1.8959 for γ 1.405, 1.8990 for 1.41, 2.053 for 5/3,
/// 1.893 for 1.4 (gas tables, from memory: p*/p0 = 0.5283).
#[test]
fn where_flows_choke() {
    for (ratio, critical) in
        [("1.405", 1.8959), ("1.41", 1.8990), ("1.6666667", 2.0528), ("1.4", 1.0 / 0.528_28)]
    {
        let mut input = release("hydrogen", 1.0, 293.15);
        input["heat_capacity_ratio"] = json!(ratio);
        close(result(&run("gas-release", &input), "critical_ratio"), critical, 3e-5, ratio);
    }
}

/// Z = 1 against real-gas isentropic flow on a grid; with the allowance never low.
#[test]
fn against_real_gas_flow() {
    let mut cases = Vec::new();
    for gas in ["hydrogen", "helium", "nitrogen"] {
        for kelvins in [233.0, 253.0, 273.15, 293.15, 323.15, 353.0] {
            for megapascals in [0.3, 1.0, 3.0, 5.0, 10.0, 15.0, 20.0] {
                let sheet = run("gas-release", &release(gas, megapascals, kelvins));
                let ratio = result(&sheet, "volume_flow_high") / result(&sheet, "volume_flow");
                let flux = result(&sheet, "mass_flow") * 1e6;
                cases.push(json!({
                    "kind": "flow", "gas": gas, "megapascals": megapascals, "kelvins": kelvins,
                    "air_pascals": 101_325.0, "flux": flux, "high": flux * ratio,
                }));
            }
        }
        // Not choked.
        let sheet = run("gas-release", &release(gas, 0.15, 293.15));
        let flux = result(&sheet, "mass_flow") * 1e6;
        let ratio = result(&sheet, "volume_flow_high") / result(&sheet, "volume_flow");
        cases.push(json!({
            "kind": "flow", "gas": gas, "megapascals": 0.15, "kelvins": 293.15,
            "air_pascals": 101_325.0, "flux": flux, "high": flux * ratio,
        }));
    }
    let report = oracle("gas_release.py", &json!(cases).to_string());
    assert!(report.contains("129 checked, 0 off"), "{report}");
}

/// Emptying by SciPy's integrator, the isothermal with CoolProp's density.
#[test]
fn emptying_by_scipy() {
    let mut cases = Vec::new();
    for (gas, gauge, end) in [
        ("hydrogen", 110.0, 0.2),
        ("hydrogen", 0.5, 0.1),
        ("helium", 110.0, 1.0),
        ("nitrogen", 40.0, 0.5),
    ] {
        let mut input = example("good-bottle-empties");
        input["gas"] = json!(gas);
        input["gauge_pressure"] = json!(format!("{gauge} bar"));
        input["final_pressure"] = json!(format!("{end} bar"));
        let sheet = run("gas-release", &input);
        let area = std::f64::consts::PI * 0.3e-3 * 0.3e-3 / 4.0;
        cases.push(json!({
            "kind": "emptying", "gas": gas, "volume": 12.4e-3, "area_times_cd": 0.95 * area,
            "megapascals": line(&sheet, "p₀") / 1e6, "kelvins": line(&sheet, "T₀"),
            "air_pascals": 86_200.0, "end_pascals": 86_200.0 + end * 1e5,
            "isothermal": result(&sheet, "emptying_isothermal"),
            "adiabatic": result(&sheet, "emptying_adiabatic"),
            "ratio": line(&sheet, "γ"), "compressibility": line(&sheet, "Z₀"),
        }));
    }
    let report = oracle("gas_release.py", &json!(cases).to_string());
    assert!(report.contains("4 checked, 0 off"), "{report}");
}

/// The doubt of a product is the root of the sum of squares of the relative ones; the diameter
/// counts twice, the temperature half (GUM 5.1.6).
#[test]
fn doubt_of_a_product() {
    let mut input = release("hydrogen", 10.0, 300.0);
    input.as_object_mut().unwrap().remove("hole_area");
    input["hole_diameter"] = json!("0.5 mm");
    input["uncertainty"] = json!({
        "pressure": {"value": "1 %", "distribution": "standard"},
        "temperature": {"value": "6 K", "distribution": "standard"},
        "hole": {"value": "0.02 mm", "distribution": "standard"},
        "discharge_coefficient": {"value": "5 %", "distribution": "standard"},
    });
    let sheet = run("gas-release", &input);
    let u: f64 = sheet
        .result("mass_flow_mg")
        .unwrap()
        .standard_uncertainty
        .clone()
        .unwrap()
        .parse()
        .unwrap();
    let relative =
        (0.01_f64.powi(2) + 0.01_f64.powi(2) + 0.08_f64.powi(2) + 0.05_f64.powi(2)).sqrt();
    close(u / result(&sheet, "mass_flow_mg"), relative, 6e-3, "u(W)/W");
}

/// A limit a little inside and outside of what is judged, which holds the allowance.
#[test]
fn limits_on_both_sides() {
    let mut input = example("good-fitting-at-parking-pressure");
    let sheet = run("gas-release", &input);
    let (high, plain) = (result(&sheet, "volume_flow_high"), result(&sheet, "volume_flow"));
    close(high / plain, 1.007, 1e-6, "hydrogen's allowance");
    for (factor, verdict) in
        [(1.0001, Verdict::Pass), (0.9999, Verdict::Fail), (0.995, Verdict::Fail)]
    {
        input["limit"] = json!({"value": format!("{:.7} m³/h", 3600.0 * high * factor)});
        let sheet = run("gas-release", &input);
        assert_eq!(sheet.verdict, verdict, "{}", sheet.reason);
    }
    input["limit"]["rule"] = json!("guarded");
    input.as_object_mut().unwrap().remove("uncertainty");
    assert_eq!(run("gas-release", &input).verdict, Verdict::NotJudged);
}

#[test]
fn gaps_and_contradictions() {
    let sheet = run("gas-release", &json!({}));
    let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
    assert_eq!(
        named,
        [
            "gas",
            "barometer",
            "gauge_pressure",
            "temperature",
            "ambient_temperature",
            "hole_area",
            "discharge_coefficient"
        ]
    );
    let mut input = example("good-bottle-empties");
    input.as_object_mut().unwrap().remove("final_pressure");
    assert_eq!(run("gas-release", &input).missing[0].field, "final_pressure");
    input["final_pressure"] = json!("110 bar");
    assert_eq!(refused(&input), ("not_lowered".into(), "final_pressure".into()));
    let mut input = release("hydrogen", 10.0, 300.0);
    input["heat_capacity_ratio"] = json!("1");
    assert_eq!(refused(&input).0, "out_of_range");
    let mut input = release("hydrogen", 10.0, 300.0);
    input["gauge_pressure"] = json!("100 bar");
    assert_eq!(refused(&input).0, "two_pressures");
    let mut input = release("hydrogen", 10.0, 300.0);
    input["hole_area"] = json!("0 mm²");
    assert_eq!(refused(&input), ("out_of_range".into(), "hole_area".into()));
    let sheet = run("gas-release", &release("nitrogen", 10.0, 300.0));
    assert!(sheet.flags.iter().any(|flag| flag.code == "nitrogen_comes_out_low"));
    let sheet = run("gas-release", &release("hydrogen", 35.0, 300.0));
    assert!(sheet.flags.iter().any(|flag| flag.code == "not_compared"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// More pressure lets more out, more warmth less mass; the flow goes with the area, and is
    /// steady where it chokes.
    #[test]
    fn monotone(megapascals in 0.102_f64..20.0, kelvins in 240.0_f64..350.0) {
        let flow = |p: f64, t: f64| result(&run("gas-release", &release("hydrogen", p, t)), "mass_flow");
        let here = flow(megapascals, kelvins);
        prop_assert!(flow(megapascals * 1.01, kelvins) > here);
        prop_assert!(flow(megapascals, kelvins * 1.01) < here);
        let mut twice = release("hydrogen", megapascals, kelvins);
        twice["hole_area"] = json!("2e-6 m²");
        prop_assert!((result(&run("gas-release", &twice), "mass_flow") / here / 2.0 - 1.0).abs() < 1e-6);
    }

    /// At the ratio where it chokes both formulas agree.
    #[test]
    fn steady_at_the_edge(ratio in 1.1_f64..1.66) {
        let mut input = release("hydrogen", 1.0, 300.0);
        input["heat_capacity_ratio"] = json!(format!("{ratio:.6}"));
        let critical = result(&run("gas-release", &input), "critical_ratio");
        let at = |factor: f64| {
            let mut input = input.clone();
            input["absolute_pressure"] = json!(format!("{:.9} MPa", 0.101_325 * critical * factor));
            result(&run("gas-release", &input), "mass_flow")
        };
        prop_assert!((at(1.00001) / at(0.99999) - 1.0).abs() < 1e-4);
    }
}
