//! Failure rates against printed tables and SciPy.

use std::fmt::Write as _;

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{each_is_missed, example, flagged, refused};
use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{close, number, rows};

const NAME: &str = "failure-rate";

fn in_time(failures: &str, hours: &str, ended: &str, confidence: &str, interval: &str) -> Value {
    json!({
        "operating": {"failures": failures, "time": format!("{hours} h"), "ended": ended},
        "confidence": format!("{confidence} %"), "interval": interval,
    })
}

fn on_demand(failures: &str, demands: &str, confidence: &str, interval: &str) -> Value {
    json!({
        "on_demand": {"failures": failures, "demands": demands},
        "confidence": format!("{confidence} %"), "interval": interval,
    })
}

#[test]
fn cases_of_the_table() {
    for row in rows("failure_rate.csv") {
        let (sheet, names) = if row[0] == "mtbf" {
            let input = in_time(&row[1], &row[2], &row[3], &row[4], &row[5]);
            (run(NAME, &input), ["mean_time_low", "mean_time_high"])
        } else {
            let input = on_demand(&row[1], &row[2], &row[4], &row[5]);
            (run(NAME, &input), ["probability_low", "probability_high"])
        };
        for (name, cell) in names.iter().zip([&row[6], &row[7]]) {
            if cell.is_empty() {
                assert!(sheet.result(name).is_none(), "{name}: {row:?}");
            } else {
                let (found, expected) = (result(&sheet, name), number(cell));
                let off = (found - expected).abs();
                assert!(off <= number(&row[8]) * expected + 1e-9, "{name} {found}: {row:?}");
            }
        }
    }
}

/// Bounds and comparison on a grid, by SciPy 1.17.
#[test]
fn by_scipy() {
    let mut cases = String::new();
    for failures in [0, 1, 2, 7, 40] {
        for (confidence, share) in [("60", 0.6), ("90", 0.9), ("99", 0.99)] {
            for interval in ["two_sided", "upper_only"] {
                let half = if interval == "two_sided" { 0.5 } else { 1.0 };
                let (above, below) =
                    ((1.0 - share) * half, if half < 1.0 { 0.5 * (1.0 - share) } else { -1.0 });
                let low = |sheet: &Sheet, name: &str| {
                    sheet.result(name).map_or(0.0, |found| found.value.parse().unwrap())
                };
                for ended in
                    ["after_time", "at_failure"].iter().take(if failures > 0 { 2 } else { 1 })
                {
                    let input =
                        in_time(&failures.to_string(), "1234.5", ended, confidence, interval);
                    let sheet = run(NAME, &input);
                    let (l, h) = (low(&sheet, "rate_low") / 1e3, result(&sheet, "rate_high") / 1e3);
                    let at = u8::from(*ended == "at_failure");
                    writeln!(cases, "time {failures} 1234.5 {at} {l} {h} {below} {above}").unwrap();
                }
                let sheet =
                    run(NAME, &on_demand(&failures.to_string(), "40", confidence, interval));
                let (l, h) = (low(&sheet, "probability_low"), result(&sheet, "probability_high"));
                writeln!(cases, "demand {failures} 40 {l} {h} {below} {above}").unwrap();
            }
        }
    }
    for (first, second, t1, t2) in
        [(1, 9, 1100, 1400), (5, 5, 100, 100), (0, 3, 50, 900), (12, 2, 300, 200)]
    {
        let mut input =
            in_time(&first.to_string(), &t1.to_string(), "after_time", "95", "two_sided");
        input["compared"] = json!({
            "failures": second.to_string(), "time": format!("{t2} h"), "ended": "after_time",
        });
        let p = result(&run(NAME, &input), "same_rate");
        writeln!(cases, "split {first} {second} {t1} {t2} {p}").unwrap();
    }
    assert!(oracle("failures.py", &cases).contains("agree"));
}

/// 0 failures in T: m_L = T/2.302585 at 90 %. 2302.6 h show 1000 h, 2302 h don't.
#[test]
fn hours_that_show_a_limit() {
    let mut input = example(NAME, "good-no-failures-so-far");
    let sheet = run(NAME, &input);
    assert_eq!(sheet.verdict, Verdict::Fail);
    close(result(&sheet, "hours_needed"), 2_302.585_09 - 1250.0, 1e-5, "hours needed");
    assert!(flagged(&sheet, "no_failures"));
    for (hours, verdict) in
        [("2302 h", Verdict::Fail), ("2302.6 h", Verdict::Pass), ("95.95 d", Verdict::Pass)]
    {
        input["operating"]["time"] = json!(hours);
        assert_eq!(run(NAME, &input).verdict, verdict, "{hours}");
    }
}

/// 59 demands without failure show 5 % at 95 %: the classical sample size (0.95⁵⁹ = 0.0485).
#[test]
fn demands_that_show_a_limit() {
    for (demands, verdict) in [("59", Verdict::Pass), ("58", Verdict::Fail)] {
        let mut input = example(NAME, "good-defocus-demands");
        input["on_demand"]["demands"] = json!(demands);
        let sheet = run(NAME, &input);
        assert_eq!(sheet.verdict, verdict, "{}", sheet.reason);
    }
}

#[test]
fn what_is_missing_or_contradicts() {
    let input = example(NAME, "good-two-failures");
    let paths = [
        "operating",
        "operating/failures",
        "operating/time",
        "operating/ended",
        "confidence",
        "interval",
    ];
    each_is_missed(NAME, &input, &paths);
    let demands = example(NAME, "good-defocus-demands");
    each_is_missed(NAME, &demands, &["on_demand", "on_demand/demands", "on_demand/failures"][1..]);
    let mut guarded = input;
    guarded["limit"]["rule"] = json!("guarded");
    assert_eq!(refused(NAME, &guarded).code, "guarded");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

    /// More failures, less confidence in the rate's smallness; the estimate lies between the bounds.
    #[test]
    fn bounds_move_the_right_way(failures in 0_u32..60, hours in 10_u32..9000, percent in 55_u32..99) {
        let of = |failures: u32, percent: u32| run(NAME, &in_time(
            &failures.to_string(), &hours.to_string(), "after_time", &percent.to_string(), "two_sided",
        ));
        let sheet = of(failures, percent);
        let high = result(&sheet, "rate_high");
        prop_assert!(result(&of(failures + 1, percent), "rate_high") > high);
        prop_assert!(result(&of(failures, percent + 1), "rate_high") >= high);
        let rate = result(&sheet, "rate");
        prop_assert!(result(&sheet, "rate_low") <= rate && rate <= high);
    }
}
