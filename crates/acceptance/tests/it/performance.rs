//! Performance runs: published numbers, the conditions that leave a run not judged, and clocks and
//! zones read wrongly.

use acceptance::{Sheet, Verdict, calculation};
use serde_json::{Value, json};

use crate::table::{close, number, rows};

/// A good example of the calculation.
pub(crate) fn example(name: &str) -> Value {
    let examples = calculation("performance-run").unwrap().examples();
    let example = examples.iter().find(|example| example.name == name).unwrap();
    serde_json::from_str(example.text).unwrap()
}

pub(crate) fn run(input: &Value) -> Sheet {
    calculation("performance-run").unwrap().run(input).unwrap()
}

pub(crate) fn result(sheet: &Sheet, name: &str) -> f64 {
    number(&sheet.result(name).unwrap_or_else(|| panic!("no {name}: {}", sheet.reason)).value)
}

/// A result as printed.
fn shown(sheet: &Sheet, name: &str) -> String {
    sheet.result(name).unwrap().value.clone()
}

/// A line of the working.
pub(crate) fn line(sheet: &Sheet, symbol: &str) -> f64 {
    number(&sheet.working.iter().find(|line| line.symbol == symbol).unwrap().value)
}

/// Seventy minutes of the same values.
fn constant(irradiance: &str, ambient: &str, reflectance: &str, power: &str) -> Value {
    let mut input = example("good-pass");
    let times: Vec<String> =
        (0..70).map(|m| format!("2026-09-09T{:02}:{:02}:00-03:00", 13 + m / 60, m % 60)).collect();
    for (channel, unit, value) in [
        ("irradiance", "W/m²", irradiance),
        ("ambient", "°C", ambient),
        ("wind", "m/s", "3.0"),
        ("power", "kW", power),
    ] {
        input[channel] = json!({
            "unit": unit, "interval": "1 min", "label": "start", "times": times,
            "values": vec![value; times.len()],
        });
    }
    input["reflectance"] = json!({
        "upper": format!("{reflectance} %"), "middle": format!("{reflectance} %"),
        "lower": format!("{reflectance} %"),
    });
    input
}

/// The ratios, sensitivities and expanded uncertainties of the trade's check cases.
#[test]
fn published_ratios() {
    for row in rows("performance_runs.csv") {
        let sheet = run(&constant(&row[1], &row[2], &row[3], &row[4]));
        let tolerance = number(&row[10]);
        let ratio = line(&sheet, "R");
        assert!((ratio - number(&row[5])).abs() <= tolerance, "{}: {ratio}", row[0]);
        let at_reference = line(&sheet, "R_ref");
        assert!((at_reference - number(&row[6])).abs() <= tolerance, "{}: {at_reference}", row[0]);
        if !row[7].is_empty() {
            close(line(&sheet, "S"), number(&row[7]), tolerance.max(5e-8), &row[0]);
        }
        if !row[8].is_empty() {
            let percent = 100.0 * line(&sheet, "U(R)") / ratio;
            // As many digits as the source prints.
            let digits = if row[8].len() > 4 { 1e-6 } else { 0.05 };
            assert!((percent - number(&row[8])).abs() <= digits, "{}: {percent}", row[0]);
        }
        if !row[9].is_empty() {
            let mut guarded = constant(&row[1], &row[2], &row[3], &row[4]);
            guarded["limits"]["ratio"]["rule"] = json!("guarded");
            let rule = run(&guarded).rule.unwrap();
            let limit = number(&rule.acceptance_limit.unwrap());
            assert!((0.976..=0.978).contains(&limit), "{}: {limit}", row[0]);
        }
    }
}

/// JCGM 106:2012: the same ratio, 0.972, is accepted by the simple rule and not by the guarded one
/// (site criteria: 0.972 against 0.95). A value on the limit conforms (8.2).
#[test]
fn the_rule_decides() {
    let mut input = constant("1018", "23", "91.7", "20.3214");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::Pass, "{}", sheet.reason);
    assert!(sheet.reason.contains("0.972"), "{}", sheet.reason);
    input["limits"]["ratio"]["rule"] = json!("guarded");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::Fail, "{}", sheet.reason);
    // Normal distribution: Φ((0.972 − 0.95)/u) with u = 0.972·0.027788/2, by scipy.stats.norm.
    let p = number(&sheet.rule.unwrap().conformance_probability.unwrap());
    assert!((p - 94.84).abs() < 0.15, "{p}");
    let low = run(&constant("1018", "23", "91.7", "19.80"));
    assert_eq!(low.verdict, Verdict::Fail, "{}", low.reason);
    assert!(low.reason.contains("below the limit"), "{}", low.reason);
}

