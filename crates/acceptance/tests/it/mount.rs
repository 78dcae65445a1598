//! The model of the mount against NumPy's least squares and exact rotations.

use acceptance::{Sheet, Table, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{number, rows};

fn reading(a: f64, e: f64, da: f64, de: f64) -> Value {
    json!({
        "sun_azimuth": format!("{a} °"), "sun_elevation": format!("{e} °"),
        "azimuth_error": format!("{da:.9} °"), "elevation_error": format!("{de:.9} °"),
    })
}

fn set(column: usize) -> Vec<Value> {
    rows("mount_readings.csv")
        .iter()
        .map(|row| {
            let at = |place: usize| number(&row[place]);
            reading(at(0), at(1), at(column), at(column + 1))
        })
        .collect()
}

fn table<'a>(sheet: &'a Sheet, name: &str) -> &'a Table {
    sheet.tables.iter().find(|table| table.name == name).unwrap()
}

fn found(sheet: &Sheet, code: &str) -> bool {
    sheet.findings.iter().any(|finding| finding.code == code)
}

fn doubt(sheet: &Sheet, name: &str) -> f64 {
    sheet.result(name).unwrap().standard_uncertainty.as_ref().unwrap().parse().unwrap()
}

#[test]
fn terms_of_the_table() {
    let exact = run("mount-model", &json!({"readings": set(2)}));
    let noisy = run("mount-model", &json!({"readings": set(4)}));
    for row in rows("mount_terms.csv") {
        let sheet = if row[0] == "exact" { &exact } else { &noisy };
        let (got, tolerance) = (result(sheet, &row[1]), number(&row[4]));
        assert!((got - number(&row[2])).abs() <= tolerance, "{} {}: {got}", row[0], row[1]);
        if !row[3].is_empty() {
            let u = doubt(sheet, &row[1]);
            assert!((u - number(&row[3])).abs() <= tolerance, "u({}): {u}", row[1]);
        }
    }
    assert!(found(&noisy, "hard_to_tell_apart") && found(&noisy, "not_shown"));
    let pairs: Vec<_> = noisy
        .findings
        .iter()
        .filter(|f| f.code == "correlated")
        .map(|f| f.place.as_str())
        .collect();
    assert!(pairs.contains(&"azimuth zero, collimation"), "{pairs:?}");
}

fn by_numpy(input: &Value) {
    let sheet = run("mount-model", input);
    let results: serde_json::Map<String, Value> = sheet
        .results
        .iter()
        .map(|r| {
            let u = r.standard_uncertainty.clone().unwrap_or_default();
            (r.name.clone(), json!({"value": r.value, "standard_uncertainty": u}))
        })
        .collect();
    let case = json!({
        "input": input, "results": results,
        "correlations": table(&sheet, "correlations").rows,
        "corrections": table(&sheet, "corrections").rows,
    });
    let report = oracle("mount.py", &case.to_string());
    assert!(report.contains("agrees"), "{report}");
}

/// A number between two others that looks random and is always the same.
fn scattered(n: u32, low: f64, high: f64) -> f64 {
    let turn = (f64::from(n) * 12.9898).sin() * 43_758.545_3;
    low + (high - low) * (turn - turn.floor())
}

/// Random sets with subsets of terms and weights against numpy.linalg.lstsq 2.4.6.
#[test]
fn random_sets_by_numpy() {
    let subsets = [
        json!(null),
        json!(["azimuth-zero", "elevation-zero"]),
        json!(["tilt-north", "tilt-east", "sag", "squareness"]),
    ];
    for (case, terms) in (0_u32..).zip(subsets) {
        let readings: Vec<Value> = (0..25)
            .map(|n| {
                let n = 100 * case + 5 * n;
                let mut one = reading(
                    scattered(n, 0.0, 360.0),
                    scattered(n + 1, 4.0, 85.0),
                    scattered(n + 2, -0.4, 0.4),
                    scattered(n + 3, -0.2, 0.2),
                );
                if case == 1 {
                    one["weight"] = json!(format!("{:.2}", scattered(n + 4, 0.0, 3.0)));
                }
                one
            })
            .collect();
        let mut input = json!({"readings": readings});
        if !terms.is_null() {
            input["terms"] = terms;
        }
        by_numpy(&input);
    }
}

