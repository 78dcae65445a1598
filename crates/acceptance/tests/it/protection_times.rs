//! Relay tests against the vectors of IEEE 1547 and a utility's sheet.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{cell, example, flagged, missing, refused, text, without};
use crate::sun::run;
use crate::table::rows;

const NAME: &str = "protection-times";

fn utility() -> Value {
    example(NAME, "good-utility-sheet-at-50-hz")
}

/// The verdict on the one point of a sheet.
fn of_point(category: &str, test: Value) -> (String, Sheet) {
    let sheet = run(
        NAME,
        &json!({
            "nominal_frequency": "60 Hz", "ieee_1547": category, "tests": [test],
        }),
    );
    (cell(&sheet, "points", 0, "verdict").to_owned(), sheet)
}

#[test]
fn vectors_of_the_table() {
    for row in rows("protection_times.csv") {
        let mut test = json!({
            "function": row[1], "set_value": row[2], "set_time": row[3], "injected": row[4],
            "must_not_trip": row[7] == "yes", "others_blocked": row[8] == "yes",
        });
        for (cell, field) in [(&row[5], "trip_time"), (&row[6], "no_trip_for")] {
            if !cell.is_empty() {
                test[field] = json!(cell);
            }
        }
        let (verdict, sheet) = of_point(&row[0], test);
        assert_eq!(verdict, row[9], "{}: {}", row[10], cell(&sheet, "points", 0, "judged"));
    }
}

/// Defaults and ranges as the public transcription has them; category III in a second one too.
#[test]
fn ranges_of_the_standard() {
    for (category, function, threshold, time, taken) in [
        ("i", "UV1", "0.88 pu", "21 s", true),
        ("i", "UV1", "0.89 pu", "2 s", false),
        ("ii", "UV1", "0.70 pu", "1.9 s", false),
        ("iii", "UV1", "0.88 pu", "21 s", true),
        ("iii", "UV1", "0.88 pu", "20 s", false),
        ("iii", "UV2", "0.50 pu", "2 s", true),
        ("ii", "OV2", "1.21 pu", "0.16 s", false),
        ("ii", "OV1", "1.20 pu", "13 s", true),
        ("ii", "OV1", "1.10 pu", "13.1 s", false),
        ("ii", "OF2", "61.8 Hz", "1000 s", true),
        ("ii", "UF1", "59.1 Hz", "300 s", false),
        ("ii", "UF2", "50.0 Hz", "0.16 s", true),
    ] {
        let input = json!({
            "nominal_frequency": "60 Hz", "ieee_1547": category,
            "sheet": [{"function": function, "threshold": threshold, "clearing_time": time}],
            "tests": [{"function": function, "set_value": threshold, "set_time": "0.1 s"}],
        });
        let result = acceptance::calculation(NAME).unwrap().run(&input);
        assert_eq!(result.is_ok(), taken, "{category} {function} {threshold} {time}");
        if let Err(refusal) = result {
            assert_eq!(refusal.code, "outside_the_range");
        }
    }
    assert_eq!(
        refused(NAME, &example(NAME, "wrong-standard-at-50-hz")).code,
        "standard_is_for_60_hz"
    );
}

#[test]
fn whole_sheets_pass() {
    for name in ["good-utility-sheet-at-50-hz", "good-category-ii-at-60-hz"] {
        let sheet = run(NAME, &example(NAME, name));
        assert_eq!(sheet.verdict, Verdict::Pass, "{name}: {}", sheet.reason);
        assert!(sheet.findings.is_empty() && sheet.missing.is_empty());
        assert!(sheet.figure.is_some());
    }
    assert_eq!(text(&run(NAME, &utility()), "pass"), "5");
}