/// A ratio just below the limit is never printed as the limit.
#[test]
fn rounding_does_not_hide_the_verdict() {
    // 0.95 × 20.906546… kW, less a trifle.
    let sheet = run(&constant("1018", "23", "91.7", "19.8610"));
    assert_eq!(sheet.verdict, Verdict::Fail, "{}", sheet.reason);
    assert!(sheet.reason.contains("0.94999"), "{}", sheet.reason);
}

/// The three runs of the site's story, from five-minute means of its files.
#[test]
fn the_story() {
    let washed = run(&example("good-pass"));
    assert_eq!(washed.verdict, Verdict::Pass, "{}", washed.reason);
    assert_eq!(washed.result("ratio").unwrap().value, "0.995");
    let dirty = run(&example("good-dirty-mirrors"));
    assert_eq!(dirty.verdict, Verdict::NotJudged);
    assert_eq!(dirty.result("ratio_at_reference").unwrap().value, "0.909");
    assert_eq!(dirty.result("ratio").unwrap().value, "0.993");
    assert!(dirty.reason.contains("wash the mirrors"), "{}", dirty.reason);
    assert_eq!(dirty.findings[0].code, "wash");
}

/// Solar noon at 23.10° S 69.60° W on 9 September 2026: 13:35:40 (UTC−3); by pvlib 0.16.1
/// `spa.transit_sunrise_sunset` 16:35:41Z.
#[test]
fn noon_is_worked_out() {
    let sheet = run(&example("good-pass"));
    let noon = &sheet.working.iter().find(|line| line.symbol == "t_noon").unwrap().value;
    assert!(noon.starts_with("2026-09-09T12:35:4"), "{noon}");
}

fn shifted(input: &mut Value, channels: &[&str], from: &str, to: &str) {
    for channel in channels {
        for time in input[*channel]["times"].as_array_mut().unwrap() {
            let text = time.as_str().unwrap();
            assert!(text.ends_with(from), "{text}");
            *time = json!(text.replace(from, to));
        }
    }
}

/// The logger's file read as local time, the meter's read as the logger's, and both an hour off:
/// each time the file is named and the zone that would fit.
#[test]
fn a_zone_read_wrongly() {
    let logger = run(&example("good-logger-in-another-zone"));
    assert_eq!(logger.verdict, Verdict::NotJudged);
    assert_eq!(shown(&logger, "lag_minutes"), "60.0");
    assert_eq!(logger.findings[0].place, "pc-02-run-2-logger.csv");
    assert!(logger.reason.contains("follows"), "{}", logger.reason);
    assert!(logger.reason.contains("read at UTC−03:00"), "{}", logger.reason);
    assert!(logger.reason.contains("probably at UTC−04:00"), "{}", logger.reason);

    let mut meter = example("good-pass");
    shifted(&mut meter, &["power"], "-03:00", "-04:00");
    let meter = run(&meter);
    assert_eq!(meter.verdict, Verdict::NotJudged);
    assert_eq!(meter.findings[0].place, "pc-02-run-2-meter.csv");
    assert!(meter.reason.contains("probably at UTC−03:00"), "{}", meter.reason);

    let mut both = example("good-pass");
    shifted(&mut both, &["irradiance", "ambient", "wind"], "-04:00", "-05:00");
    shifted(&mut both, &["power"], "-03:00", "-04:00");
    let both = run(&both);
    assert_eq!(both.verdict, Verdict::NotJudged);
    assert_eq!(shown(&both, "lag_minutes"), "0");
    assert!(both.reason.contains("after solar noon"), "{}", both.reason);
    assert!(both.reason.contains("probably at UTC−04:00"), "{}", both.reason);
}

/// A label taken for the other end shifts by one step, which the pairing by instants undoes.
#[test]
fn labels_and_offsets_are_applied() {
    let plain = constant("1018", "23", "91.7", "20.8");
    let mut labelled = plain.clone();
    labelled["power"]["label"] = json!("end");
    let used = |input: &Value| shown(&run(input), "good_intervals");
    assert_eq!(used(&plain), "7");
    // The power now begins a minute earlier and ends a minute earlier: the last interval is short.
    assert_eq!(used(&labelled), "6");
    let mut late = plain;
    late["clock_offsets"]["power"] = json!("-60 s");
    assert_eq!(used(&late), "6");
}

