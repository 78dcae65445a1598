//! The line of power over irradiance: published data, properties, flags.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::table::{number, rows};

pub(crate) fn run(input: &Value) -> Sheet {
    let calculation = acceptance::calculation("performance-line").unwrap();
    calculation.run(input).unwrap_or_else(|refusal| panic!("{refusal}"))
}

pub(crate) fn example(name: &str) -> Value {
    let calculation = acceptance::calculation("performance-line").unwrap();
    let example = calculation.examples().iter().find(|example| example.name == name).unwrap();
    serde_json::from_str(example.text).unwrap()
}

/// A result, or its uncertainty where the name begins with `u_`.
pub(crate) fn value(sheet: &Sheet, name: &str) -> f64 {
    let found = |name: &str| sheet.result(name).unwrap_or_else(|| panic!("no {name}"));
    match name.strip_prefix("u_") {
        Some(of) => found(of).standard_uncertainty.as_ref().unwrap().parse().unwrap(),
        None => found(name).value.parse().unwrap(),
    }
}

fn standard(value: f64, unit: &str) -> Value {
    json!({"value": format!("{value} {unit}"), "distribution": "standard"})
}

fn points(pairs: impl IntoIterator<Item = (f64, f64)>) -> Vec<Value> {
    let point =
        |(x, y): (f64, f64)| json!({"irradiance": format!("{x} W/m²"), "power": format!("{y} kW")});
    pairs.into_iter().map(point).collect()
}

/// K. Pearson's data with D. York's weights.
fn pearson() -> Value {
    let x = [0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4];
    let y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5];
    let wx: [f64; 10] = [1000.0, 1000.0, 500.0, 800.0, 200.0, 80.0, 60.0, 20.0, 1.8, 1.0];
    let wy: [f64; 10] = [1.0, 1.8, 4.0, 8.0, 20.0, 20.0, 70.0, 70.0, 100.0, 500.0];
    let mut points = points(x.into_iter().zip(y));
    for (point, (wx, wy)) in points.iter_mut().zip(wx.iter().zip(wy)) {
        point["irradiance_doubt"] = standard(1.0 / wx.sqrt(), "W/m²");
        point["power_doubt"] = standard(1.0 / wy.sqrt(), "kW");
    }
    json!({"points": points})
}