/// A setting is that of the sheet to the last digit that the relay shows, in pu as in volts.
#[test]
fn settings_line_by_line() {
    for (set, verdict) in [
        ("0.80 pu", "pass"),
        ("80 %", "pass"),
        ("320 V", "pass"),
        ("320.1 V", "fail"),
        ("0.81 pu", "fail"),
        ("0.8 pu", "pass"),
    ] {
        let mut input = utility();
        input["tests"][0]["set_value"] = json!(set);
        let sheet = run(NAME, &input);
        assert_eq!(cell(&sheet, "functions", 0, "setting verdict"), verdict, "{set}");
    }
    // 2.0 s of clearing less 60 ms of breaker: 1.94 s can be set, 1.95 s not.
    for (set, trip, verdict) in [("1.94 s", "1.94 s", "pass"), ("1.95 s", "1.94 s", "fail")] {
        let mut input = utility();
        input["tests"][0]["set_time"] = json!(set);
        input["tests"][0]["trip_time"] = json!(trip);
        assert_eq!(cell(&run(NAME, &input), "functions", 0, "setting verdict"), verdict, "{set}");
    }
    let mut exact = utility();
    exact["sheet"][0].as_object_mut().unwrap().remove("clearing_time");
    exact["sheet"][0]["set_time"] = json!("1.9 s");
    assert_eq!(cell(&run(NAME, &exact), "functions", 0, "setting verdict"), "pass");
    exact["tests"][0]["set_time"] = json!("1.80 s");
    assert_eq!(cell(&run(NAME, &exact), "functions", 0, "setting verdict"), "fail");
}

/// With the breaker's time stated, trip times are the relay's own: late for the setting is seen.
#[test]
fn breaker_and_late_trips() {
    for (trip, verdict) in [
        ("1.94 s", "pass"),  // 1.90 s + two cycles of 50 Hz
        ("1.941 s", "fail"), // with the breaker 2.001 s
        ("1.859 s", "fail"), // 1.90 s − 40 ms is 1.86 s
        ("1.86 s", "pass"),
    ] {
        let mut input = utility();
        input["tests"][0]["trip_time"] = json!(trip);
        assert_eq!(cell(&run(NAME, &input), "points", 0, "verdict"), verdict, "{trip}");
    }
    let mut late = utility();
    late["tests"][3]["trip_time"] = json!("0.441 s");
    assert_eq!(
        cell(&run(NAME, &late), "points", 3, "judged").split(':').next(),
        Some(
            "picks up 0 Hz from its setting, ±0.0100 Hz allowed; disconnected after 0.50100 s, by 0.50000 s required"
        )
    );
    let blind = run(NAME, &without(&utility(), "breaker_time"));
    assert!(flagged(&blind, "breaker_time_not_stated"));
}

#[test]
fn pickup_within_tolerance() {
    for (pickup, verdict) in
        [("0.79 pu", "pass"), ("0.789 pu", "fail"), ("0.81 pu", "pass"), ("324.4 V", "fail")]
    {
        let mut input = utility();
        input["tests"][0]["pickup"] = json!(pickup);
        assert_eq!(cell(&run(NAME, &input), "points", 0, "verdict"), verdict, "{pickup}");
    }
    let mut wide = utility();
    wide["tests"][0]["pickup"] = json!("0.789 pu");
    wide["tolerances"] = json!({"voltage": "2 %"});
    assert_eq!(cell(&run(NAME, &wide), "points", 0, "verdict"), "pass");
    let mut hertz = utility();
    hertz["tests"][3]["pickup"] = json!("47.48 Hz");
    assert_eq!(cell(&run(NAME, &hertz), "points", 3, "verdict"), "fail", "20 mHz of 10 mHz");
}