/// Exact rotations give the terms back to second order: signs and meaning of each. Also the check
/// with t_N 0.06°, t_E −0.035°: at (75°, 12°) ΔA 0.014 233°, ΔE −0.018 287°; at (180°, 68°)
/// −0.086 386°, −0.060 026° (exact rotations in numpy).
#[test]
fn signs_by_exact_rotations() {
    let mut directions: Vec<[f64; 2]> =
        (0..24).map(|n| [scattered(n, 0.0, 360.0), scattered(n + 50, 8.0, 70.0)]).collect();
    directions.extend([[75.0, 12.0], [180.0, 68.0]]);
    let simulate = |truth: &Value| -> Vec<[f64; 2]> {
        let case = json!({"truth": truth, "directions": directions});
        serde_json::from_str(&oracle("mount.py", &case.to_string())).unwrap()
    };
    let names = [
        "azimuth-zero",
        "elevation-zero",
        "collimation",
        "squareness",
        "tilt-north",
        "tilt-east",
        "sag",
    ];
    let truths: [[f64; 7]; 4] = [
        [0.15, -0.08, 0.04, 0.025, 0.06, -0.035, 0.02],
        [0.0, 0.0, 0.0, 0.0, 0.06, -0.035, 0.0],
        [0.0, 0.0, 0.05, 0.0, 0.0, 0.0, 0.0],
        [0.0, 0.0, 0.0, 0.05, 0.0, 0.0, 0.0],
    ];
    for truth in truths {
        let named: serde_json::Map<String, Value> =
            names.iter().zip(truth).map(|(name, v)| ((*name).to_owned(), json!(v))).collect();
        let errors = simulate(&Value::Object(named));
        if truth[0].abs() + truth[2].abs() + truth[3].abs() < 1e-12 {
            let near = |got: [f64; 2], a: f64, e: f64| {
                assert!((got[0] - a).abs() < 1e-6 && (got[1] - e).abs() < 1e-6, "{got:?}");
            };
            near(errors[24], 0.014_233, -0.018_287);
            near(errors[25], -0.086_386, -0.060_026);
        }
        let readings: Vec<Value> =
            directions.iter().zip(&errors).map(|(d, e)| reading(d[0], d[1], e[0], e[1])).collect();
        let sheet = run("mount-model", &json!({"readings": readings}));
        for (name, v) in names.iter().zip(truth) {
            let got = result(&sheet, &name.replace('-', "_"));
            assert!((got - v).abs() < 5e-4, "{name}: {got} for {v} in {truth:?}");
        }
        assert!(result(&sheet, "rms_after") < 1e-4);
    }
}

/// Axis readings give what their errors give, through north too, and with a computed sun.
#[test]
fn readings_of_the_axes() {
    let examples = calculation("mount-model").unwrap().examples();
    let text = |name: &str| -> Value {
        serde_json::from_str(examples.iter().find(|e| e.name == name).unwrap().text).unwrap()
    };
    let axes = text("good-four-terms-from-axes");
    let mut errors = axes.clone();
    for one in errors["readings"].as_array_mut().unwrap() {
        let degrees = |key: &str| -> f64 {
            one[key].as_str().unwrap().trim_end_matches(" °").parse().unwrap()
        };
        let da = (degrees("azimuth") - degrees("sun_azimuth") + 540.0).rem_euclid(360.0) - 180.0;
        let de = degrees("elevation") - degrees("sun_elevation");
        let object = one.as_object_mut().unwrap();
        object.insert("azimuth_error".into(), json!(format!("{da:.6} °")));
        object.insert("elevation_error".into(), json!(format!("{de:.6} °")));
        object.remove("azimuth");
        object.remove("elevation");
    }
    let (one, other) = (run("mount-model", &axes), run("mount-model", &errors));
    let mut computed = text("good-computed-sun");
    computed.as_object_mut().unwrap().remove("near_zenith");
    let third = run("mount-model", &computed);
    for name in ["azimuth_zero", "elevation_zero", "tilt_north", "tilt_east", "rms_after"] {
        let (a, b, c) = (result(&one, name), result(&other, name), result(&third, name));
        assert!((a - b).abs() < 1e-5, "{name}: {a} {b}");
        // The sun of the file was rounded to 0.0001°.
        assert!((a - c).abs() < 3e-4, "{name}: {a} {c}");
    }
    let mut silent = axes;
    silent.as_object_mut().unwrap().remove("sun_elevation_is");
    let sheet = run("mount-model", &silent);
    assert!(sheet.flags.iter().any(|flag| flag.code == "refraction_not_stated"));
}

