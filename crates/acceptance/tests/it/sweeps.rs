//! Sweeping through against textbook examples.

use acceptance::{Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::sun::{line, result, run};
use crate::table::{close, number, rows};

fn example(name: &str) -> Value {
    let examples = calculation("purge-sweep").unwrap().examples();
    serde_json::from_str(examples.iter().find(|e| e.name == name).unwrap().text).unwrap()
}

fn refused(input: &Value) -> (String, String) {
    let refusal = calculation("purge-sweep").unwrap().run(input).unwrap_err();
    (refusal.code, refusal.field)
}

fn flagged(input: &Value, code: &str) -> bool {
    run("purge-sweep", input).flags.iter().any(|flag| flag.code == code)
}

#[test]
fn sweeps_of_the_table() {
    for row in rows("sweeps.csv") {
        let input = json!({
            "volume": row[1], "line": "through", "flow": row[2], "time": row[3],
            "mixing_factor": row[4], "start_fraction": format!("{} %", row[5]),
            "supply_fraction": format!("{} %", row[6]),
            "limit": {"value": format!("{} %", row[7])},
        });
        let sheet = run("purge-sweep", &input);
        let tolerance = number(&row[11]);
        close(result(&sheet, "volumes_needed"), number(&row[8]), tolerance, &row[0]);
        close(result(&sheet, "residual_computed"), number(&row[9]), tolerance, &row[0]);
        if !row[10].is_empty() {
            close(result(&sheet, "gas_needed"), number(&row[10]), tolerance, &row[0]);
        }
    }
}

/// 20 normal litres (0 °C, 101.325 kPa) are 20·(101.325/86.2)·(291.15/273.15) = 25.0585 L at 862 hPa
/// and 18 °C, by hand.
#[test]
fn a_flow_at_another_state() {
    let mut input = example("good-normal-litres");
    let sheet = run("purge-sweep", &input);
    close(line(&sheet, "Q"), 25.058_5, 1e-5, "L/min inside");
    assert!(!flagged(&input, "flow_at_the_state_inside"));
    input.as_object_mut().unwrap().remove("inside");
    let named: Vec<_> =
        run("purge-sweep", &input).missing.iter().map(|missing| missing.field.clone()).collect();
    assert_eq!(named, ["inside.absolute_pressure", "inside.temperature"]);
    input.as_object_mut().unwrap().remove("flow_state");
    assert!(flagged(&input, "flow_at_the_state_inside"));
}

/// A dead end is never judged, whatever an analyser at the far end shows.
#[test]
fn dead_ends_are_not_judged() {
    let mut input = example("good-dead-end");
    let sheet = run("purge-sweep", &input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(sheet.reason.contains("cycles of pressure"), "{}", sheet.reason);
    assert!(flagged(&input, "dead_ends"));
    input["line"] = json!("through");
    assert_eq!(run("purge-sweep", &input).verdict, Verdict::Pass);
}

/// What was measured is judged; without a measurement the computed fraction, on both sides of the
/// limit, which is reached just in the time that is said to be needed.
#[test]
fn what_is_judged() {
    let mut input = example("good-time-wanted");
    let needed = result(&run("purge-sweep", &input), "time_needed");
    for (change, verdict) in [(0.01, Verdict::Pass), (-0.01, Verdict::Fail)] {
        input["time"] = json!(format!("{:.3} s", needed + change));
        let sheet = run("purge-sweep", &input);
        assert_eq!(sheet.verdict, verdict, "{}", sheet.reason);
    }
    input["measured"] = json!("0.3 %");
    assert_eq!(run("purge-sweep", &input).verdict, Verdict::Pass);
    assert!(flagged(&input, "less_than_computed"));
    input["measured"] = json!("2.5 %");
    assert_eq!(run("purge-sweep", &input).verdict, Verdict::Fail);
    assert!(flagged(&input, "more_than_computed"));
    let mut guarded = example("good-line-swept");
    for (measured, verdict) in [("0.90 %", Verdict::Pass), ("0.91 %", Verdict::Fail)] {
        guarded["measured"] = json!(measured);
        assert_eq!(run("purge-sweep", &guarded).verdict, verdict, "1.0 % less U of 0.1 %");
    }
    guarded["uncertainty"].as_object_mut().unwrap().remove("analyser");
    assert_eq!(run("purge-sweep", &guarded).verdict, Verdict::NotJudged);
}

/// u(C) = (C − C_s)·N/K·√(Σ u²) with relative doubts of flow, volume and K (GUM 5.1.3).
#[test]
fn doubt_of_the_fraction() {
    let sheet = run("purge-sweep", &example("good-normal-litres"));
    let relative = (2.0 * 0.05_f64.powi(2) + 0.3_f64.powi(2)).sqrt() / 3.0_f64.sqrt();
    let left = result(&sheet, "residual_computed") - 0.001;
    let expected = left * line(&sheet, "N") / line(&sheet, "K") * relative;
    let u: f64 =
        sheet.result("residual").unwrap().standard_uncertainty.clone().unwrap().parse().unwrap();
    close(u, expected, 5e-3, "u(C)");
}

#[test]
fn gaps_and_contradictions() {
    let sheet = run("purge-sweep", &json!({}));
    let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
    assert_eq!(named, ["volume", "line", "flow", "mixing_factor", "start_fraction"]);
    let mut input = example("good-line-swept");
    input["supply_fraction"] = json!("1.0 %");
    let sheet = run("purge-sweep", &input);
    assert!(sheet.reason.contains("purge gas itself"), "{}", sheet.reason);
    assert!(sheet.result("volumes_needed").is_none());
    input["mixing_factor"] = json!("11");
    assert_eq!(refused(&input), ("out_of_range".into(), "mixing_factor".into()));
    let mut input = example("good-line-swept");
    input["flow"] = json!("0 L/min");
    assert_eq!(refused(&input), ("out_of_range".into(), "flow".into()));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Longer leaves less but never less than the purge gas holds; a larger K leaves more; other
    /// units say the same.
    #[test]
    fn monotone(minutes in 0.5_f64..60.0, mixing in 1.0_f64..9.0, litres in 1.0_f64..500.0) {
        let input = |minutes: f64, mixing: f64| {
            let mut input = example("good-time-wanted");
            input["time"] = json!(format!("{minutes:.6} min"));
            input["mixing_factor"] = json!(format!("{mixing:.6}"));
            input["volume"] = json!(format!("{litres:.6} L"));
            input
        };
        let left = |input: &Value| result(&run("purge-sweep", input), "residual_computed");
        let here = left(&input(minutes, mixing));
        prop_assert!(here >= 0.001);
        prop_assert!(left(&input(1.1 * minutes, mixing)) <= here);
        prop_assert!(left(&input(minutes, 1.1 * mixing)) >= here);
        let mut other = input(minutes, mixing);
        other["flow"] = json!("1.2 m³/h");
        other["time"] = json!(format!("{:.8} h", minutes / 60.0));
        prop_assert!((left(&other) / here - 1.0).abs() < 1e-4);
    }
}
