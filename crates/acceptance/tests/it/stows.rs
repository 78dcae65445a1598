//! Maps of parking directions: against pvlib, the site's vectors, and single directions.

use acceptance::{Sheet, Verdict, calculation};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{job, result, run, unix};
use crate::table::{number, rows};

/// The demo site on 3 September, with a coarse map and no direction proposed.
fn day() -> Value {
    let mut input = job();
    for field in ["axis_azimuth", "axis_elevation"] {
        input.as_object_mut().unwrap().remove(field);
    }
    input["map"] = json!({"azimuth_step": "30 °", "elevation_step": "15 °"});
    input
}

fn cells(sheet: &Sheet) -> Vec<Vec<f64>> {
    let grid = sheet.figure.as_ref().unwrap().grid.as_ref().unwrap();
    grid.rows.iter().map(|row| row.iter().map(|cell| cell.parse().unwrap()).collect()).collect()
}

fn table<'s>(sheet: &'s Sheet, name: &str) -> &'s [Vec<String>] {
    &sheet.tables.iter().find(|table| table.name == name).unwrap().rows
}

/// Named directions against the vectors of the site.
#[test]
fn candidates_of_the_site() {
    for row in rows("sun_windows.csv") {
        let mut input = day();
        input["start"] = json!(row[3]);
        input["length"] = json!(row[4]);
        input["candidates"] = json!([{"name": "one", "azimuth": format!("{} °", row[1]), "elevation": format!("{} °", row[2])}]);
        let sheet = run("stow-directions", &input);
        assert_eq!(sheet.verdict, Verdict::Computed);
        let one = &table(&sheet, "candidates")[0];
        let off = (number(&one[3]) - number(&row[6])).abs();
        assert!(off <= number(&row[8]) + 0.05, "{row:?}: {one:?}");
        assert_eq!(one[5], if row[5] == "pass" { "kept" } else { "nearer" });
    }
}

/// The proposed direction is judged as parking-window judges it, and the map around it agrees.
#[test]
fn the_map_and_the_single_direction_agree() {
    let mut input = day();
    for start in ["2026-09-03T08:00:00-04:00", "2026-12-12T05:00:00-03:00"] {
        input["start"] = json!(start);
        for length in ["9.5 h", "3 d", "20 d"] {
            input["length"] = json!(length);
            for (azimuth, elevation) in [(300.0, 30.0), (180.0, 0.0), (0.0, 90.0), (90.0, 15.0)] {
                let mut one = input.clone();
                one["axis_azimuth"] = json!(format!("{azimuth} °"));
                one["axis_elevation"] = json!(format!("{elevation} °"));
                let map = run("stow-directions", &one);
                one.as_object_mut().unwrap().remove("map");
                let single = run("parking-window", &one);
                assert_eq!(map.verdict, single.verdict);
                for name in ["min_angle", "at"] {
                    assert_eq!(map.result(name).unwrap().value, single.result(name).unwrap().value);
                }
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "small"
                )]
                let cell = cells(&map)[(elevation / 15.0) as usize][(azimuth / 30.0) as usize];
                let off = cell - result(&single, "min_angle");
                assert!(off.abs() <= 0.17, "{azimuth}/{elevation} {length}: {off}");
            }
        }
    }
}

/// The best direction is one of the map's, none of which is farther.
#[test]
fn the_best_is_the_best() {
    let sheet = run("stow-directions", &day());
    let best = result(&sheet, "best_min_angle");
    let cells = cells(&sheet);
    let most = cells.iter().flatten().copied().fold(0.0, f64::max);
    assert!((most - best).abs() <= 0.11, "{most} {best}");
    let kept = cells.iter().flatten().filter(|cell| **cell >= 30.0).count();
    assert_eq!(sheet.result("directions_kept").unwrap().value, kept.to_string());
    let figure = sheet.figure.as_ref().unwrap();
    for name in ["sun_1_1", "best"] {
        assert!(figure.series.iter().any(|series| series.name == name), "{name}");
    }
    assert_eq!(table(&sheet, "elevations").len(), 7);
}

