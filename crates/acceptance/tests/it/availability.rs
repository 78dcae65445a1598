//! Availability against public tables and a minute-by-minute count.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{each_is_missed, example, flagged, missing, text, without};
use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{close, number, rows};

const NAME: &str = "availability";

/// A moment some minutes after the beginning of August 2026, UTC.
fn at(minutes: u32) -> String {
    let (day, rest) = (minutes / 1440, minutes % 1440);
    format!(
        "2026-{:02}-{:02}T{:02}:{:02}:00+00:00",
        8 + day / 31,
        day % 31 + 1,
        rest / 60,
        rest % 60
    )
}

#[test]
fn cases_of_the_table() {
    for row in rows("availability.csv") {
        // A whole year as well as a week: the period by an end that the table's hours give.
        let seconds = number(&row[1]) * 3600.0;
        let [h, m, s] = [seconds / 3600.0, seconds / 60.0 % 60.0, seconds % 60.0].map(f64::floor);
        let (days, hours) = ((h / 24.0).floor(), h % 24.0);
        assert!(days < 28.0);
        let end = match row[0].as_str() {
            "720" => "2026-01-31T00:00:00Z",
            "168" => "2026-01-08T00:00:00Z",
            _ => "2027-01-01T00:00:00Z",
        };
        let to = format!("2026-01-{:02}T{hours:02}:{m:02}:{s:02}Z", days + 1.0);
        let sheet = run(
            NAME,
            &json!({
                "from": "2026-01-01T00:00:00Z", "to": end,
                "records": [{"from": "2026-01-01T00:00:00Z", "to": to, "class": row[2], "kind": "forced"}],
            }),
        );
        close(result(&sheet, "counted"), number(&row[0]), 1e-9, "period");
        close(result(&sheet, "operational"), number(&row[3]), number(&row[4]), &row[5]);
    }
}

fn hours_of(sheet: &Sheet) -> Value {
    let names = [
        ("working", "working"),
        ("waiting for a part", "waiting_part"),
        ("waiting for people", "waiting_people"),
        ("waiting for weather", "waiting_weather"),
        ("waiting for a signature", "waiting_signature"),
        ("not sun enough", "no_sun"),
        ("wind above its limit", "wind"),
        ("network or outside", "outside"),
        ("other", "other"),
        ("not known", "unknown"),
    ];
    let table = sheet.tables.iter().find(|table| table.name == "classes").unwrap();
    let mut hours = serde_json::Map::new();
    for row in table.rows.iter().filter(|row| row[0] != "up") {
        let name = names.iter().find(|(word, _)| *word == row[0]).unwrap().1;
        hours.insert(name.to_owned(), json!(number(&row[1])));
    }
    Value::Object(hours)
}

fn compare(input: &Value) {
    let sheet = run(NAME, input);
    let or_zero = |name: &str| sheet.result(name).map_or(0.0, |r| r.value.parse().unwrap());
    let case = json!({
        "input": input, "operational": result(&sheet, "operational"),
        "technical": result(&sheet, "technical"), "mtbf": or_zero("mean_time_between_failures"),
        "mttr": or_zero("mean_time_to_repair"), "hours": hours_of(&sheet),
    });
    let report = oracle("downtime.py", &case.to_string());
    assert!(report.contains("agrees"), "{report}");
}

/// The shipped case and one with everything at once, minute by minute (own oracle).
#[test]
fn minute_by_minute() {
    let input = example(NAME, "good-ten-days-of-a-dish");
    compare(&input);
    let record = |from: u32, to: u32, class: &str, kind: &str| json!({"from": at(from), "to": at(to), "class": class, "kind": kind});
    let mut records = vec![
        record(0, 700, "working", "forced"),
        record(600, 900, "waiting_part", "forced"),
        record(900, 1000, "working", "planned"),
        record(2000, 2300, "other", "planned"),
        record(2100, 2900, "waiting_people", "forced"),
        record(5000, 7300, "waiting_weather", "forced"),
    ];
    for (from, to, class) in [
        (300, 1200, "no_sun"),
        (2200, 2400, "unknown"),
        (3000, 3100, "unknown"),
        (5500, 5600, "outside"),
    ] {
        records.push(json!({"from": at(from), "to": at(to), "class": class}));
    }
    compare(&json!({
        "from": at(60), "to": at(6000), "records": records, "excluded": ["no_sun"],
        "technical_down": ["working", "waiting_part", "other"],
    }));
}

