//! The energy of a year: open data against NumPy, trade facts, gaps, and what it has to obey.

use std::fmt::Write as _;

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{each_is_missed, example, flagged, refused};
use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{close, number, rows};

const NAME: &str = "annual-energy";

fn model() -> Value {
    json!({
        "at_zero": "-5 kW", "rise_per_1000": "30 kW", "largest": "25 kW", "standby": "60 W",
        "rated": "25 kW", "mirror_area": "87.7 m²"
    })
}

fn year(values: &Value, model: &Value) -> Value {
    json!({"year": {"values": values, "unit": "W/m²", "step": "1 h"}, "model": model})
}

/// The table's two thresholds, and eight more cases against NumPy on the same 8760 hours.
#[test]
fn a_typical_year_of_open_data() {
    let mut cases = String::new();
    let mut asked = Vec::new();
    for threshold in [200.0, 300.0, 166.7, 50.0] {
        for cleanliness in [1.0, 0.9, 0.5] {
            writeln!(cases, "-5 0.03 25 {threshold} 0.06 {cleanliness}").unwrap();
            asked.push((threshold, cleanliness));
        }
    }
    let answer: Value = serde_json::from_str(&oracle("year.py", &cases)).unwrap();
    let mut sheets = Vec::new();
    for ((threshold, cleanliness), expected) in
        asked.iter().zip(answer["cases"].as_array().unwrap())
    {
        let mut model = model();
        model["runs_from"] = json!(format!("{threshold} W/m²"));
        model["cleanliness"] = json!(format!("{cleanliness}"));
        let sheet = run(NAME, &year(&answer["dni"], &model));
        for name in ["made", "drawn", "on_hours"] {
            close(result(&sheet, name), expected[name].as_f64().unwrap(), 1e-5, name);
        }
        for name in ["irradiation", "irradiation_on"] {
            // The irradiation shown is that of the sky, not what dirty mirrors leave of it.
            let sky = expected[name].as_f64().unwrap() / cleanliness;
            close(result(&sheet, name), sky, 1e-5, name);
        }
        sheets.push((*threshold, *cleanliness, sheet));
    }
    for row in rows("annual_energy.csv") {
        let alike = |one: f64, other: f64| (one - other).abs() < 1e-9;
        let clean = |one: &&(f64, f64, Sheet)| alike(one.0, number(&row[0])) && alike(one.1, 1.0);
        let (_, _, sheet) = sheets.iter().find(clean).unwrap();
        let names = [
            "irradiation",
            "on_hours",
            "irradiation_on",
            "made",
            "drawn",
            "net",
            "capacity_factor",
        ];
        for (name, cell) in names.iter().zip(&row[1..]) {
            close(result(sheet, name), number(cell), 1e-5, name);
        }
    }
}

/// Common practice, no source: 56 000 kWh a year at 23 % average efficiency. Here as a table of
/// hours with a line through zero, on the 87.7 m² of the other trade figures: that needs
/// 2 776 kWh/m² of direct light.
#[test]
fn the_figures_of_the_trade_agree_with_each_other() {
    let input = json!({
        "bins": [{"irradiance": "0 W/m²", "duration": "5289.2 h"},
                 {"irradiance": "800 W/m²", "duration": "3470.8 h"}],
        "model": {"at_zero": "0 kW", "rise_per_1000": "20.17 kW", "standby": "0 W",
                  "runs_from": "1 W/m²", "mirror_area": "87.7 m²"}
    });
    let sheet = run(NAME, &input);
    close(result(&sheet, "net"), 56_000.0, 1e-3, "net");
    close(result(&sheet, "efficiency"), 23.0, 1e-3, "efficiency");
    close(result(&sheet, "irradiation"), 56_000.0 / 0.23 / 87.7, 1e-3, "irradiation");
}