/// Maps of a day and of a year at three places, each cell against pvlib's samples.
#[test]
fn maps_by_pvlib() {
    let mut maps = Vec::new();
    for (latitude, longitude, length, step) in [
        (-23.7951, 133.889, "1 d", 60.0),
        (35.0546, -106.5401, "365 d", 600.0),
        (78.22, 15.63, "3 d", 60.0),
    ] {
        let mut input = day();
        input["latitude"] = json!(format!("{latitude} °"));
        input["longitude"] = json!(format!("{longitude} °"));
        input["altitude"] = json!("500 m");
        (input["barometer"], input["temperature"]) = (json!("950 hPa"), json!("20 °C"));
        (input["delta_t"], input["length"]) = (json!("69.2 s"), json!(length));
        input["start"] = json!("2026-06-20T00:00:00+00:00");
        let sheet = run("stow-directions", &input);
        let from = unix("2026-06-20T00:00:00+00:00");
        let days = number(length.trim_end_matches(" d"));
        maps.push(json!({
            "latitude": latitude, "longitude": longitude, "altitude": 500.0, "pressure": 950.0,
            "temperature": 20.0, "delta_t": 69.2, "step": step,
            "from": from, "to": from + days * 86_400.0,
            "azimuths": (0..12).map(|i| 30 * i).collect::<Vec<_>>(),
            "elevations": (0..7).map(|i| 15 * i).collect::<Vec<_>>(),
            "rows": cells(&sheet),
        }));
    }
    let report = oracle("stows.py", &json!(maps).to_string());
    assert!(report.starts_with("252 cells"), "{report}");
}

/// Four years are taken and a day more is not; 60 angles along a side are and 61 are not.
#[test]
fn edges_of_what_is_taken() {
    let calculation = calculation("stow-directions").unwrap();
    let mut input = day();
    input["map"] = json!({"azimuth_to": "59 °", "azimuth_step": "1 °", "elevation_step": "45 °"});
    assert_eq!(run("stow-directions", &input).result("directions").unwrap().value, "180");
    input["map"]["azimuth_to"] = json!("60 °");
    assert_eq!(calculation.run(&input).unwrap_err().code, "too_many_cells");
    input["map"] = json!({"azimuth_step": "90 °", "elevation_step": "90 °"});
    input["length"] = json!("1461 d");
    assert!(calculation.run(&input).is_ok());
    input["length"] = json!("1462 d");
    assert_eq!(calculation.run(&input).unwrap_err().code, "outside_validity");
}

#[test]
fn every_gap_is_named() {
    for (path, field) in [
        ("latitude", "latitude"),
        ("start", "start"),
        ("length", "length"),
        ("limit", "limit.margin"),
    ] {
        let mut input = day();
        input.as_object_mut().unwrap().remove(path);
        let sheet = run("stow-directions", &input);
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
        assert_eq!(named, [field]);
    }
    let mut input = day();
    input["candidates"] = json!([{"name": "stow", "elevation": "90 °"}]);
    let sheet = run("stow-directions", &input);
    assert_eq!(sheet.missing[0].field, "candidates[0].azimuth");
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 24, ..ProptestConfig::default()
    })]

    /// In a longer window no direction is farther from the sun.
    #[test]
    fn longer_is_never_farther(latitude in -89.0_f64..89.0, hour in 0..24, month in 1..=12) {
        let mut input = day();
        input["latitude"] = json!(format!("{latitude:.4} °"));
        input["start"] = json!(format!("2026-{month:02}-11T{hour:02}:00:00Z"));
        input["length"] = json!("10 h");
        let short = run("stow-directions", &input);
        input["length"] = json!("40 h");
        let long = run("stow-directions", &input);
        if short.figure.is_some() {
            for (one, other) in cells(&short).iter().flatten().zip(cells(&long).iter().flatten()) {
                prop_assert!(*other <= *one + 0.01, "{other} after {one}");
            }
        }
    }

    /// Angles in radians are the same angles.
    #[test]
    fn radians_are_angles(azimuth in 0.0_f64..6.0, elevation in 0.0_f64..1.5) {
        let mut input = day();
        input["map"] = json!({"azimuth_step": "90 °", "elevation_step": "90 °"});
        input["axis_azimuth"] = json!(format!("{azimuth:.9} rad"));
        input["axis_elevation"] = json!(format!("{elevation:.9} rad"));
        let one = run("stow-directions", &input);
        input["axis_azimuth"] = json!(format!("{:.9} °", azimuth.to_degrees()));
        input["axis_elevation"] = json!(format!("{:.9} °", elevation.to_degrees()));
        let other = run("stow-directions", &input);
        prop_assert_eq!(one.verdict, other.verdict);
        let off = result(&one, "min_angle") - result(&other, "min_angle");
        prop_assert!(off.abs() <= 0.1);
    }
}
