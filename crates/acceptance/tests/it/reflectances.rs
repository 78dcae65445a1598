//! Reflectance surveys against SciPy and the numbers of the trade.

use acceptance::{Sheet, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{number, rows};

fn survey(values: &[&str]) -> Value {
    let readings: Vec<Value> = values.iter().map(|value| json!({"value": value})).collect();
    json!({"readings": readings})
}

fn flagged(sheet: &Sheet, code: &str) -> bool {
    sheet.flags.iter().any(|flag| flag.code == code)
}

fn example(name: &str) -> Value {
    let examples = calculation("reflectance").unwrap().examples();
    serde_json::from_str(examples.iter().find(|e| e.name == name).unwrap().text).unwrap()
}

fn doubt(sheet: &Sheet, name: &str) -> f64 {
    sheet.result(name).unwrap().standard_uncertainty.as_ref().unwrap().parse().unwrap()
}

#[test]
fn surveys_of_the_table() {
    for row in rows("reflectances.csv") {
        let mut input = survey(&row[1].split(' ').collect::<Vec<_>>());
        if !row[2].is_empty() {
            input["clean_reference"] = json!(row[2]);
        }
        if !row[3].is_empty() {
            input["uncertainty"] =
                json!({"clean_reference": {"value": row[3], "distribution": "standard"}});
        }
        let sheet = run("reflectance", &input);
        let tolerance = number(&row[11]);
        let names = ["mean", "deviation", "half_width", "low", "high", "cleanliness"];
        for (name, cell) in names.iter().zip(&row[4..10]).filter(|(_, cell)| !cell.is_empty()) {
            let (got, expected) = (result(&sheet, name), number(cell));
            assert!((got / expected - 1.0).abs() <= tolerance, "{} {name}: {got}", row[0]);
        }
        if !row[10].is_empty() {
            let u = doubt(&sheet, "cleanliness");
            assert!((u / number(&row[10]) - 1.0).abs() < 2e-4, "{}: {u}", row[0]);
        }
    }
}

/// s and E to n: 9, 18, 18, 99 (SciPy 1.17.1 in a loop; with 1.96 for t only 6, 16, 16, 97).
#[test]
fn readings_needed() {
    for (s, wanted, n) in [
        (0.006, "0.005", 9.0),
        (0.006, "0.003", 18.0),
        (0.010, "0.5 %", 18.0),
        (0.010, "0.002", 99.0),
    ] {
        // Two readings d apart have the deviation d/√2.
        let half = 0.5 * s * 2.0_f64.sqrt();
        let mut input = survey(&[&format!("{:.12}", 0.9 - half), &format!("{:.12}", 0.9 + half)]);
        input["wanted_half_width"] = json!(wanted);
        assert!((result(&run("reflectance", &input), "needed") - n).abs() < 1e-9, "{s} {wanted}");
    }
}

/// A number between two others that looks random and is always the same.
fn scattered(n: u32, low: f64, high: f64) -> f64 {
    let turn = (f64::from(n) * 12.9898).sin() * 43_758.545_3;
    low + (high - low) * (turn - turn.floor())
}

/// Plain and clustered surveys, before and after, against SciPy 1.17.1.
#[test]
fn surveys_by_scipy() {
    for (clustered, confidence) in [(false, "95 %"), (true, "90 %"), (true, "99 %")] {
        let list = |from: u32, middle: f64| -> Vec<Value> {
            (0..24_u32)
                .map(|n| {
                    let value = scattered(from + n, middle - 0.01, middle + 0.01)
                        + scattered(from + 500 + n / 3, -0.01, 0.01);
                    let mut one = json!({"value": format!("{value:.4}")});
                    if clustered {
                        one["facet"] = json!(format!("F{:02}", n / 3));
                        one["spot"] = json!(format!("{}", n % 3));
                    }
                    one
                })
                .collect()
        };
        let mut before = list(900, 0.86);
        if !clustered {
            before.truncate(17);
        }
        let input = json!({
            "readings": list(100, 0.91), "before": before, "confidence": confidence,
            "clean_reference": "0.935", "wanted_half_width": "0.004",
            "uncertainty": {"clean_reference": {"value": "0.0015", "distribution": "standard"}},
        });
        let sheet = run("reflectance", &input);
        let results: serde_json::Map<String, Value> = sheet
            .results
            .iter()
            .map(|r| {
                let u = r.standard_uncertainty.clone().unwrap_or_default();
                (r.name.clone(), json!({"value": r.value, "standard_uncertainty": u}))
            })
            .collect();
        let report =
            oracle("reflectance.py", &json!({"input": input, "results": results}).to_string());
        assert!(report.contains("agrees"), "{report}");
    }
}

/// The mean of 0.842, 0.861 and 0.856 is 0.853 and meets a limit of 0.853, whatever the binary
/// arithmetic says.
#[test]
fn limits_at_their_edge() {
    for (limit, verdict) in [
        ("0.853", Verdict::Pass),
        ("85.3 %", Verdict::Pass),
        ("0.854", Verdict::Fail),
        ("0.8531", Verdict::Fail),
    ] {
        let mut input = survey(&["0.842", "0.861", "0.856"]);
        input["limits"] = json!({"mean": {"value": limit}});
        let sheet = run("reflectance", &input);
        assert_eq!(sheet.verdict, verdict, "{limit}: {}", sheet.reason);
    }
    let mut input = survey(&["0.842", "0.861", "0.856"]);
    input["clean_reference"] = json!("0.935");
    input["limits"] = json!({"cleanliness": {"value": "0.912"}, "mean": {"value": "0.8"}});
    assert_eq!(run("reflectance", &input).verdict, Verdict::Pass);
    input["limits"]["cleanliness"]["value"] = json!("0.913");
    let sheet = run("reflectance", &input);
    assert_eq!(sheet.verdict, Verdict::Fail);
    assert!(sheet.reason.starts_with("Cleanliness"), "{}", sheet.reason);
    input["limits"]["cleanliness"] = json!({"value": "0.9", "rule": "guarded"});
    let blind = run("reflectance", &input);
    assert_eq!(blind.verdict, Verdict::NotJudged, "nothing is stated of the reference");
}

#[test]
fn gaps_are_named() {
    let named = |input: &Value| -> Vec<String> {
        let sheet = run("reflectance", input);
        assert_eq!(sheet.verdict, Verdict::NotJudged);
        sheet.missing.iter().map(|missing| missing.field.clone()).collect()
    };
    assert_eq!(named(&json!({})), ["readings"]);
    let mut input = survey(&["0.9", "0.91"]);
    input["readings"][1] = json!({"facet": "R01/F01"});
    assert_eq!(named(&input), ["readings[1].value"]);
    let mut input = survey(&["0.9", "0.91"]);
    input["limits"] = json!({"cleanliness": {"value": "0.97"}, "gain": {"value": "0.01"}});
    assert_eq!(named(&input), ["clean_reference", "before"]);
    let one = run("reflectance", &survey(&["0.9"]));
    assert_eq!(one.verdict, Verdict::Computed);
    assert!(one.result("half_width").is_none() && one.combined.is_none());
}

/// The traps: what is not stated, one wavelength, wide acceptance, a chipped tile, no gain.
#[test]
fn traps_are_named() {
    let mut input = example("good-washed");
    let sheet = run("reflectance", &input);
    assert!(flagged(&sheet, "one_wavelength"));
    for code in ["conditions_not_stated", "wide_acceptance", "tile", "no_gain", "hemispherical"] {
        assert!(!flagged(&sheet, code), "{code}");
    }
    input["wavelength"] = json!("solar-weighted");
    input["kind"] = json!("hemispherical");
    input["tile"]["read"] = json!("0.9245");
    let after = input["readings"].clone();
    input["before"] = after;
    input["limits"] = json!({});
    let sheet = run("reflectance", &input);
    assert!(!flagged(&sheet, "one_wavelength"));
    for code in ["tile", "no_gain", "hemispherical"] {
        assert!(flagged(&sheet, code), "{code}");
    }
    let bare = run("reflectance", &survey(&["0.9", "0.9", "0.9", "0.9", "0.9"]));
    assert!(flagged(&bare, "conditions_not_stated") && flagged(&bare, "all_alike"));
    let mut wide = survey(&["0.94", "0.95"]);
    wide["acceptance"] = json!("23 mrad");
    wide["clean_reference"] = json!("0.93");
    let sheet = run("reflectance", &wide);
    assert!(flagged(&sheet, "wide_acceptance") && flagged(&sheet, "cleaner_than_clean"));
}

/// An error that the instrument makes on both falls out of a cleanliness from its own clean spots.
#[test]
fn a_shared_error_falls_out_of_the_ratio() {
    let mut input = example("good-clean-spots");
    let plain = doubt(&run("reflectance", &input), "cleanliness");
    input["uncertainty"] = json!({"instrument": {"value": "5 %", "distribution": "standard"}});
    let sheet = run("reflectance", &input);
    assert!((doubt(&sheet, "cleanliness") - plain).abs() < 1e-12);
    let u = doubt(&sheet, "mean");
    assert!(
        (u - (0.005_686_241_f64.powi(2) + (0.05_f64 * 0.853).powi(2)).sqrt()).abs() < 1e-5,
        "{u}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Percent or fraction, in any order: the same; the interval is wider at more confidence and
    /// with an instrument stated no narrower.
    #[test]
    fn order_and_units(values in proptest::collection::vec(0.80..0.95_f64, 3..20)) {
        let of = |list: Vec<String>, confidence: &str| {
            let mut input = survey(&list.iter().map(String::as_str).collect::<Vec<_>>());
            input["confidence"] = json!(confidence);
            run("reflectance", &input)
        };
        let plain = of(values.iter().map(|v| format!("{v:.4}")).collect(), "95 %");
        let turned = of(values.iter().rev().map(|v| format!("{:.2} %", 100.0 * v)).collect(), "95 %");
        for name in ["mean", "deviation", "half_width"] {
            let (one, other) = (result(&plain, name), result(&turned, name));
            prop_assert!((one - other).abs() < 2e-4, "{} {} {}", name, one, other);
        }
        let sure = of(values.iter().map(|v| format!("{v:.4}")).collect(), "99 %");
        prop_assert!(result(&sure, "half_width") >= result(&plain, "half_width"));
        prop_assert!(result(&plain, "low") <= result(&plain, "mean"));
    }
}