#[test]
fn gaps_are_judged_by_the_stated_rule_only() {
    let gap = example(NAME, "good-gap-without-rule");
    let sheet = run(NAME, &gap);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert_eq!(sheet.missing[0].field, "year.gaps");
    assert!(sheet.results.is_empty());
    let by = |rule: &str, limit: &str| {
        let mut input = gap.clone();
        input["year"]["gaps"] = json!(rule);
        input["limit"] = json!({"value": limit, "source": "contract"});
        run(NAME, &input)
    };
    let (out, scaled) = (by("left_out", "1 kWh"), by("scaled", "1 kWh"));
    assert!(flagged(&out, "missing_values") && flagged(&scaled, "missing_values"));
    close(result(&scaled, "net"), result(&out, "net") * 24.0 / 22.0, 1e-4, "scaled");
    // More light can only add, so a limit that is kept without the missing hours is kept.
    assert_eq!(out.verdict, Verdict::Pass);
    let short = by("left_out", "1 MWh");
    assert_eq!(short.verdict, Verdict::NotJudged);
    assert!(short.reason.contains("2 of 24"), "{}", short.reason);
    assert_eq!(by("scaled", "1 MWh").verdict, Verdict::Fail);
}

/// Halves of the doubt: 1.5 % of the line acts on what is made alone, 1.5 % of the light on more.
#[test]
fn the_doubt_is_that_of_the_line() {
    let sheet = run(NAME, &example(NAME, "good-table-of-hours"));
    let u: f64 = sheet.combined.as_ref().unwrap().standard.parse().unwrap();
    let made = result(&sheet, "made");
    let by_line: f64 = sheet.doubt[1].contribution.parse().unwrap();
    let by_light: f64 = sheet.doubt[0].contribution.parse().unwrap();
    close(by_line, 0.015 * made, 1e-3, "line");
    assert!(by_light > by_line, "a line below zero at no light gains more than its share");
    close(u, by_line.hypot(by_light), 5e-3, "combined");
    assert!(sheet.rule.unwrap().acceptance_limit.is_some());
}

#[test]
fn what_is_missing_is_named() {
    let table = example(NAME, "good-table-of-hours");
    each_is_missed(NAME, &table, &["model/at_zero", "model/rise_per_1000", "model/standby"]);
    let day = example(NAME, "good-one-day");
    each_is_missed(NAME, &day, &["year/unit", "year/step", "year/values"]);
}

#[test]
fn a_bad_value_is_refused_by_its_place() {
    let mut day = example(NAME, "good-one-day");
    for (bad, code) in [("9999", "implausible"), ("-9999", "implausible"), ("n/a", "not_a_number")]
    {
        day["year"]["values"][3] = json!(bad);
        let refusal = refused(NAME, &day);
        assert_eq!(refusal.field, "year.values[3]", "{refusal}");
        assert!(refusal.code == code || bad == "n/a", "{refusal}");
        assert!(refusal.sentence.contains("Value 4"), "{refusal}");
    }
}

proptest! {
    /// More light, cleaner mirrors, more hours running or a lower threshold never give less; kW and W,
    /// or Btu and W, give the same.
    #[test]
    fn more_never_gives_less(
        light in prop::collection::vec(0_i32..1100, 4..30),
        standby in 1_i32..200, clean in 50_i32..99, up in 50_i32..99,
    ) {
        let values: Vec<String> = light.iter().map(ToString::to_string).collect();
        let with = |clean: i32, up: i32, unit: &str, values: &[String]| {
            let mut model = model();
            model["standby"] = json!(format!("{standby} W"));
            model["cleanliness"] = json!(format!("{clean} %"));
            model["availability"] = json!(format!("{up} %"));
            let mut input = year(&json!(values), &model);
            input["year"]["unit"] = json!(unit);
            result(&run(NAME, &input), "net")
        };
        let plain = with(clean, up, "W/m²", &values);
        prop_assert!(with(clean + 1, up, "W/m²", &values) >= plain - 1e-9);
        prop_assert!(with(clean, up + 1, "W/m²", &values) >= plain - 1e-9);
        let more: Vec<String> = light.iter().map(|g| (g + 50).to_string()).collect();
        prop_assert!(with(clean, up, "W/m²", &more) >= plain - 1e-9);
        let kilowatts: Vec<String> =
            light.iter().map(|g| format!("{}", f64::from(*g) / 1000.0)).collect();
        let same = with(clean, up, "kW/m²", &kilowatts);
        prop_assert!((same - plain).abs() <= 1e-4 * plain.abs().max(1.0), "{same} {plain}");
        let mut turned = values.clone();
        turned.reverse();
        prop_assert!((with(clean, up, "W/m²", &turned) - plain).abs() <= 1e-4 * plain.abs().max(1.0));
    }
}