/// A function of which no trip was seen is not passed by the others.
#[test]
fn every_function_has_to_be_seen() {
    let mut input = utility();
    input["tests"].as_array_mut().unwrap().retain(|test| test["function"] != "59-1");
    let sheet = run(NAME, &input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(sheet.reason.contains("59-1: no trip of its own was seen"), "{}", sheet.reason);
}

/// Loss of the grid: 2 s, and both states of the capacitors.
#[test]
fn loss_of_the_grid() {
    let one = run(NAME, &example(NAME, "good-one-capacitor-state"));
    assert_eq!(one.verdict, Verdict::NotJudged);
    assert!(one.reason.contains("not tried with capacitors out"), "{}", one.reason);
    for (time, verdict) in [("2.0 s", Verdict::Pass), ("2.01 s", Verdict::Fail)] {
        let mut input = utility();
        input["islands"][0]["trip_time"] = json!(time);
        assert_eq!(run(NAME, &input).verdict, verdict, "{time}");
    }
    let mut held = without(&utility(), "islands/0/trip_time");
    held["islands"][0]["no_trip_for"] = json!("2 s");
    assert_eq!(run(NAME, &held).verdict, Verdict::Fail);
    let mut standard = example(NAME, "good-category-ii-at-60-hz");
    standard["islands"][0]["trip_time"] = json!("2.1 s");
    assert_eq!(run(NAME, &standard).verdict, Verdict::Fail, "2 s of the standard");
    assert_eq!(missing(&run(NAME, &without(&utility(), "island_limit"))), ["island_limit"]);
    let mut alone = utility();
    for part in ["tests", "sheet", "enter_service", "enter_service_limit"] {
        alone = without(&alone, part);
    }
    let sheet = run(NAME, &alone);
    assert_eq!(sheet.verdict, Verdict::Pass);
    assert!(flagged(&sheet, "relay_not_tested"), "a pass here is no pass of the relay");
    assert!(!sheet.reason.contains("setting"), "{}", sheet.reason);
}

/// Re-connection: 300 s, 0.917 to 1.05 pu and 59.5 to 60.1 Hz with the standard (from memory).
#[test]
fn enter_service() {
    for (field, value, verdict) in [
        ("delay", "300 s", Verdict::Pass),
        ("delay", "299.9 s", Verdict::Fail),
        ("delay", "5 min", Verdict::Pass),
        ("voltage", "1.05 pu", Verdict::Pass),
        ("voltage", "1.06 pu", Verdict::Fail),
        ("voltage", "0.91 pu", Verdict::Fail),
        ("frequency", "60.1 Hz", Verdict::Pass),
        ("frequency", "59.4 Hz", Verdict::Fail),
    ] {
        let mut input = example(NAME, "good-category-ii-at-60-hz");
        input["enter_service"][field] = json!(value);
        assert_eq!(run(NAME, &input).verdict, verdict, "{field} {value}");
    }
}

#[test]
fn what_is_missing_is_named() {
    let sheet = run(NAME, &example(NAME, "good-set-time-missing"));
    assert_eq!((sheet.verdict, missing(&sheet)), (Verdict::NotJudged, vec!["tests[1].set_time"]));
    for (path, named) in [
        ("nominal_frequency", "nominal_frequency"),
        ("sheet/2/threshold", "sheet[2].threshold"),
        ("sheet/2/kind", "sheet[2].kind"),
        ("sheet", "sheet"),
        ("tests/0/injected", "tests[0].injected"),
        ("tests/0/trip_time", "tests[0].trip_time"),
        ("islands/0/capacitors", "islands[0].capacitors"),
        ("enter_service/delay", "enter_service.delay"),
    ] {
        let sheet = run(NAME, &without(&utility(), path));
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        assert!(missing(&sheet).contains(&named), "{path}: {:?}", missing(&sheet));
    }
    let mut volts = without(&utility(), "nominal_voltage");
    volts["tests"][0]["injected"] = json!("280 V");
    assert_eq!(missing(&run(NAME, &volts)), ["nominal_voltage"]);
    assert_eq!(missing(&run(NAME, &json!({}))), ["tests"]);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

    /// A later trip is never better once it is not too early; volts and pu say the same.
    #[test]
    fn a_later_trip_is_never_better(milliseconds in 1860_u32..2500, later in 1_u32..200, percent in 10_u32..78) {
        let case = |time: u32, injected: String| {
            let mut input = utility();
            input["tests"][0]["injected"] = json!(injected);
            input["tests"][0]["others_blocked"] = json!(true);
            input["tests"][0]["trip_time"] = json!(format!("{time} ms"));
            cell(&run(NAME, &input), "points", 0, "verdict").to_owned()
        };
        let early = case(milliseconds, format!("{percent} %"));
        let late = case(milliseconds + later, format!("{percent} %"));
        prop_assert!(!(early == "fail" && late == "pass"));
        prop_assert_eq!(early, case(milliseconds, format!("{} V", 4 * percent)));
    }
}
