//! Soiling rates against SciPy, and the date of the wash against an independent bootstrap.

use acceptance::{Refusal, Sheet, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{result, run, unix};
use crate::table::{number, rows};

/// The day of July 2026 and on, 0 being the first.
fn day(n: u32) -> String {
    match n {
        0..=30 => format!("2026-07-{:02}", n + 1),
        31..=61 => format!("2026-08-{:02}", n - 30),
        _ => format!("2026-09-{:02}", n - 61),
    }
}

fn series(points: &[(u32, f64)]) -> Value {
    let points: Vec<Value> = points
        .iter()
        .map(|(n, value)| json!({"at": day(*n), "value": format!("{value:.6}")}))
        .collect();
    json!({"points": points})
}

/// Days from the first of July to a date.
fn days(date: &str) -> f64 {
    (unix(&format!("{date}T00:00:00+00:00")) - unix("2026-07-01T00:00:00+00:00")) / 86_400.0
}

fn text<'a>(sheet: &'a Sheet, name: &str) -> &'a str {
    &sheet.result(name).unwrap_or_else(|| panic!("no {name}: {}", sheet.reason)).value
}

fn flagged(sheet: &Sheet, code: &str) -> bool {
    sheet.flags.iter().any(|flag| flag.code == code)
}

fn refused(input: &Value) -> Refusal {
    calculation("soiling-rate").unwrap().run(input).unwrap_err()
}

fn split(cell: &str) -> Vec<f64> {
    cell.split(' ').map(number).collect()
}

#[test]
fn rates_of_the_table() {
    for row in rows("soiling_rates.csv") {
        let points: Vec<(u32, f64)> =
            row[1].split(' ').map(|n| n.parse::<u32>().unwrap()).zip(split(&row[2])).collect();
        let mut input = series(&points);
        input["confidence"] = json!(format!("{} %", row[3]));
        let sheet = run("soiling-rate", &input);
        let names = ["rate", "rate_low", "rate_high", "intercept", "tau"];
        for (name, cell) in names.iter().zip(&row[4..9]) {
            let got = result(&sheet, name);
            assert!((got - number(cell)).abs() < 1e-6, "{} {name}: {got}", row[0]);
        }
    }
}

/// A number between −1 and 1 that looks random and is always the same.
fn scattered(n: u32) -> f64 {
    let turn = (f64::from(n) * 12.9898).sin() * 43_758.545_3;
    2.0 * (turn - turn.floor()) - 1.0
}

/// One and several periods by SciPy 1.17.1; dates with their intervals by a bootstrap in NumPy.
#[test]
fn rates_and_dates_by_scipy() {
    let one: Vec<(u32, f64)> =
        (0..14).map(|n| (n + n / 3, 0.99 - 0.003 * f64::from(n) + 0.006 * scattered(n))).collect();
    let season = |from: u32, level: f64| -> Vec<(u32, f64)> {
        (0..7)
            .map(|n| (from + 2 * n, level - 0.007 * f64::from(n) + 0.004 * scattered(from + n)))
            .collect()
    };
    let three = vec![season(0, 0.99), season(16, 0.98), season(32, 0.995)];
    for (groups, confidence, shared) in [(vec![one], 0.95, 0.0), (three, 0.9, 0.01)] {
        let all: Vec<(u32, f64)> = groups.iter().flatten().copied().collect();
        let mut input = series(&all);
        input["threshold"] = json!("0.90");
        input["confidence"] = json!(format!("{} %", 100.0 * confidence));
        if groups.len() > 1 {
            input["events"] =
                json!([{"at": day(15), "kind": "rain"}, {"at": day(31), "kind": "wash"}]);
        }
        if shared > 0.0 {
            input["uncertainty"] = json!({"shared": {"value": format!("{} %", 100.0 * shared), "distribution": "standard"}});
        }
        let sheet = run("soiling-rate", &input);
        let mut results: serde_json::Map<String, Value> =
            sheet.results.iter().map(|r| (r.name.clone(), json!(r.value))).collect();
        let left = sheet.result("days_left").unwrap();
        results.insert("u_days_left".into(), json!(left.standard_uncertainty));
        for (name, of) in [("early", "wash_early"), ("late", "wash_late")] {
            // Days are counted from noon of the first.
            results.insert(name.into(), json!(days(text(&sheet, of)) - 0.5));
        }
        let exact: Vec<Vec<(u32, f64)>> = groups
            .iter()
            .map(|group| group.iter().map(|(n, v)| (*n, (1e6 * v).round() / 1e6)).collect())
            .collect();
        let case = json!({
            "groups": exact, "results": results, "confidence": confidence, "threshold": 0.90,
            "relative": shared, "seasons": true,
        });
        let report = oracle("soiling.py", &case.to_string());
        assert!(report.contains("agrees"), "{report}");
    }
}

