//! Readings of a wrong instrument: exact sums at the limit, points, proportion, guard band.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{cell, each_is_missed, example, flagged, missing, refused, text, without};
use crate::sun::run;
use crate::table::rows;

const NAME: &str = "reading-margin";

fn one(kind: &str, error: &str, reading: &str, at_most: &str) -> Value {
    json!({
        "measures": kind, "shows_low_by": error, "applies": "same_everywhere",
        "at_most": at_most, "readings": [{"value": reading}],
    })
}

fn verdict(name: &str) -> Verdict {
    serde_json::from_value(json!(name)).unwrap()
}

#[test]
fn cases_of_the_table() {
    for row in rows("reading_margin.csv") {
        let sheet = run(NAME, &one(&row[0], &row[1], &row[2], &row[4]));
        assert_eq!(cell(&sheet, "readings", 0, "corrected"), row[3], "{}", row[6]);
        assert_eq!(sheet.verdict, verdict(&row[5]), "{}: {}", row[6], sheet.reason);
    }
}

/// The gauge that read 1.9 bar low: one record flips, the other keeps a margin of 22.7 bar.
#[test]
fn the_gauge_of_the_site() {
    let sheet = run(NAME, &example(NAME, "good-gauge-found-low"));
    assert_eq!(sheet.verdict, Verdict::Fail);
    assert_eq!(sheet.findings.len(), 1);
    assert!(sheet.findings[0].sentence.contains("corrected 135.1 bar(g)"), "{:?}", sheet.findings);
    assert_eq!(cell(&sheet, "readings", 0, "margin"), "-0.1 bar(g)");
    assert_eq!(cell(&sheet, "readings", 1, "margin"), "22.7 bar(g)");
    assert!(flagged(&sheet, "out_of_tolerance"), "1.9 bar is beyond 0.63 bar");
    assert_eq!((text(&sheet, "changed"), text(&sheet, "pass")), ("1", "1"));
    // The other sign: an instrument that reads high makes it 131.3 bar.
    let mut high = without(&example(NAME, "good-gauge-found-low"), "shows_low_by");
    high["shows_high_by"] = json!("1.9 bar");
    let sheet = run(NAME, &high);
    assert_eq!(cell(&sheet, "readings", 0, "corrected"), "131.3 bar(g)");
    assert_eq!(sheet.verdict, Verdict::Pass);
}

/// Between the points by straight lines: at 133.2 bar shown 1.9 + (133.2 − 108.1)/(147 − 108.1)·1.1.
#[test]
fn points_of_a_certificate() {
    let input = example(NAME, "good-points-of-a-certificate");
    let sheet = run(NAME, &input);
    let number = |row| -> f64 {
        cell(&sheet, "readings", row, "corrected").split(' ').next().unwrap().parse().unwrap()
    };
    assert!((number(0) - (133.2 + 1.9 + 25.1 / 38.9 * 1.1)).abs() < 1e-9);
    // numpy 2.4.6: interp(1595·6894.757293168 Pa, …) gives 1623.324683 psi.
    assert!((number(1) - 1_623.324_683).abs() < 1e-6, "{}", number(1));
    assert!((number(2) - (55.0 + 0.6 + 5.6 / 58.7 * 1.3)).abs() < 1e-9);
    let mut beyond = input;
    beyond["readings"][0]["value"] = json!("147.1 bar");
    let sheet = run(NAME, &beyond);
    assert_eq!(cell(&sheet, "readings", 0, "corrected verdict"), "not judged");
    assert!(flagged(&sheet, "beyond_the_points"));
    assert_eq!(sheet.verdict, Verdict::NotJudged);
}

#[test]
fn in_proportion() {
    let mut input = one("gauge_pressure", "1.9 bar", "133.2 bar", "135 bar");
    input["applies"] = json!("in_proportion");
    assert_eq!(missing(&run(NAME, &input)), ["found_at"]);
    input["found_at"] = json!("95 bar");
    let sheet = run(NAME, &input);
    assert_eq!(cell(&sheet, "readings", 0, "corrected"), "135.864 bar(g)", "133.2·96.9/95");
    let mut warm = one("temperature", "1 K", "20 °C", "30 °C");
    warm["applies"] = json!("in_proportion");
    warm["found_at"] = json!("20 °C");
    assert_eq!(refused(NAME, &warm).code, "no_proportion");
}

/// 4.6 °C − 1.4 K = 3.2 °C, against 3 °C + 2·0.15 K.
#[test]
fn guarded() {
    let input = example(NAME, "good-thermometer-guarded");
    let sheet = run(NAME, &input);
    let verdicts = |sheet: &Sheet| {
        [0, 1].map(|row| cell(sheet, "readings", row, "corrected verdict").to_owned())
    };
    assert_eq!(verdicts(&sheet), ["fail", "pass"]);
    let mut edge = input.clone();
    edge["readings"][0]["value"] = json!("4.7 °C");
    assert_eq!(verdicts(&run(NAME, &edge)), ["pass", "pass"], "3.3 °C is on the guarded limit");
    edge["rule"] = json!("simple");
    edge["readings"][0]["value"] = json!("4.6 °C");
    assert_eq!(verdicts(&run(NAME, &edge)), ["pass", "pass"]);
    assert_eq!(missing(&run(NAME, &without(&input, "uncertainty"))), ["uncertainty"]);
}

#[test]
fn what_is_missing_or_only_a_bound() {
    let input = example(NAME, "good-gauge-found-low");
    for path in ["measures", "applies", "readings", "readings/0/value"] {
        let sheet = run(NAME, &without(&input, path));
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        assert_eq!(sheet.missing.len(), 1, "{path}: {:?}", sheet.missing);
    }
    each_is_missed(NAME, &input, &["measures", "applies"]);
    assert_eq!(missing(&run(NAME, &without(&input, "shows_low_by"))), ["points"]);
    let mut bound = input.clone();
    bound["readings"][0]["value"] = json!(">130 bar");
    let sheet = run(NAME, &bound);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(flagged(&sheet, "bounds"));
    let no_limit = run(NAME, &without(&input, "at_most"));
    assert_eq!(no_limit.verdict, Verdict::Computed);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

    /// Tenths of a bar: the sum and the verdict are those of whole numbers, in bar as in kPa.
    #[test]
    fn sums_are_exact(reading in 0_i64..3000, error in 0_i64..100, limit in 0_i64..3000) {
        let bar = |tenths: i64| format!("{}.{} bar", tenths / 10, tenths % 10);
        let kilopascal = |tenths: i64| format!("{} kPa", tenths * 10);
        let expected = if reading + error <= limit { Verdict::Pass } else { Verdict::Fail };
        let found = run(NAME, &one("gauge_pressure", &bar(error), &bar(reading), &bar(limit)));
        prop_assert_eq!(found.verdict, expected);
        let found =
            run(NAME, &one("gauge_pressure", &kilopascal(error), &bar(reading), &kilopascal(limit)));
        prop_assert_eq!(found.verdict, expected);
    }
}
