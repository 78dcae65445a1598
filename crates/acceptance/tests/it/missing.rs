//! A missing reading is not judged, by name, and never taken as zero.

use acceptance::Verdict;
use serde_json::{Value, json};

use crate::decay_cases::{circuit, run};

/// Every input that the calculation needs.
const NEEDED: [&str; 15] = [
    "gas",
    "volume",
    "start.gauge_pressure",
    "start.barometer",
    "start.temperature",
    "end.gauge_pressure",
    "end.barometer",
    "end.temperature",
    "elapsed",
    "required_hold",
    "limit",
    "rule",
    "uncertainty.gauge_scale",
    "uncertainty.temperature",
    "uncertainty.barometer",
];

fn remove(input: &mut Value, path: &str) {
    let (parent, name) = path.rsplit_once('.').map_or(("", path), |(parent, name)| (parent, name));
    let parent = if parent.is_empty() { input } else { &mut input[parent] };
    assert!(parent.as_object_mut().unwrap().remove(name).is_some(), "{path}");
}

#[test]
fn each_missing_input_is_named() {
    for path in NEEDED.into_iter().chain(["uncertainty.volume"]) {
        let mut input = circuit();
        remove(&mut input, path);
        let sheet = run(&input);
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
        assert_eq!(named, [path]);
        assert!(sheet.reason.contains(path), "{}", sheet.reason);
        assert!(sheet.results.is_empty(), "{path}: nothing may be computed from a gap");
    }
}

#[test]
fn an_empty_input_names_everything() {
    let sheet = run(&json!({}));
    let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
    for path in NEEDED {
        assert!(named.contains(&path), "{path} of {named:?}");
    }
}

#[test]
fn a_gap_does_not_hide_a_bad_reading() {
    let mut input = circuit();
    remove(&mut input, "end.barometer");
    input["end"]["temperature"] = json!("12.0 bar");
    assert!(acceptance::calculation("pressure-decay").unwrap().run(&input).is_err());
}

#[test]
fn gas_density_names_its_gap() {
    let calculation = acceptance::calculation("gas-density").unwrap();
    let sheet = calculation.run(&json!({"gas": "helium", "gauge_pressure": "110 bar"})).unwrap();
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
    assert_eq!(named, ["barometer", "temperature"]);
}