/// Each condition, broken alone, leaves the run not judged and says what to do.
#[test]
fn conditions() {
    let cases: [(&[&str], Value, &str); 6] = [
        (&["limits", "intervals", "value"], json!("16"), "repeat the run"),
        (&["limits", "reflectance_age", "value"], json!("4 h"), "survey it again"),
        (&["limits", "reflectance_points", "value"], json!("4"), "take the others"),
        (&["limits", "reflectance", "value"], json!("92 %"), "wash the mirrors"),
        (&["limits", "missing", "value"], json!("1 %"), "missing"),
        (&["reflectance_at"], json!("2026-09-12T20:00:00-03:00"), "surveyed"),
    ];
    for (path, value, words) in cases {
        let mut input = example("good-pass");
        *path.iter().fold(&mut input, |at, key| &mut at[*key]) = value;
        let sheet = run(&input);
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path:?}: {}", sheet.reason);
        assert!(sheet.reason.contains(words), "{path:?}: {}", sheet.reason);
    }
    let mut apart = example("good-pass");
    shifted(&mut apart, &["power"], "-03:00", "+09:00");
    let sheet = run(&apart);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(sheet.reason.contains("no interval in common"), "{}", sheet.reason);
    assert!(sheet.result("ratio").is_none());
}

/// What makes an interval not count, seen in the table.
#[test]
fn intervals_left_out() {
    let mut input = constant("1018", "23", "91.7", "20.8");
    let mut set = |channel: &str, minute: usize, value: &str| {
        input[channel]["values"][minute] = json!(value);
    };
    set("irradiance", 5, "799.9");
    set("irradiance", 15, "1090");
    for minute in 20..30 {
        set("wind", minute, "8.1");
    }
    set("power", 35, "");
    set("ambient", 45, ">40");
    let sheet = run(&input);
    let table = &sheet.tables[0];
    let reasons: Vec<&str> = table.rows.iter().map(|row| row.last().unwrap().as_str()).collect();
    for (at, words) in [
        (0, "irradiance down to 799.9 W/m², limit 800 W/m²"),
        (1, "irradiance changes by 6"),
        (2, "wind 8.10 m/s, limit 8 m/s"),
        (3, "power: 1 of 10 missing"),
        (4, "air temperature: 1 of 10 missing"),
        (5, "used"),
        (6, "used"),
    ] {
        assert!(reasons[at].contains(words), "{at}: {}", reasons[at]);
    }
    assert!(table.rows.iter().all(|row| row.len() == table.columns.len()));
    assert_eq!(shown(&sheet, "good_intervals"), "2");
    assert_eq!(sheet.verdict, Verdict::NotJudged);
}

/// Everything that is missing is named, and nothing has a default.
#[test]
fn missing_inputs_are_named() {
    let whole = example("good-pass");
    let parts = |key: &str| -> Vec<Vec<String>> {
        let fields = whole[key].as_object().unwrap();
        fields.keys().map(|name| vec![key.to_owned(), name.clone()]).collect()
    };
    let mut paths: Vec<Vec<String>> = ["irradiance", "power", "ambient", "wind", "reflectance_at"]
        .iter()
        .map(|key| vec![(*key).to_owned()])
        .collect();
    for key in ["limits", "clock_offsets", "uncertainty", "model"] {
        paths.extend(parts(key));
    }
    paths.retain(|path| path.last().is_some_and(|name| name != "source"));
    assert_eq!(paths.len(), 27);
    for path in paths {
        let mut input = whole.clone();
        let (last, before) = path.split_last().unwrap();
        let parent = before.iter().fold(&mut input, |at, key| &mut at[key.as_str()]);
        parent.as_object_mut().unwrap().remove(last);
        let sheet = run(&input);
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path:?}");
        let named = path.join(".");
        let found = sheet.missing.iter().any(|missing| missing.field.starts_with(&named));
        assert!(found, "{named}: {:?}", sheet.missing);
        assert!(sheet.results.is_empty(), "{named}");
    }
    let mut nowhere = whole;
    nowhere.as_object_mut().unwrap().remove("latitude");
    assert_eq!(run(&nowhere).missing[0].field, "latitude");
    nowhere.as_object_mut().unwrap().remove("longitude");
    assert_eq!(run(&nowhere).missing[0].field, "noon");
}