/// The line of a straight loss reaches its threshold on a day that can be counted by hand: 1.000 on
/// 1 July less 0.004 a day is 0.93 after 17.5 days from noon, at the midnight after the 18th.
#[test]
fn a_date_by_hand() {
    let points: Vec<(u32, f64)> = (0..6).map(|n| (2 * n, 1.0 - 0.008 * f64::from(n))).collect();
    let mut input = series(&points);
    for (threshold, date) in
        [("0.931", "2026-07-18"), ("0.929", "2026-07-19"), ("0.80", "2026-08-20")]
    {
        input["threshold"] = json!(threshold);
        let sheet = run("soiling-rate", &input);
        assert_eq!(text(&sheet, "wash_date"), date, "{threshold}");
    }
    input["threshold"] = json!("0.98");
    let past = run("soiling-rate", &input);
    assert!(past.reason.contains("was reached on 2026-07-06"), "{}", past.reason);
}

/// A rain in between: pairs across it are not taken, and the level is that of the last period.
#[test]
fn periods_are_kept_apart() {
    let mut points: Vec<(u32, f64)> = (0..5).map(|n| (n, 1.0 - 0.01 * f64::from(n))).collect();
    points.extend((0..5).map(|n| (10 + n, 1.0 - 0.01 * f64::from(n))));
    let mut input = series(&points);
    input["threshold"] = json!("0.90");
    let blind = run("soiling-rate", &input);
    assert!(result(&blind, "rate") > -0.009, "without the rain the rate is too small");
    assert!(flagged(&blind, "rises_within"));
    input["events"] = json!([{"at": day(7), "kind": "rain"}]);
    let sheet = run("soiling-rate", &input);
    assert!((result(&sheet, "rate") + 0.01).abs() < 1e-9 && !flagged(&sheet, "rises_within"));
    assert_eq!(text(&sheet, "wash_date"), "2026-07-21");
    input["events"][0]["at"] = json!(day(20));
    let none = run("soiling-rate", &input);
    assert!(none.result("wash_date").is_none() && flagged(&none, "no_reading_since"));
    input["planned_wash"] = json!(day(30));
    assert_eq!(run("soiling-rate", &input).verdict, Verdict::NotJudged);
}

/// The planned wash one day before, on, and after the date; guarded asks for the early end.
#[test]
fn planned_wash_at_its_edge() {
    let points: Vec<(u32, f64)> =
        (0..12).map(|n| (n, 1.0 - 0.004 * f64::from(n) + 0.002 * scattered(n))).collect();
    let mut input = series(&points);
    input["threshold"] = json!("0.93");
    let sheet = run("soiling-rate", &input);
    let (on, early) = (text(&sheet, "wash_date").to_owned(), text(&sheet, "wash_early").to_owned());
    assert!(early < on);
    let mut verdict = |planned: &str, rule: &str| {
        input["planned_wash"] = json!(planned);
        input["rule"] = json!(rule);
        run("soiling-rate", &input).verdict
    };
    assert_eq!(verdict(&on, "simple"), Verdict::Pass, "reached in the course of that day");
    let after = format!("2026-07-{:02}", on[8..].parse::<u32>().unwrap() + 1);
    assert_eq!(verdict(&after, "simple"), Verdict::Fail);
    assert_eq!(verdict(&on, "guarded"), Verdict::Fail);
    assert_eq!(verdict(&early, "guarded"), Verdict::Pass);
}

