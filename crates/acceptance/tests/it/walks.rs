//! The walk of the sun's image: against closed forms, pvlib, and what must hold for every walk.

use acceptance::{Axes, Sheet, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{line, result, run, unix};
use crate::table::{number, rows};

fn stop() -> Value {
    json!({
        "latitude": "-23.10 °", "longitude": "-69.60 °", "altitude": "1350 m",
        "at": "2026-09-10T12:30:00-03:00", "focal_length": "6.0 m", "spot_radius": "75 mm",
        "rims": [{"name": "aperture", "radius": "95 mm"}, {"name": "shield", "radius": "300 mm"}],
    })
}

fn path(sheet: &Sheet) -> Vec<[f64; 3]> {
    let table = sheet.tables.iter().find(|table| table.name == "path").unwrap();
    table.rows.iter().map(|row| [0, 1, 2].map(|column| number(&row[column]))).collect()
}

#[test]
fn walks_of_the_table() {
    for row in rows("walks.csv") {
        let mut input = stop();
        // Where the sun is high at all the moments of the table.
        (input["latitude"], input["longitude"]) = (json!("5 °"), json!("-15 °"));
        if row[1].ends_with("-03:00") {
            input["longitude"] = json!("-60 °");
        }
        input["at"] = json!(row[1]);
        input["focal_length"] = json!(row[2]);
        input["spot_radius"] = json!(row[3]);
        input["rims"] = json!([{"name": "rim", "radius": row[4]}]);
        if !row[5].is_empty() {
            input["pointing_error"] = json!(row[5]);
        }
        let mut sheet = run("walk-off", &input);
        if row[6].starts_with("clear_angle") {
            assert_eq!(sheet.verdict, Verdict::Computed);
        }
        sheet.results.retain(|outcome| outcome.name == row[6]);
        let off = result(&sheet, &row[6]) - number(&row[7]);
        assert!(off.abs() <= number(&row[8]), "{row:?}: off by {off}");
    }
}

/// The path and the passages at five places, against pvlib and a ray reflected at the vertex.
#[test]
fn walks_by_pvlib() {
    let mut walks = Vec::new();
    for (latitude, longitude, at) in [
        (-23.7951, 133.8890, "2026-06-21T12:30:00+09:30"),
        (-22.4667, -68.9333, "2026-12-12T13:20:00-03:00"),
        (35.0546, -106.5401, "2026-03-20T09:00:00-06:00"),
        (78.22, 15.63, "2026-06-21T23:30:00+02:00"),
        (0.0, 37.0, "2026-10-04T17:10:00+03:00"),
    ] {
        let mut input = stop();
        input["latitude"] = json!(format!("{latitude} °"));
        input["longitude"] = json!(format!("{longitude} °"));
        (input["altitude"], input["at"]) = (json!("500 m"), json!(at));
        (input["barometer"], input["temperature"]) = (json!("950 hPa"), json!("20 °C"));
        input["delta_t"] = json!("69.2 s");
        let sheet = run("walk-off", &input);
        let passages: Vec<_> =
            [("dr_1", "tr_1"), ("dc_1", "tc_1"), ("dr_2", "tr_2"), ("dc_2", "tc_2")]
                .iter()
                .map(|(distance, time)| [line(&sheet, distance), line(&sheet, time)])
                .collect();
        walks.push(json!({
            "latitude": latitude, "longitude": longitude, "altitude": 500.0, "pressure": 950.0,
            "temperature": 20.0, "delta_t": 69.2, "unix": unix(at), "focal": 6.0,
            "path": path(&sheet), "passages": passages,
        }));
    }
    let report = oracle("walks.py", &json!(walks).to_string());
    assert!(report.contains("20 passages"), "{report}");
}

/// Before noon in the south the sun climbs to the left: the image goes to the right and down. In
/// the north it is the other way.
#[test]
fn the_image_goes_against_the_sun() {
    let last = path(&run("walk-off", &stop())).last().copied().unwrap();
    assert!(last[1] > 0.0 && last[2] < 0.0, "{last:?}");
    let mut input = stop();
    (input["latitude"], input["longitude"]) = (json!("40 °"), json!("-4 °"));
    input["at"] = json!("2026-09-10T10:00:00+02:00");
    let last = path(&run("walk-off", &input)).last().copied().unwrap();
    assert!(last[1] < 0.0 && last[2] < 0.0, "{last:?}");
}

/// The drawing: equal axes, the rims as circles, the path as long as the way to the last rim.
#[test]
fn the_drawing() {
    let sheet = run("walk-off", &stop());
    let figure = sheet.figure.as_ref().unwrap();
    assert_eq!(figure.axes, Some(Axes::Equal));
    let series = |name: &str| {
        let found = figure.series.iter().find(|series| series.name == name).unwrap();
        let point = |p: &acceptance::Point| (number(&p.x), number(&p.y));
        found.points.iter().map(point).collect::<Vec<_>>()
    };
    for (name, radius) in [("rim_1", 95.0), ("rim_2", 300.0), ("spot_start", 75.0)] {
        let circle = series(name);
        assert!(circle.iter().all(|(x, y)| (x.hypot(*y) - radius).abs() < 0.02), "{name}");
    }
    let (x, y) = series("path").last().copied().unwrap();
    assert!((x.hypot(y) - 375.0).abs() < 0.05);
}

/// A spot larger than a rim lies on it at once; near sunset the last rim may not be passed.
#[test]
fn edges_of_a_walk() {
    let mut input = stop();
    input["spot_radius"] = json!("120 mm");
    let sheet = run("walk-off", &input);
    assert_eq!(sheet.result("reached_1").unwrap().value, "0.0");
    assert!(sheet.reason.contains("lies on the rim of aperture at once"), "{}", sheet.reason);
    let mut input = stop();
    input["at"] = json!("2026-09-10T19:20:00-03:00");
    let sheet = run("walk-off", &input);
    assert_eq!(sheet.result("cleared_2").unwrap().value, "none");
    assert!(sheet.flags.iter().any(|flag| flag.code == "sun_sets"));
    input["at"] = json!("2026-09-10T19:40:00-03:00");
    assert_eq!(calculation("walk-off").unwrap().run(&input).unwrap_err().code, "sun_down");
}

#[test]
fn every_gap_is_named() {
    for field in ["latitude", "longitude", "altitude", "at", "focal_length", "spot_radius", "rims"]
    {
        let mut input = stop();
        input.as_object_mut().unwrap().remove(field);
        let sheet = run("walk-off", &input);
        assert_eq!(sheet.verdict, Verdict::NotJudged);
        let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
        assert_eq!(named, [field]);
    }
    let mut input = stop();
    input["rims"][1].as_object_mut().unwrap().remove("radius");
    assert_eq!(run("walk-off", &input).missing[0].field, "rims[1].radius");
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 40, ..ProptestConfig::default()
    })]

    /// A dish of any size walks off in the same time when everything has its size, whatever the
    /// unit; a pointing error only makes the earliest earlier and the latest later.
    #[test]
    fn walks_scale(factor in 0.1_f64..5.0, error in 0.0_f64..0.15, hour in 9..17) {
        let mut input = stop();
        input["at"] = json!(format!("2026-09-10T{hour:02}:30:00-03:00"));
        let one = run("walk-off", &input);
        input["focal_length"] = json!(format!("{:.9} ft", 6.0 * factor / 0.3048));
        input["spot_radius"] = json!(format!("{:.9} in", 75.0 * factor / 25.4));
        for (rim, radius) in [(0, 95.0), (1, 300.0)] {
            input["rims"][rim]["radius"] = json!(format!("{:.9} cm", radius * factor / 10.0));
        }
        let other = run("walk-off", &input);
        for name in ["tr_1", "tc_1", "tr_2", "tc_2"] {
            prop_assert!((line(&one, name) - line(&other, name)).abs() <= 0.011, "{name}");
        }
        let mut before = 0.0;
        for name in ["tr_1", "tc_1", "tr_2", "tc_2"] {
            prop_assert!(line(&one, name) > before);
            before = line(&one, name);
        }
        input["pointing_error"] = json!(format!("{error:.6} °"));
        let doubted = run("walk-off", &input);
        for rim in ["1", "2"] {
            let of = |sheet: &Sheet, key: &str| result(sheet, &format!("{key}_{rim}"));
            prop_assert!(of(&doubted, "reached") <= of(&other, "reached"));
            prop_assert!(of(&doubted, "cleared") >= of(&other, "cleared"));
        }
    }
}