/// The thermometer's calibration of the GUM, H.3: temperature less 20 °C for irradiance,
/// correction for power.
fn thermometer() -> Value {
    let t =
        [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
    let b = [171, 169, 166, 159, 164, 165, 156, 157, 159, 161, 160];
    let pairs = t.iter().zip(b).map(|(t, b)| ((t - 20.0_f64), -1e-3 * f64::from(b)));
    json!({"points": points(pairs), "reference_irradiance": "10 W/m²"})
}

fn case(name: &str, method: &str) -> Value {
    let mut input = match name {
        "pearson" => pearson(),
        "thermometer" => thermometer(),
        "dish" => example("good-both-uncertain"),
        _ => panic!("{name}"),
    };
    input["method"] = json!(method);
    input
}

#[test]
fn published_lines() {
    for row in rows("performance_lines.csv") {
        let [name, method, result, expected, tolerance, source] = row.try_into().unwrap();
        let got = value(&run(&case(&name, &method)), &result);
        let off = (got - number(&expected)).abs();
        assert!(off <= number(&tolerance), "{name} {method} {result}: {got}, {expected}: {source}");
    }
}

#[test]
fn unscaled_doubts_of_york_stand_in_the_working() {
    let sheet = run(&case("pearson", "york"));
    let line = |symbol: &str| -> f64 {
        sheet.working.iter().find(|line| line.symbol == symbol).unwrap().value.parse().unwrap()
    };
    assert!((line("σ_a") - 0.294_970_7).abs() < 5e-8 && (line("σ_b") - 0.057_985_0).abs() < 5e-8);
    assert!((line("S") - 11.866_353_2).abs() < 5e-8);
    assert!(sheet.flags.iter().any(|flag| flag.code == "falling_line"), "{:?}", sheet.flags);
}

/// The ratio of doubts alone gives the same line as the doubts; so does another unit of both.
#[test]
fn demings_line_by_ratio_and_in_other_units() {
    let by_doubts = run(&case("dish", "deming"));
    let mut input = case("dish", "deming");
    input.as_object_mut().unwrap().remove("irradiance_doubt");
    input.as_object_mut().unwrap().remove("power_doubt");
    for ratio in ["0.01875 kW/(W/m²)", "18.75 W/(W/m²)", "18.75 m²"] {
        input["doubt_ratio"] = json!(ratio);
        let sheet = run(&input);
        for name in ["slope", "intercept", "threshold", "u_slope", "confidence", "prediction"] {
            let (one, other) = (value(&by_doubts, name), value(&sheet, name));
            assert!((one - other).abs() <= 1e-8 * one.abs(), "{name}: {one} {other}");
        }
    }
    let mut input = case("dish", "york");
    let before = run(&input);
    for point in input["points"].as_array_mut().unwrap() {
        let text = point["power"].as_str().unwrap().trim_end_matches(" kW");
        let watts: f64 = text.parse::<f64>().unwrap() * 1e3;
        point["power"] = json!(format!("{watts} W"));
        let text = point["irradiance"].as_str().unwrap().trim_end_matches(" W/m²");
        let kilowatts = text.parse::<f64>().unwrap() / 1e3;
        point["irradiance"] = json!(format!("{kilowatts} kW/m²"));
    }
    input["power_doubt"] = standard(150.0, "W");
    input["irradiance_doubt"] = standard(0.008, "kW/m²");
    input["reference_irradiance"] = json!("1 kW/m²");
    let after = run(&input);
    for outcome in &before.results {
        let other = after.result(&outcome.name).unwrap();
        let (one, other): (f64, f64) =
            (outcome.value.parse().unwrap(), other.value.parse().unwrap());
        assert!((one - other).abs() <= 1e-8 * one.abs(), "{}: {one} {other}", outcome.name);
    }
}

#[test]
fn what_all_points_share_is_added() {
    let mut input = example("good-guarded-with-calibration");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::Pass, "{}", sheet.reason);
    let at: f64 = value(&sheet, "power_at_reference");
    let slope = value(&sheet, "slope");
    let line: f64 = sheet.doubt[0].contribution.parse().unwrap();
    let shared = [0.005 * 1000.0 * slope, 0.005 / 3.0_f64.sqrt() * at, line];
    let expected = shared.iter().map(|part| part * part).sum::<f64>().sqrt();
    assert!((value(&sheet, "u_power_at_reference") - expected).abs() < 2e-4 * expected);
    // One resolution inside and outside of the guarded limit.
    let edge = at - 1.644_853_627 * expected;
    for (limit, verdict) in [((edge - 2e-3), Verdict::Pass), ((edge + 2e-3), Verdict::Fail)] {
        input["limit"]["value"] = json!(format!("{limit:.4} kW"));
        assert_eq!(run(&input).verdict, verdict, "{limit}");
    }
    input["limit"]["rule"] = json!("simple");
    input["limit"].as_object_mut().unwrap().remove("conformance");
    input["limit"]["value"] = json!(format!("{:.4} kW", at - 1e-3));
    assert_eq!(run(&input).verdict, Verdict::Pass);
    input["limit"]["value"] = json!(format!("{:.4} kW", at + 1e-3));
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::Fail);
    let rules = sheet.tables.iter().find(|table| table.name == "decision_rules").unwrap();
    assert_eq!(rules.rows.len(), 3);
    assert_eq!(rules.rows.iter().filter(|row| row[4] == "judges").count(), 1);
}

