//! Steady windows: cases by hand, a second implementation with pandas, and the way to a line.

use std::fmt::Write as _;

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::performance_line::value;
use crate::table::{number, rows};

fn run(input: &Value) -> Sheet {
    let calculation = acceptance::calculation("steady-windows").unwrap();
    calculation.run(input).unwrap_or_else(|refusal| panic!("{refusal}"))
}

fn example(name: &str) -> Value {
    let calculation = acceptance::calculation("steady-windows").unwrap();
    let example = calculation.examples().iter().find(|example| example.name == name).unwrap();
    serde_json::from_str(example.text).unwrap()
}

fn table<'a>(sheet: &'a Sheet, name: &str) -> &'a acceptance::Table {
    sheet.tables.iter().find(|table| table.name == name).unwrap()
}

/// A stamp some minutes after seven.
fn stamp(minute: usize) -> String {
    format!("2026-09-10T{:02}:{:02}:00-03:00", 7 + minute / 60, minute % 60)
}

fn series(unit: &str, values: &[f64]) -> Value {
    json!({
        "unit": unit, "interval": "1 min", "label": "start",
        "times": (0..values.len()).map(stamp).collect::<Vec<_>>(),
        "values": values.iter().map(|v| if v.is_nan() { String::new() } else { v.to_string() })
            .collect::<Vec<_>>(),
    })
}

fn input(irradiance: &[f64], power: &[f64]) -> Value {
    json!({
        "irradiance": series("W/m²", irradiance), "power": series("kW", power),
        "criteria": {
            "minimum_irradiance": "700 W/m²", "irradiance_change": "5 %", "settle": "0 min",
            "minimum_length": "10 min", "maximum_length": "10 min",
        },
    })
}

#[test]
fn cases_by_hand() {
    for row in rows("steady_windows.csv") {
        let [name, minutes, irradiance, change, settle, shortest, longest, windows, steady, _] =
            row.try_into().unwrap();
        let minutes: usize = minutes.parse().unwrap();
        let mut input = input(&vec![number(&irradiance); minutes], &vec![18.0; minutes]);
        input["criteria"]["irradiance_change"] = json!(change);
        input["criteria"]["settle"] = json!(settle);
        input["criteria"]["minimum_length"] = json!(shortest);
        if longest.is_empty() {
            input["criteria"].as_object_mut().unwrap().remove("maximum_length");
        }
        let sheet = run(&input);
        let got = (value(&sheet, "windows"), value(&sheet, "steady_time"));
        let close = |one: f64, other: &str| (one - number(other)).abs() < 1e-9;
        assert!(close(got.0, &windows) && close(got.1, &steady), "{name}: {got:?}");
        let left: usize = table(&sheet, "rejected").rows.iter().map(|r| parse(&r[2])).sum();
        let taken: usize = table(&sheet, "windows").rows.iter().map(|r| parse(&r[3])).sum();
        assert_eq!(left + taken, minutes, "{name}: every step is in a window or left out");
    }
}

fn parse(text: &str) -> usize {
    text.parse().unwrap()
}

/// One resolution inside and outside of the change, in percent and in W/m².
#[test]
fn at_the_edge_of_the_change() {
    // Nine at 800 and one at 840: mean 804, so the last is 36 W/m² or 4.4776 % from it.
    let mut values = vec![800.0; 10];
    values[9] = 840.0;
    let mut input = input(&values, &[18.0; 10]);
    for (change, windows) in [
        ("36 W/m²", 1.0),
        ("35.9 W/m²", 0.0),
        ("4.478 %", 1.0),
        ("4.477 %", 0.0),
        ("0.036 kW/m²", 1.0),
    ] {
        input["criteria"]["irradiance_change"] = json!(change);
        let sheet = run(&input);
        assert!((value(&sheet, "windows") - windows).abs() < 1e-9, "{change}");
        let reasons = &table(&sheet, "rejected").rows;
        assert_eq!(reasons.is_empty(), windows > 0.5);
        assert!(reasons.iter().take(1).all(|row| row[3].contains("36.00 W/m² from its mean")));
    }
}

