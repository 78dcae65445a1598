//! Top-ups against CoolProp, SciPy and the site's story.

use acceptance::{Sheet, Verdict, calculation};
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{result, run};
use crate::table::{close, number, rows};

fn example(name: &str) -> Value {
    let examples = calculation("gas-top-up").unwrap().examples();
    serde_json::from_str(examples.iter().find(|e| e.name == name).unwrap().text).unwrap()
}

fn alert_on(sheet: &Sheet) -> String {
    sheet.result("alert_on").unwrap().value.clone()
}

fn refused(input: &Value) -> (String, String) {
    let refusal = calculation("gas-top-up").unwrap().run(input).unwrap_err();
    (refusal.code, refusal.field)
}

#[test]
fn alerts_of_the_table() {
    for row in rows("top_ups.csv") {
        let top_ups: Vec<_> = row[0].split(' ').map(|day| json!({"day": day})).collect();
        let input = json!({
            "top_ups": top_ups,
            "alerts": {"interval": {"share": row[1], "in_a_row": row[2], "earlier": "3"}},
        });
        let sheet = run("gas-top-up", &input);
        assert_eq!(alert_on(&sheet), row[3], "{}", row[5]);
        let verdict = if row[3] == "none" { Verdict::Pass } else { Verdict::Fail };
        assert_eq!(sheet.verdict, verdict, "{}", sheet.reason);
        close(result(&sheet, "median_interval"), number(&row[4]), 1e-9, &row[5]);
    }
}

/// Three top-ups within seven days: on 2 September, and so by the services.
#[test]
fn counting_rules() {
    let mut input = example("good-dates-only");
    input["alerts"] = json!({"count": {"top_ups": "3", "within": "7 d"}});
    assert_eq!(alert_on(&run("gas-top-up", &input)), "2026-09-02");
    input["alerts"]["count"]["within"] = json!("119 h");
    assert_eq!(alert_on(&run("gas-top-up", &input)), "none", "five days are 120 h");
    input["alerts"]["count"]["within"] = json!("120 h");
    assert_eq!(alert_on(&run("gas-top-up", &input)), "2026-09-02");
    input["alerts"]["count"].as_object_mut().unwrap().remove("within");
    assert_eq!(run("gas-top-up", &input).missing[0].field, "alerts.count.within");
    input["services"] = json!(["2026-08-01"]);
    assert_eq!(alert_on(&run("gas-top-up", &input)), "2026-08-31", "12 Aug, 28 Aug, 31 Aug");
    input["services"] = json!(["2026-08-30", "2026-08-01"]);
    assert_eq!(alert_on(&run("gas-top-up", &input)), "none", "two before, two after");
    input["services"] = json!(["2026-08-20"]);
    assert_eq!(alert_on(&run("gas-top-up", &input)), "2026-09-02");
}

/// A repair takes the alert away; its interval isn't one.
#[test]
fn after_a_repair() {
    let sheet = run("gas-top-up", &example("good-repaired"));
    assert_eq!(sheet.verdict, Verdict::Pass, "{}", sheet.reason);
    assert_eq!(alert_on(&sheet), "none");
    assert!(sheet.findings.iter().all(|finding| finding.sentence.ends_with("Repaired since.")));
    let mut again = example("good-repaired");
    again["top_ups"][7]["reason"] = json!("routine");
    assert_eq!(run("gas-top-up", &again).verdict, Verdict::Fail);
}

#[test]
fn consumption_by_coolprop_and_scipy() {
    let input = example("good-states-and-masses");
    let sheet = run("gas-top-up", &input);
    let report = oracle("top_ups.py", &json!({"input": input, "sheet": sheet}).to_string());
    assert!(report.contains("6 checked, 0 off"), "{report}");
}

/// Masses added: the same as `gas-mass` would say, which stands against CoolProp.
#[test]
fn masses_added() {
    for row in rows("gas_masses.csv") {
        let state = |gauge: &str, celsius: &str| json!({"gauge_pressure": format!("{gauge} bar"), "barometer": "862 hPa", "temperature": format!("{celsius} °C")});
        let top_up = |day: &str| json!({"day": day, "before": state(&row[1], &row[2]), "after": state(&row[3], &row[4])});
        let input = json!({
            "gas": row[0], "volume": format!("{} L", row[5]),
            "top_ups": [top_up("2026-08-01"), top_up("2026-08-11")],
        });
        let sheet = run("gas-top-up", &input);
        let added: f64 = sheet.tables[0].rows[0][3].parse().unwrap();
        close(added, number(&row[7]), 6e-4, &row[9]);
        // After the first and before the second: the same mass was lost, in ten days.
        close(result(&sheet, "loss_total"), number(&row[7]), 2e-4, &row[9]);
        close(result(&sheet, "rate"), 100.0 * number(&row[7]), 2e-4, &row[9]);
        assert!(sheet.combined.is_none(), "nothing is stated");
    }
}

