//! What is judged, what is not, and what is refused.

use acceptance::Verdict;
use serde_json::json;

use crate::decay_cases::{case_a, circuit, run, value};

fn code(input: &serde_json::Value) -> (String, String) {
    let calculation = acceptance::calculation("pressure-decay").unwrap();
    let refusal = calculation.run(input).unwrap_err();
    assert!(!refusal.sentence.is_empty() && !refusal.next_step.is_empty(), "{refusal:?}");
    (refusal.code, refusal.field)
}

fn has_flag(sheet: &acceptance::Sheet, code: &str) -> bool {
    sheet.flags.iter().any(|flag| flag.code == code)
}

#[test]
fn one_kelvin_changes_the_verdict() {
    let mut input = circuit();
    assert_eq!(run(&input).verdict, Verdict::Pass);
    input["end"]["temperature"] = json!("13.0 °C");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::Fail, "{}", sheet.reason);
}

/// 0.5 K at each end alone is ±0.24 % of contents, so U is more than a third of 1 %.
#[test]
fn doubt_beyond_a_third_of_the_limit_is_not_judged() {
    let mut input = circuit();
    input["uncertainty"]["temperature"] = json!({"value": "0.5 K", "distribution": "standard"});
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    let expanded: f64 = sheet.combined.as_ref().unwrap().expanded.parse().unwrap();
    assert!(expanded > 0.45 && expanded < 0.60, "√2·0.5 K in ~288 K, twice: {expanded}");
    assert!(sheet.reason.contains(&sheet.combined.as_ref().unwrap().expanded), "{}", sheet.reason);
    assert!(sheet.reason.contains("third of the limit, 0.333 %"), "{}", sheet.reason);
    let loss = &sheet.result("loss_scaled").unwrap().value;
    assert_eq!(loss, "0.76", "the loss is shown all the same");
}

#[test]
fn a_short_hold_is_not_judged() {
    let mut input = circuit();
    input["elapsed"] = json!("11 h");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(sheet.reason.contains("lasted 11.00 h") && sheet.reason.contains("12.00 h"));
}

/// A night in which the clocks jump has 11 h between 18:05 and 06:05.
#[test]
fn wall_clocks_are_not_elapsed_time() {
    let mut input = circuit();
    input.as_object_mut().unwrap().remove("elapsed");
    input["start"]["at"] = json!("2026-09-05T18:05:00-04:00");
    input["end"]["at"] = json!("2026-09-06T06:05:00-03:00");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(sheet.reason.contains("lasted 11.00 h"), "{}", sheet.reason);
    assert!(has_flag(&sheet, "elapsed_from_moments"));
    // Typed as 12 h, the same night is not judged either: one of the two must be wrong.
    input["elapsed"] = json!("12 h");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(sheet.reason.contains("differ by 60"), "{}", sheet.reason);
}

#[test]
fn a_coarse_display_is_not_judged() {
    let mut input = circuit();
    input["start"]["gauge_pressure"] = json!("110 bar");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::NotJudged, "one bar steps");
    assert!(sheet.reason.contains("ten steps"), "{}", sheet.reason);
    input["uncertainty"]["gauge_resolution"] = json!("0.1 bar");
    assert_eq!(run(&input).verdict, Verdict::Pass, "the display's step was said");
}

#[test]
fn guarded_and_simple_differ_near_the_limit() {
    let mut input = circuit();
    input["end"]["gauge_pressure"] = json!("104.5 bar");
    let loss = value(&run(&input), "loss_scaled");
    assert!(loss > 0.9 && loss < 1.0, "{loss}");
    assert_eq!(run(&input).verdict, Verdict::Pass);
    input["rule"] = json!("guarded");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::Fail, "{}", sheet.reason);
    assert!(sheet.reason.contains("acceptance limit of 0.889"), "{}", sheet.reason);
    input["conformance"] = json!("60 %");
    assert_eq!(run(&input).verdict, Verdict::Pass, "w = 0.2533·u only");
    input["conformance"] = json!("40 %");
    assert_eq!(code(&input), ("out_of_range".into(), "conformance".into()));
    input["conformance"] = json!("95 %");
    input["rule"] = json!("simple");
    assert_eq!(code(&input), ("conformance_without_guard".into(), "conformance".into()));
}