#[test]
fn limits_at_their_edge() {
    let with =
        |limits: Value| run("mount-model", &json!({"readings": set(4), "limits": limits})).verdict;
    assert_eq!(with(json!({"rms_after": {"value": "0.0065 °"}})), Verdict::Pass);
    assert_eq!(with(json!({"rms_after": {"value": "0.0064 °"}})), Verdict::Fail);
    assert_eq!(with(json!({"rms_after": {"value": "0.0065 °", "rule": "guarded"}})), Verdict::Fail);
    assert_eq!(with(json!({"largest_after": {"value": "0.0092 °"}})), Verdict::Pass);
    assert_eq!(with(json!({"largest_after": {"value": "0.0091 °"}})), Verdict::Fail);
}

/// A reading that doesn't fit is named; of weight 0 it no longer counts, but is shown.
#[test]
fn a_reading_that_does_not_fit() {
    let mut readings = set(4);
    readings[6]["elevation_error"] = json!("-0.090 °");
    let sheet = run("mount-model", &json!({"readings": readings}));
    let odd: Vec<_> =
        sheet.findings.iter().filter(|f| f.code == "does_not_fit").map(|f| &f.place).collect();
    assert_eq!(odd, ["reading 7"], "{:?}", sheet.findings);
    readings[6]["weight"] = json!("0");
    let without = run("mount-model", &json!({"readings": readings}));
    assert!(!found(&without, "does_not_fit"));
    readings.remove(6);
    let removed = run("mount-model", &json!({"readings": readings}));
    let tilt = (result(&without, "tilt_north"), result(&removed, "tilt_north"));
    assert!((tilt.0 - tilt.1).abs() < 1e-9, "{tilt:?}");
    assert_eq!(table(&without, "readings").rows.len(), 15);
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 32, ..ProptestConfig::default()
    })]

    /// The fit is linear: errors k times as large give terms k times as large, in any unit; turning
    /// the sky by 90° turns the tilt.
    #[test]
    fn linear_and_turned(scale in 0.1..5.0_f64) {
        let plain = run("mount-model", &json!({"readings": set(4)}));
        let source = rows("mount_readings.csv");
        let scaled: Vec<Value> = source.iter().map(|row| json!({
            "sun_azimuth": format!("{} °", number(&row[0]) + 90.0),
            "sun_elevation": format!("{} °", row[1]),
            "azimuth_error": format!("{:.9} mrad", 1e3 * (scale * number(&row[4])).to_radians()),
            "elevation_error": format!("{:.9} mrad", 1e3 * (scale * number(&row[5])).to_radians()),
        })).collect();
        let turned = run("mount-model", &json!({"readings": scaled}));
        let same = |one: f64, other: f64| (one * scale - other).abs() < 3e-5 * scale;
        for name in ["azimuth_zero", "elevation_zero", "collimation", "squareness", "sag", "s"] {
            prop_assert!(same(result(&plain, name), result(&turned, name)), "{}", name);
        }
        // North becomes east, east becomes south.
        prop_assert!(same(result(&plain, "tilt_north"), result(&turned, "tilt_east")));
        prop_assert!(same(-result(&plain, "tilt_east"), result(&turned, "tilt_north")));
    }
}