/// The period holds the night when the clocks jump: ten days by the calendar are 239 hours.
#[test]
fn the_dish_of_the_site() {
    let sheet = run(NAME, &example(NAME, "good-ten-days-of-a-dish"));
    close(result(&sheet, "counted") + result(&sheet, "excluded"), 239.0, 1e-9, "period");
    assert_eq!(text(&sheet, "failures"), "1", "four records that touch are one event");
    // 3 Sep 14:20 (UTC−4) to 7 Sep 07:25 (UTC−3): 88 h 5 min.
    close(result(&sheet, "mean_time_to_repair"), 88.0 + 5.0 / 60.0, 1e-5, "one event");
    assert!(flagged(&sheet, "records_overlap") && flagged(&sheet, "unknown_hours"));
    // Waiting for a signature is down for the operator and not for the machine.
    assert!(result(&sheet, "technical") > result(&sheet, "operational"));
    assert_eq!(sheet.verdict, Verdict::Fail);
}

/// 10 h not known of 100: not up, and said to decide where they would.
#[test]
fn unknown_hours_are_not_up() {
    let case = |limit: &str| {
        run(
            NAME,
            &json!({
                "from": at(0), "to": at(6000), "operational_limit": {"value": limit},
                "records": [{"from": at(0), "to": at(600), "class": "unknown"}],
            }),
        )
    };
    let sheet = case("95 %");
    close(result(&sheet, "operational"), 90.0, 1e-9, "not up");
    close(result(&sheet, "operational_at_best"), 100.0, 1e-9, "at best");
    assert_eq!(sheet.verdict, Verdict::Fail);
    assert!(flagged(&sheet, "unknown_hours_decide"));
    assert_eq!(case("90 %").verdict, Verdict::Pass);
    assert_eq!(case("90.1 %").verdict, Verdict::Fail);
}

#[test]
fn open_and_outside_records() {
    let sheet = run(NAME, &example(NAME, "good-still-down"));
    assert!(flagged(&sheet, "still_down") && flagged(&sheet, "repair_not_over"));
    close(result(&sheet, "down"), 40.0, 1e-9, "9 Sep 08:00 to 11 Sep 00:00");
    assert_eq!(run(NAME, &example(NAME, "good-no-downtime")).verdict, Verdict::Pass);
    let mut early = example(NAME, "good-still-down");
    early["records"][0]["from"] = json!("2026-08-20T00:00:00-04:00");
    early["records"][0]["to"] = json!("2026-08-21T00:00:00-04:00");
    let sheet = run(NAME, &early);
    assert!(flagged(&sheet, "outside_the_period"));
    close(result(&sheet, "operational"), 100.0, 1e-9, "not counted");
    early["records"][0]["to"] = json!("2026-09-02T00:00:00-04:00");
    let sheet = run(NAME, &early);
    assert!(flagged(&sheet, "failed_before"));
    assert_eq!(text(&sheet, "failures"), "0");
    close(result(&sheet, "down"), 24.0, 1e-9, "its hours in the period");
}

#[test]
fn what_is_missing_is_named() {
    let input = example(NAME, "good-ten-days-of-a-dish");
    let paths = ["from", "to", "records", "technical_down"];
    each_is_missed(NAME, &input, &paths);
    for field in ["from", "class", "kind"] {
        let sheet = run(NAME, &without(&input, &format!("records/0/{field}")));
        assert_eq!(missing(&sheet), [format!("records[0].{field}")]);
        assert!(sheet.results.is_empty());
    }
    let only = run(NAME, &without(&without(&input, "technical_down"), "limit"));
    assert!(only.result("technical").is_none() && only.result("operational").is_some());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

    /// Hours add up to the period, in whatever order the records come; a further record never makes
    /// the availability larger.
    #[test]
    fn hours_add_up(spans in proptest::collection::vec((0_u32..9000, 1_u32..3000, 0_usize..5), 1..8)) {
        let classes = ["working", "waiting_part", "no_sun", "unknown", "waiting_signature"];
        let records: Vec<_> = spans.iter().map(|(from, length, class)| json!({
            "from": at(*from), "to": at(from + length), "class": classes[*class], "kind": "forced",
        })).collect();
        let case = |records: &[Value]| run(NAME, &json!({
            "from": at(1000), "to": at(8000), "records": records, "excluded": [],
            "technical_down": ["working"],
        }));
        let sheet = case(&records);
        let total: f64 = ["up", "down", "unknown", "excluded"].iter().map(|n| result(&sheet, n)).sum();
        prop_assert!((total - 7000.0 / 60.0).abs() < 1e-3);
        let backwards: Vec<_> = records.iter().rev().cloned().collect();
        let turned = case(&backwards);
        prop_assert_eq!(text(&turned, "operational"), text(&sheet, "operational"));
        prop_assert!(result(&case(&records[1..]), "operational") >= result(&sheet, "operational"));
    }
}