#[test]
fn large_changes_are_flagged_and_gains_are_not_judged() {
    let mut input = circuit();
    assert!(!has_flag(&run(&input), "pressure_change"));
    input["end"]["gauge_pressure"] = json!("99.0 bar");
    assert!(!has_flag(&run(&input), "pressure_change"), "11.0 of 110.862 bar is below 10 %");
    input["end"]["gauge_pressure"] = json!("98.8 bar");
    assert!(has_flag(&run(&input), "pressure_change"));
    let mut input = circuit();
    input["gas"] = json!("nitrogen");
    let gained = run(&input);
    assert_eq!(gained.verdict, Verdict::NotJudged, "0.26 % gained with U of 0.11 %");
    assert!(gained.reason.contains("gained 0.26 %"), "{}", gained.reason);
    assert_eq!(run(&circuit()).verdict, Verdict::Pass);
}

#[test]
fn repeatability_is_asked_for_and_counted() {
    let mut input = circuit();
    let without = run(&input);
    assert!(has_flag(&without, "repeatability_not_stated"));
    input["uncertainty"]["gauge_repeatability"] =
        json!({"value": "0.1 bar", "distribution": "standard"});
    let with = run(&input);
    assert!(!has_flag(&with, "repeatability_not_stated"));
    let u = |sheet: &acceptance::Sheet| -> f64 {
        sheet.combined.as_ref().unwrap().standard.parse().unwrap()
    };
    assert!(u(&with) > 1.5 * u(&without));
}

#[test]
fn the_end_must_follow_the_start() {
    let mut input = circuit();
    for bad in ["-12 h", "0 h"] {
        input["elapsed"] = json!(bad);
        assert_eq!(code(&input), ("end_before_start".into(), "elapsed".into()));
    }
    input["elapsed"] = json!("12 h");
    input["start"]["at"] = json!("2026-08-26T06:10:00-04:00");
    input["end"]["at"] = json!("2026-08-25T18:10:00-04:00");
    assert_eq!(code(&input), ("end_before_start".into(), "end.at".into()));
    input["end"]["at"] = json!("yesterday");
    assert_eq!(code(&input), ("malformed".into(), "end.at".into()));
}

#[test]
fn readings_that_are_refused() {
    let refused = |path: &str, text: &str| {
        let mut input = circuit();
        *input.pointer_mut(path).unwrap() = json!(text);
        code(&input).0
    };
    assert_eq!(refused("/start/gauge_pressure", "1 595 bar"), "implausible");
    assert_eq!(refused("/start/gauge_pressure", "1,595 psi"), "ambiguous_number");
    assert_eq!(refused("/start/gauge_pressure", "110.9 bar(a)"), "wrong_unit");
    assert_eq!(refused("/start/gauge_pressure", ">110 bar"), "not_a_value");
    assert_eq!(refused("/end/temperature", "12.0 bar"), "wrong_unit");
    assert_eq!(refused("/end/temperature", "12.0"), "no_unit");
    assert_eq!(refused("/end/barometer", "8620 hPa"), "implausible");
    assert_eq!(refused("/end/barometer", "862 bar"), "implausible");
    assert_eq!(refused("/volume", "12.4 h"), "wrong_unit");
    assert_eq!(refused("/volume", "0 L"), "out_of_range");
    assert_eq!(refused("/limit/loss", "0 %"), "out_of_range");
    assert_eq!(refused("/limit/loss", "1.0"), "implausible", "100 %");
    assert_eq!(refused("/limit/loss", "1 bar"), "wrong_unit");
    assert_eq!(refused("/required_hold", "0 h"), "out_of_range");
    assert_eq!(refused("/uncertainty/temperature/value", "-0.15 K"), "out_of_range");
    assert_eq!(refused("/uncertainty/temperature/distribution", "expanded"), "coverage_factor");
    assert_eq!(refused("/gas", "argon"), "malformed");
}

#[test]
fn psi_is_suggested_for_1595_bar() {
    let mut input = circuit();
    input["start"]["gauge_pressure"] = json!("1 595 bar");
    let refusal = acceptance::calculation("pressure-decay").unwrap().run(&input).unwrap_err();
    assert!(refusal.sentence.contains("1595 psi(g) would be 109.97 bar(g)"), "{refusal}");
    assert!(refusal.next_step.contains("psi"), "{refusal}");
}

#[test]
fn two_kinds_of_pressure_at_once_are_refused() {
    let mut input = case_a();
    input["start"]["barometer"] = json!("862 hPa");
    assert_eq!(code(&input), ("two_pressures".into(), "start.absolute_pressure".into()));
}

#[test]
fn outside_the_range_of_the_equation_is_refused() {
    let mut input = circuit();
    input["start"]["gauge_pressure"] = json!("260 bar");
    assert_eq!(code(&input).0, "outside_validity");
    input["gas"] = json!("hydrogen");
    assert_eq!(run(&input).verdict, Verdict::NotJudged, "steps of 1 bar, but within the range");
}
