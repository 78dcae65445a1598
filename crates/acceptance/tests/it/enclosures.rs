//! Gas in enclosures against handbook examples and SciPy's integrator.

use acceptance::{Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{line, result, run};
use crate::table::{close, number, rows};

fn example(name: &str) -> Value {
    let examples = calculation("enclosure-ventilation").unwrap().examples();
    serde_json::from_str(examples.iter().find(|e| e.name == name).unwrap().text).unwrap()
}

fn refused(input: &Value) -> (String, String) {
    let refusal = calculation("enclosure-ventilation").unwrap().run(input).unwrap_err();
    (refusal.code, refusal.field)
}

fn flagged(sheet: &acceptance::Sheet, code: &str) -> bool {
    sheet.flags.iter().any(|flag| flag.code == code)
}

#[test]
fn enclosures_of_the_table() {
    for row in rows("enclosures.csv") {
        let input = json!({
            "volume": row[1], "ventilation": row[2], "release": row[3], "mixing_factor": row[4],
            "flammable_limit": {"value": format!("{} %", row[5]), "status": "quoted"},
            "limit": {"value": format!("{} %", row[6])}, "at": format!("{} s", row[7]),
        });
        let sheet = run("enclosure-ventilation", &input);
        let tolerance = number(&row[13]);
        let mut checked = 0;
        for (column, name) in [
            (8, "background"),
            (9, "fraction_at"),
            (10, "time_to_25"),
            (11, "needed_for_25"),
            (12, "clears_to_25"),
        ] {
            if !row[column].is_empty() {
                close(result(&sheet, name), number(&row[column]), tolerance, &row[0]);
                checked += 1;
            }
        }
        assert!(checked > 0, "{}", row[0]);
    }
}

/// Fractions and times on a grid by SciPy's integrator.
#[test]
fn by_scipy() {
    let mut cases = Vec::new();
    for mixing in [1.0, 2.0, 4.0] {
        for air in [0.0, 60.0, 600.0] {
            for start in [0.0, 0.2] {
                for stops in [None, Some(200.0)] {
                    let mut input = json!({
                        "volume": "5 m³", "ventilation": format!("{air} m³/h"),
                        "release": "30 L/min", "mixing_factor": mixing.to_string(),
                        "start_fraction": format!("{start} %"), "at": "10 min",
                        "flammable_limit": {"value": "4 %", "status": "quoted"},
                        "limit": {"value": "12.5 %"},
                    });
                    if let Some(stops) = stops {
                        input["release_duration"] = json!(format!("{stops} s"));
                    }
                    let sheet = run("enclosure-ventilation", &input);
                    let reaches = sheet.result("time_to_12_5").unwrap().value.parse::<f64>().ok();
                    cases.push(json!({
                        "volume": 5.0, "air": air / 3600.0, "release": 0.0005, "mixing": mixing,
                        "start": start / 100.0, "stops": stops, "at": 600.0,
                        "fraction": result(&sheet, "fraction_at") / 100.0,
                        "level": 0.005, "reaches": reaches,
                    }));
                }
            }
        }
    }
    let report = oracle("enclosure.py", &json!(cases).to_string());
    assert!(report.contains(", 0 off") && report.matches("t: ").count() > 12, "{report}");
}

/// The release as a mass flow: 1 kg of hydrogen at 20 °C and 1 atm is 11.933 m³ (R·T/(M·p)).
#[test]
fn mass_flows() {
    let mut input = example("good-fan-too-small");
    let object = input.as_object_mut().unwrap();
    object.remove("release");
    object.insert("release_mass".to_owned(), json!(format!("{} kg/s", 3e-4 / 11.932_86)));
    let named: Vec<_> = run("enclosure-ventilation", &input)
        .missing
        .iter()
        .map(|missing| missing.field.clone())
        .collect();
    assert_eq!(named, ["gas", "ambient_temperature", "barometer"]);
    input["gas"] = json!("hydrogen");
    input["ambient_temperature"] = json!("68 °F");
    input["barometer"] = json!("1 atm");
    let sheet = run("enclosure-ventilation", &input);
    close(line(&sheet, "Q_g"), 3e-4, 1e-5, "Q_g");
    // A release from `gas-release` goes on here: Q_g = W·R·T/(M·p) in both.
    let release = run(
        "gas-release",
        &json!({
            "gas": "hydrogen", "absolute_pressure": "15 MPa", "barometer": "101325 Pa",
            "temperature": "20 °C", "ambient_temperature": "20 °C", "hole_area": "0.025 mm²",
            "discharge_coefficient": "0.75",
        }),
    );
    input["release_mass"] = json!(format!("{} kg/s", result(&release, "mass_flow")));
    let sheet = run("enclosure-ventilation", &input);
    close(line(&sheet, "Q_g"), result(&release, "volume_flow"), 1e-6, "Q_g");
}

/// f multiplies the fraction; the mean stays what it was, and a sensor there may stay silent.
#[test]
fn what_the_mixing_factor_means() {
    let mut input = example("good-engine-hood");
    let sheet = run("enclosure-ventilation", &input);
    assert!(flagged(&sheet, "mean_below_alarm"));
    assert_eq!(sheet.result("alarm_at_10").unwrap().value, "not reached");
    let mean = result(&sheet, "background_mean");
    input["mixing_factor"] = json!("1");
    let stirred = run("enclosure-ventilation", &input);
    close(result(&stirred, "background"), mean, 1e-5, "the mean");
    assert!(flagged(&stirred, "fully_mixed") && !flagged(&stirred, "mean_below_alarm"));
    // The delay of the sensor is added to the time of the mean.
    input["release_mass"] = json!("60 mg/s");
    let sheet = run("enclosure-ventilation", &input);
    close(result(&sheet, "alarm_at_10"), result(&sheet, "time_to_10") + 30.0, 1e-5, "delay");
    input.as_object_mut().unwrap().remove("detector_delay");
    assert_eq!(run("enclosure-ventilation", &input).missing[0].field, "detector_delay");
}

/// The ventilation that is said to be needed is just enough; one resolution less is not.
#[test]
fn needed_is_just_enough() {
    let mut input = example("good-fan-too-small");
    let needed = result(&run("enclosure-ventilation", &input), "needed_for_25");
    for (change, verdict) in [(1e-3, Verdict::Pass), (-1e-3, Verdict::Fail)] {
        input["ventilation"] = json!(format!("{:.4} m³/h", needed + change));
        let sheet = run("enclosure-ventilation", &input);
        assert_eq!(sheet.verdict, verdict, "{}", sheet.reason);
        input["air_changes"] = json!(format!("{:.6}", (needed + change) / 50.0));
        input.as_object_mut().unwrap().remove("ventilation");
        assert_eq!(run("enclosure-ventilation", &input).verdict, verdict, "as air changes");
        input.as_object_mut().unwrap().remove("air_changes");
    }
}

/// u(X_b)/X_b = √(u_g² + u_1²)·Q_1/(Q_g + Q_1), both relative (GUM 5.1.6 for the quotient).
#[test]
fn doubt_of_the_background() {
    let mut input = example("good-engine-hood");
    let sheet = run("enclosure-ventilation", &input);
    let (q, g) = (line(&sheet, "Q_1"), line(&sheet, "Q_g"));
    let relative = (0.2_f64.powi(2) + 0.1_f64.powi(2)).sqrt() / 3.0_f64.sqrt() * q / (q + g);
    let u: f64 =
        sheet.result("peak_share").unwrap().standard_uncertainty.clone().unwrap().parse().unwrap();
    close(u / result(&sheet, "peak_share"), relative, 4e-3, "u(X_b)/X_b");
    assert_eq!(sheet.verdict, Verdict::Pass, "{}", sheet.reason);
    input.as_object_mut().unwrap().remove("uncertainty");
    assert_eq!(run("enclosure-ventilation", &input).verdict, Verdict::NotJudged, "guarded");
}

#[test]
fn gaps_and_contradictions() {
    let sheet = run("enclosure-ventilation", &json!({}));
    let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
    assert_eq!(named, ["volume", "ventilation", "release", "mixing_factor", "flammable_limit"]);
    let mut input = example("good-engine-hood");
    input["flammable_limit"].as_object_mut().unwrap().remove("status");
    assert_eq!(run("enclosure-ventilation", &input).missing[0].field, "flammable_limit.status");
    let mut input = example("good-engine-hood");
    input["limit"]["value"] = json!("250 %");
    assert_eq!(refused(&input), ("out_of_range".into(), "limit.value".into()));
    let mut input = example("good-engine-hood");
    input["uncertainty"]["release"]["value"] = json!("3 mg/h");
    assert_eq!(refused(&input), ("wrong_unit".into(), "uncertainty.release".into()));
    let mut input = example("good-fan-too-small");
    input["ventilation"] = json!("0 m³/h");
    let sheet = run("enclosure-ventilation", &input);
    assert!(flagged(&sheet, "no_fresh_air") && flagged(&sheet, "more_than_all"));
    assert_eq!(sheet.result("clears_to_25").unwrap().value, "never");
    assert_eq!(sheet.verdict, Verdict::Fail);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

    /// More air is less gas, a larger f more; a level that is never passed has no time, and at its
    /// time it is just reached.
    #[test]
    fn monotone(air in 1.0_f64..500.0, release in 0.1_f64..60.0, mixing in 1.0_f64..5.0) {
        let with = |air: f64, mixing: f64| {
            let mut input = example("good-fan-too-small");
            input["ventilation"] = json!(format!("{air:.6} m³/h"));
            input["release"] = json!(format!("{release:.6} L/min"));
            input["mixing_factor"] = json!(format!("{mixing:.6}"));
            input
        };
        let background = |input: &Value| result(&run("enclosure-ventilation", input), "background");
        let here = with(air, mixing);
        prop_assert!(background(&with(1.1 * air, mixing)) < background(&here));
        prop_assert!(background(&with(air, 1.1 * mixing)) > background(&here));
        let sheet = run("enclosure-ventilation", &here);
        let reached = sheet.result("time_to_25").unwrap().value.parse::<f64>();
        prop_assert_eq!(reached.is_ok(), result(&sheet, "background") > 1.0);
        if let Ok(time) = reached && time > 0.1 {
            let mut at = here;
            at["at"] = json!(format!("{time} s"));
            let fraction = result(&run("enclosure-ventilation", &at), "fraction_at");
            prop_assert!((fraction - 1.0).abs() < 1e-4, "{}", fraction);
        }
    }
}