#[test]
fn an_outlier_is_flagged_and_counts_until_a_reason_leaves_it_out() {
    let mut input = example("good-twelve-points");
    let clean = run(&input);
    assert!(clean.flags.iter().all(|flag| flag.code != "outliers"));
    input["points"][6]["power"] = json!("13.10 kW");
    let sheet = run(&input);
    assert!(sheet.flags.iter().any(|f| f.code == "outliers" && f.sentence.contains("09:20")));
    assert_eq!(sheet.result("points").unwrap().value, "12");
    let with = value(&sheet, "power_at_reference");
    input["points"][6]["left_out"] = json!("cloud edge");
    let sheet = run(&input);
    assert_eq!(sheet.result("points").unwrap().value, "11");
    assert!(sheet.flags.iter().any(|f| f.code == "left_out" && f.sentence.contains("cloud edge")));
    let lines = sheet.tables.iter().find(|table| table.name == "lines").unwrap();
    let beside = lines.rows.iter().find(|row| row[0].contains("left out")).unwrap();
    assert!((number(&beside[6]) - with).abs() < 1e-4 * with, "{beside:?}");
    let figure = sheet.figure.unwrap();
    assert_eq!(figure.series.iter().find(|s| s.name == "left_out").unwrap().points.len(), 1);
    assert_eq!(figure.series.iter().find(|s| s.name == "points").unwrap().points.len(), 11);
}

#[test]
fn flags_of_range_scatter_and_flattening() {
    let has = |sheet: &Sheet, code: &str| sheet.flags.iter().any(|flag| flag.code == code);
    let mut input = example("good-both-uncertain");
    let sheet = run(&input);
    assert!(has(&sheet, "scatter_smaller_than_stated") && !has(&sheet, "extrapolated"));
    assert!(has(&sheet, "calibration_not_in_budget"));
    input["reference_irradiance"] = json!("1050 W/m²");
    input["power_doubt"] = standard(0.01, "kW");
    input["irradiance_doubt"] = standard(0.2, "W/m²");
    let sheet = run(&input);
    assert!(has(&sheet, "scatter_larger_than_stated") && has(&sheet, "extrapolated"));
    input["method"] = json!("ols");
    input["irradiance_doubt"] = standard(20.0, "W/m²");
    assert!(has(&run(&input), "attenuated"));
}

#[test]
fn a_missing_doubt_is_named_and_a_limit_needs_its_irradiance() {
    let sheet = run(&example("good-doubt-missing"));
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert_eq!(sheet.missing.iter().map(|m| m.field.as_str()).collect::<Vec<_>>(), ["power_doubt"]);
    let mut input = example("good-guarded-with-calibration");
    input.as_object_mut().unwrap().remove("reference_irradiance");
    let sheet = run(&input);
    assert_eq!(sheet.missing[0].field, "reference_irradiance");
    let sheet = run(&json!({}));
    let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
    assert_eq!(named, ["method", "points"]);
}

proptest! {
    /// Points on a line give the line, in any order; the same ones moved up by c give a + c.
    #[test]
    fn a_line_is_found_again(
        a in -10.0..-1.0_f64, b in 0.01..0.05_f64, up in -3.0..3.0_f64,
        bends in prop::collection::vec(-0.2..0.2_f64, 5..15), method in 0..3_usize,
    ) {
        let method = ["ols", "deming", "york"][method];
        let make = |up: f64, bend: f64, turned: bool| {
            let mut pairs: Vec<(f64, f64)> = bends.iter().enumerate().map(|(i, e)| {
                let x = 300.0 + 60.0 * f64::from(u32::try_from(i).unwrap());
                (x, a + up + b * x + bend * e)
            }).collect();
            if turned { pairs.reverse(); }
            run(&json!({
                "points": points(pairs), "method": method, "reference_irradiance": "900 W/m²",
                "irradiance_doubt": standard(6.0, "W/m²"), "power_doubt": standard(0.1, "kW"),
            }))
        };
        let exact = make(0.0, 0.0, false);
        prop_assert!((value(&exact, "slope") - b).abs() < 1e-9);
        prop_assert!((value(&exact, "threshold") + a / b).abs() < 1e-5);
        let (one, other) = (make(0.0, 1.0, false), make(0.0, 1.0, true));
        for name in ["slope", "intercept", "u_slope", "confidence", "prediction"] {
            let (one, other) = (value(&one, name), value(&other, name));
            prop_assert!((one - other).abs() <= 1e-6 * one.abs(), "{name} {one} {other}");
        }
        let higher = make(up, 1.0, false);
        prop_assert!((value(&higher, "intercept") - value(&one, "intercept") - up).abs() < 1e-6);
        prop_assert!((value(&higher, "slope") - value(&one, "slope")).abs() < 1e-9);
        prop_assert!(value(&one, "prediction") > value(&one, "confidence"));
    }
}