/// A gap is bridged up to its limit, is never filled, and counts as missing.
#[test]
fn gaps() {
    let mut values = vec![800.0; 30];
    values[12] = f64::NAN;
    values[13] = f64::NAN;
    let mut power: Vec<f64> = (0..30_u32).map(f64::from).collect();
    power[5] = f64::NAN;
    let mut input = input(&values, &power);
    let sheet = run(&input);
    // 0–4, 6–11 and 14–29: only the last holds a ten.
    assert_eq!(sheet.result("windows").unwrap().value, "1");
    assert_eq!(table(&sheet, "windows").rows[0][0], stamp(14));
    input["criteria"]["longest_gap"] = json!("2 min");
    input["criteria"]["missing"] = json!("20 %");
    let sheet = run(&input);
    assert_eq!(sheet.result("windows").unwrap().value, "3");
    let rows = &table(&sheet, "windows").rows;
    assert_eq!([&rows[0][4], &rows[1][4], &rows[2][4]], ["1", "2", "0"]);
    // Mean of 0 to 9 without 5, and of 10 to 19 without 12 and 13.
    assert!((number(&rows[0][8]) - 40.0 / 9.0).abs() < 1e-4, "{}", rows[0][8]);
    assert!((number(&rows[1][8]) - 120.0 / 8.0).abs() < 1e-4, "{}", rows[1][8]);
    input["criteria"]["missing"] = json!("15 %");
    let sheet = run(&input);
    let rejected = &table(&sheet, "rejected").rows;
    assert!(rejected.iter().any(|row| row[3].contains("20.00 % of a window")), "{rejected:?}");
}

/// A series in coarser steps holds over the steps that it covers; one in finer steps is averaged.
#[test]
fn steps_of_other_length() {
    let mut input = input(&[800.0; 20], &[18.0; 20]);
    input["wind"] = json!({
        "unit": "km/h", "interval": "10 min", "label": "end",
        "times": [stamp(10), stamp(20)], "values": ["18", "36"],
    });
    input["criteria"]["wind"] = json!("8 m/s");
    let sheet = run(&input);
    let rows = &table(&sheet, "windows").rows;
    assert_eq!(rows.len(), 1);
    assert_eq!((&rows[0][0], number(&rows[0][10])), (&stamp(0), 5.0));
    assert!(
        table(&sheet, "rejected").rows[0][3].contains("wind"),
        "{:?}",
        table(&sheet, "rejected")
    );
    let halves: Vec<f64> = (0..40).map(|i| if i % 2 == 0 { 790.0 } else { 810.0 }).collect();
    let times: Vec<String> =
        (0..40).map(|i| format!("2026-09-10T07:{:02}:{:02}-03:00", i / 2, 30 * (i % 2))).collect();
    input["irradiance"] = json!({
        "unit": "W/m²", "interval": "30 s", "label": "start", "times": times,
        "values": halves.iter().map(f64::to_string).collect::<Vec<_>>(),
    });
    let sheet = run(&input);
    assert!((number(&table(&sheet, "windows").rows[0][6]) - 800.0).abs() < 1e-9);
}

#[test]
fn too_few_windows_are_not_judged_and_missing_limits_are_named() {
    let sheet = run(&example("good-too-few"));
    assert_eq!(sheet.verdict, Verdict::NotJudged, "{}", sheet.reason);
    assert!(sheet.reason.contains("6 windows are asked for"), "{}", sheet.reason);
    let sheet = run(&example("good-wind-missing"));
    assert_eq!(sheet.missing[0].field, "wind");
    let sheet = run(&json!({}));
    let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
    assert_eq!(
        named,
        [
            "irradiance",
            "power",
            "criteria.minimum_irradiance",
            "criteria.irradiance_change",
            "criteria.settle",
            "criteria.minimum_length"
        ]
    );
}

/// The rows of `points` are points of `performance-line`, under its own field names.
#[test]
fn windows_feed_a_line() {
    let sheet = run(&example("good-morning-with-cloud"));
    let points = table(&sheet, "points");
    let points: Vec<Value> = points
        .rows
        .iter()
        .map(|row| points.columns.iter().cloned().zip(row.iter().map(|cell| json!(cell))).collect())
        .map(Value::Object)
        .collect();
    let line = crate::performance_line::run(&json!({
        "points": points, "method": "ols", "reference_irradiance": "850 W/m²",
    }));
    // The example's power is −3.44 kW + 0.0268 kW/(W/m²)·G, rounded to 10 W.
    assert!((value(&line, "slope") - 0.0268).abs() < 5e-5, "{}", value(&line, "slope"));
    assert!((value(&line, "power_at_reference") - 19.34).abs() < 5e-3);
    let figure = sheet.figure.unwrap();
    let marked = figure.series.iter().find(|series| series.name == "windows").unwrap();
    assert_eq!(marked.points.len(), 49, "50 steps less the one without irradiance");
}