/// The mean consumption is judged with its doubt; one resolution on both sides of the limit.
#[test]
fn rate_limits() {
    let mut input = example("good-states-and-masses");
    input.as_object_mut().unwrap().remove("alerts");
    let sheet = run("gas-top-up", &input);
    assert_eq!(sheet.verdict, Verdict::Pass, "{}", sheet.reason);
    let rate = result(&sheet, "rate");
    let u: f64 =
        sheet.result("rate").unwrap().standard_uncertainty.clone().unwrap().parse().unwrap();
    for (change, rule, verdict) in [
        (2e-5, "simple", Verdict::Pass),
        (-2e-5, "simple", Verdict::Fail),
        (2.05 * u, "guarded", Verdict::Pass),
        (1.95 * u, "guarded", Verdict::Fail),
    ] {
        input["rate_limit"] = json!({"value": format!("{:.6} g/d", rate + change), "rule": rule});
        let sheet = run("gas-top-up", &input);
        assert_eq!(sheet.verdict, verdict, "{rule} {change}: {}", sheet.reason);
    }
    // The same limit in kg/h.
    input["rate_limit"] = json!({"value": format!("{:.9} kg/h", rate / 24_000.0 * 1.001)});
    assert_eq!(run("gas-top-up", &input).verdict, Verdict::Pass);
    // Without a mass nothing can be said of the consumption.
    let mut dates = example("good-dates-only");
    dates.as_object_mut().unwrap().remove("alerts");
    assert_eq!(run("gas-top-up", &dates).verdict, Verdict::Computed);
    dates["rate_limit"] = json!({"value": "1 g/d"});
    let sheet = run("gas-top-up", &dates);
    assert_eq!(sheet.verdict, Verdict::NotJudged, "{}", sheet.reason);
}

#[test]
fn gaps_and_contradictions() {
    let sheet = run("gas-top-up", &json!({}));
    assert_eq!((sheet.verdict, sheet.missing[0].field.as_str()), (Verdict::NotJudged, "top_ups"));
    let mut few = example("good-dates-only");
    few["top_ups"] = json!([{"day": "2026-08-28"}, {"day": "2026-08-31"}, {"day": "2026-09-02"}]);
    few["alerts"] = json!({"interval": {"share": "50 %", "in_a_row": "1", "earlier": "3"}});
    let sheet = run("gas-top-up", &few);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(sheet.reason.contains("needs 3 earlier intervals"), "{}", sheet.reason);
    few["alerts"]["interval"]["in_a_row"] = json!("0");
    assert_eq!(refused(&few), ("out_of_range".into(), "alerts.interval.in_a_row".into()));
    few["alerts"]["interval"] = json!({"share": "50 %"});
    let named: Vec<_> =
        run("gas-top-up", &few).missing.iter().map(|missing| missing.field.clone()).collect();
    assert_eq!(named, ["alerts.interval.in_a_row", "alerts.interval.earlier"]);
    let mut no_day = example("good-dates-only");
    no_day["top_ups"][2] = json!({});
    assert_eq!(run("gas-top-up", &no_day).missing[0].field, "top_ups[2].at");
    no_day["top_ups"][2] = json!({"day": "2026-02-30"});
    assert_eq!(refused(&no_day), ("malformed".into(), "top_ups[2].day".into()));
    let mut no_gas = example("good-states-and-masses");
    no_gas.as_object_mut().unwrap().remove("gas");
    assert_eq!(run("gas-top-up", &no_gas).missing[0].field, "gas");
    let mut gap = example("good-states-and-masses");
    gap["top_ups"][3]["before"].as_object_mut().unwrap().remove("barometer");
    assert_eq!(run("gas-top-up", &gap).missing[0].field, "top_ups[3].before.barometer");
}