#[test]
fn gaps_and_refusals() {
    let named = |input: &Value| -> Vec<String> {
        run("soiling-rate", input).missing.iter().map(|m| m.field.clone()).collect()
    };
    assert_eq!(named(&json!({"planned_wash": "2026-07-20"})), ["threshold", "points"]);
    assert_eq!(
        named(
            &json!({"points": [{"at": "2026-07-01"}, {"value": "0.9"}], "events": [{"kind": "wash"}]})
        ),
        ["events[0].at", "points[0].value", "points[1].at"]
    );
    let one = run("soiling-rate", &series(&[(0, 0.99)]));
    assert_eq!(one.verdict, Verdict::NotJudged);
    let mut input = series(&[(0, 0.99), (4, 0.97)]);
    input["events"] = json!([{"at": day(4), "kind": "rain"}]);
    let refusal = refused(&input);
    assert_eq!((refusal.code.as_str(), refusal.field.as_str()), ("same_day", "points[1].at"));
    input["events"][0]["at"] = json!("2026-07-05T06:00:00-04:00");
    assert_eq!(refused(&input).code, "same_day", "the reading has no time yet");
    input["points"][1]["at"] = json!("2026-07-05T05:00:00-04:00");
    assert!(run("soiling-rate", &input).result("rate").is_some());
    let rising = run("soiling-rate", &series(&[(0, 0.95), (3, 0.96), (6, 0.965)]));
    assert!(flagged(&rising, "not_falling"));
}

/// The same rate is carried on whether a level is a reflectance or a cleanliness, in percent or not.
#[test]
fn the_best_interval_by_hand() {
    let mut input = series(&[(0, 1.0), (5, 0.98), (10, 0.96)]);
    input["economics"] = json!({"wash_cost": "120", "clean_day": "60"});
    // √(2·120/(0.004·60)) = √1000.
    let best = result(&run("soiling-rate", &input), "best_interval");
    assert!((best - 31.6228).abs() < 1e-3, "{best}");
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 12, ..ProptestConfig::default()
    })]

    /// Any order of the rows, in percent or as a fraction: the same rate; all values times k: rate
    /// times k and the same date for a threshold times k; a lower threshold is reached later.
    #[test]
    fn order_scale_and_threshold(
        values in proptest::collection::vec(0.0..0.01_f64, 6..14), k in 0.6..1.05_f64,
    ) {
        let points: Vec<(u32, f64)> = (0_u32..)
            .zip(&values)
            .map(|(n, v)| (2 * n, 0.99 - 0.006 * f64::from(n) + v))
            .collect();
        let with = |scale: f64, threshold: f64, turned: bool| {
            let mut rows: Vec<Value> = points
                .iter()
                .map(|(n, v)| json!({"at": day(*n), "value": format!("{:.10} %", 100.0 * scale * v)}))
                .collect();
            if turned {
                rows.reverse();
            }
            run("soiling-rate", &json!({
                "points": rows, "threshold": format!("{:.10}", scale * threshold),
            }))
        };
        let plain = with(1.0, 0.9, false);
        prop_assert_eq!(&plain.results, &with(1.0, 0.9, true).results);
        let scaled = with(k, 0.9, false);
        let near = |a: f64, b: f64| (a - b).abs() <= 2e-5 * a.abs() + 1e-9;
        prop_assert!(near(k * result(&plain, "rate"), result(&scaled, "rate")));
        prop_assert!(near(result(&plain, "days_left"), result(&scaled, "days_left")));
        prop_assert!(result(&with(1.0, 0.88, false), "days_left") > result(&plain, "days_left"));
        prop_assert!(result(&plain, "rate_low") <= result(&plain, "rate"));
        prop_assert!(result(&plain, "rate") <= result(&plain, "rate_high"));
    }
}