/// Every choice again by pandas and a plain search over all beginnings.
#[test]
fn by_pandas() {
    let mut text = String::new();
    let mut state = 7_u64;
    let mut next = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963);
        f64::from(u32::try_from(state >> 33).unwrap()) / f64::from(u32::MAX >> 1)
    };
    let mut inputs = vec![example("good-morning-with-cloud")];
    for set in 0..30_usize {
        let mut irradiance = Vec::new();
        let mut level = 800.0;
        for _ in 0..180 {
            level += 14.0 * (next() - 0.5);
            let cloud = next() < 0.02;
            irradiance.push(if next() < 0.02 {
                f64::NAN
            } else if cloud {
                400.0
            } else {
                level
            });
        }
        // Where irradiance is missing, power is sometimes there and sometimes not.
        let mut power = Vec::new();
        for g in &irradiance {
            power.push(match (next() < 0.01, g.is_nan(), next() < 0.5) {
                (true, ..) | (_, true, false) => f64::NAN,
                (_, true, true) => 20.0,
                (_, false, _) => 0.03 * g - 5.0,
            });
        }
        let mut input = input(&irradiance, &power);
        let wind: Vec<f64> = (0..180).map(|_| 12.0 * next()).collect();
        let air: Vec<f64> = (0..180).map(|_| 20.0 + next()).collect();
        input["wind"] = series("m/s", &wind);
        input["ambient"] = series("°C", &air);
        let criteria = &mut input["criteria"];
        criteria["wind"] = json!("7 m/s");
        criteria["ambient_change"] = json!("0.6 K");
        criteria["settle"] = json!(format!("{} min", set % 4));
        criteria["irradiance_change"] = json!(format!("{} %", 2 + set % 4));
        criteria["longest_gap"] = json!(format!("{} min", set % 3));
        criteria["missing"] = json!("15 %");
        match set % 3 {
            0 => drop(criteria.as_object_mut().unwrap().remove("maximum_length")),
            1 => criteria["maximum_length"] = json!("25 min"),
            _ => {}
        }
        inputs.push(input);
    }
    for input in inputs {
        let sheet = run(&input);
        let case = json!({
            "input": input, "windows": table(&sheet, "windows").rows,
            "rejected": table(&sheet, "rejected").rows,
        });
        writeln!(text, "{case}").unwrap();
    }
    let report = oracle("steady_windows.py", &text);
    assert!(report.contains("31 series agree"), "{report}");
}

proptest! {
    /// Every step is in a window or left out, once; other units give the same windows.
    #[test]
    fn every_step_is_counted_once(
        values in prop::collection::vec(650.0..900.0_f64, 20..60), change in 1..8_u32,
        settle in 0..4_u32,
    ) {
        let power = vec![15.0; values.len()];
        let mut input = input(&values, &power);
        input["criteria"]["irradiance_change"] = json!(format!("{change} %"));
        input["criteria"]["settle"] = json!(format!("{settle} min"));
        input["criteria"]["minimum_length"] = json!("3 min");
        let sheet = run(&input);
        let left: usize = table(&sheet, "rejected").rows.iter().map(|r| parse(&r[2])).sum();
        let taken: usize = table(&sheet, "windows").rows.iter().map(|r| parse(&r[3])).sum();
        prop_assert_eq!(left + taken, values.len());
        input["irradiance"]["unit"] = json!("kW/m²");
        for value in input["irradiance"]["values"].as_array_mut().unwrap() {
            *value = json!((number(value.as_str().unwrap()) / 1e3).to_string());
        }
        input["criteria"]["minimum_irradiance"] = json!("0.7 kW/m²");
        input["criteria"]["settle"] = json!(format!("{} s", 60 * settle));
        let other = run(&input);
        let starts = |sheet: &Sheet| {
            table(sheet, "windows").rows.iter().map(|r| r[0].clone()).collect::<Vec<_>>()
        };
        prop_assert_eq!(starts(&sheet), starts(&other));
    }
}
