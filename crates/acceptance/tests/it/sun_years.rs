//! Windows of weeks and years: against pvlib, against short windows, and at the poles.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{job, line, result, run, unix};
use crate::table::{number, rows};

/// Places of both hemispheres and both poles' sides: name, latitude, longitude, altitude in m, air
/// in hPa and °C, offset of the clock.
const PLACES: [(&str, f64, f64, f64, f64, f64, &str); 5] = [
    ("Alice Springs", -23.7951, 133.8890, 547.0, 950.0, 20.0, "+09:30"),
    ("Calama", -22.4667, -68.9333, 2260.0, 775.0, 15.0, "-03:00"),
    ("Albuquerque", 35.0546, -106.5401, 1650.0, 835.0, 30.0, "-06:00"),
    ("Longyearbyen", 78.22, 15.63, 10.0, 1000.0, -15.0, "+01:00"),
    ("South Pole", -90.0, 0.0, 2835.0, 680.0, -45.0, "+12:00"),
];
/// Parked axes that are tried at each place: azimuth and elevation.
const AXES: [(f64, f64); 2] = [(180.0, 3.0), (15.0, 40.0)];
const MARGIN: f64 = 25.0;

fn year(place: (&str, f64, f64, f64, f64, f64, &str), axis: (f64, f64), length: &str) -> Value {
    let (_, latitude, longitude, altitude, pressure, temperature, offset) = place;
    json!({
        "latitude": format!("{latitude} °"), "longitude": format!("{longitude} °"),
        "altitude": format!("{altitude} m"), "barometer": format!("{pressure} hPa"),
        "temperature": format!("{temperature} °C"), "delta_t": "69.2 s",
        "start": format!("2026-02-11T10:20:00{offset}"), "length": length,
        "axis_azimuth": format!("{} °", axis.0), "axis_elevation": format!("{} °", axis.1),
        "limit": {"margin": format!("{MARGIN} °")},
    })
}

fn table<'s>(sheet: &'s Sheet, name: &str) -> &'s [Vec<String>] {
    let found = sheet.tables.iter().find(|table| table.name == name);
    &found.unwrap_or_else(|| panic!("no table {name}")).rows
}

/// A year at five places: the smallest angle within 0.005° of the smallest among pvlib's seconds,
/// that of each month and the count of days against its samples every five minutes.
#[test]
fn years_by_pvlib() {
    let places: Vec<Value> = PLACES
        .iter()
        .map(|place| {
            let jobs: Vec<Value> = AXES
                .iter()
                .map(|axis| {
                    let sheet = run("parking-window", &year(*place, *axis, "365 d"));
                    let months: serde_json::Map<_, _> = table(&sheet, "months")
                        .iter()
                        .map(|row| (row[0].clone(), json!(row[1].parse::<f64>().ok())))
                        .collect();
                    json!({
                        "axis": [axis.0, axis.1], "margin": MARGIN, "months": months,
                        "min_angle": line(&sheet, "σ_n"),
                        "days_near": result(&sheet, "days_near"),
                        "days_dark": result(&sheet, "days_dark"),
                        "first_break": sheet.result("first_break").map(|at| unix(&at.value)),
                    })
                })
                .collect();
            let from = unix(&format!("2026-02-11T10:20:00{}", place.6));
            json!({
                "latitude": place.1, "longitude": place.2, "altitude": place.3,
                "pressure": place.4, "temperature": place.5, "delta_t": 69.2,
                "offset": unix("1970-01-01T00:00:00+00:00")
                    - unix(&format!("1970-01-01T00:00:00{}", place.6)),
                "from": from, "to": from + 365.0 * 86_400.0, "jobs": jobs,
            })
        })
        .collect();
    let report = oracle("sun_years.py", &json!(places).to_string());
    assert_eq!(report.matches("worst").count(), 6, "{report}");
}

/// The smallest angles of a year, found by pvlib 0.16.1 at every minute of it.
#[test]
fn years_of_the_table() {
    for row in rows("sun_years.csv") {
        let place = *PLACES.iter().find(|place| place.0 == row[0]).unwrap();
        let input = year(place, (number(&row[1]), number(&row[2])), &row[3]);
        let sheet = run("parking-window", &input);
        let (got, sampled) = (line(&sheet, "σ_n"), number(&row[4]));
        // Between two minutes the sun moves by 0.126° at most.
        assert!(got <= sampled + 1e-3 && got >= sampled - number(&row[6]), "{row:?}: {got}");
        // No moment is given where a minute's step does not tell it: through the axis, where the sun
        // passes twice a year, on the horizon, at the pole.
        if row[5].is_empty() {
            continue;
        }
        let off = unix(&sheet.result("at").unwrap().value) - unix(&row[5]);
        assert!(off.abs() <= 61.0, "{row:?}: {off} s");
    }
}

/// Pointing up within the tropics: the year finds the day that the short window is judged on.
#[test]
fn the_day_among_the_days() {
    let mut input = job();
    (input["axis_azimuth"], input["axis_elevation"]) = (json!("0 °"), json!("90 °"));
    input["length"] = json!("365 d");
    let year = run("parking-window", &input);
    let at = year.result("at").unwrap().value.clone();
    assert!(at.starts_with("2026-12-12T12:3"), "{at}");
    let first = year.result("first_break").unwrap().value.clone();
    for (moment, length) in [(&at, "4 h"), (&first, "4 h")] {
        let mut short = input.clone();
        short["start"] = json!(format!("{}T10:00:00-04:00", &moment[..10]));
        short["length"] = json!(length);
        let short = run("parking-window", &short);
        if *moment == at {
            let off = line(&year, "σ_n") - line(&short, "σ_n");
            assert!(off.abs() < 2e-4, "{off}");
        }
        let begin = short.result("first_break").unwrap().value.clone();
        if *moment == first {
            assert!((unix(&begin) - unix(&first)).abs() <= 1.0, "{begin} {first}");
        }
    }
    assert_eq!(year.result("days").unwrap().value, "366");
    assert!(year.reason.contains("That is so on 214 of 366 days"), "{}", year.reason);
    assert!(year.flags.iter().any(|flag| flag.code == "long_window"));
}

/// The lists stay bounded: a month day by day, a year and thirty years by months; the figure has at
/// most some four hundred points.
#[test]
fn long_windows_stay_short_on_paper() {
    let mut input = job();
    for (length, days, months, points) in
        [("8 d", 9, 0, 9), ("60 d", 61, 0, 61), ("365 d", 0, 13, 366), ("10957 d", 0, 361, 400)]
    {
        input["length"] = json!(length);
        let sheet = run("parking-window", &input);
        let count = |name: &str| {
            sheet.tables.iter().find(|table| table.name == name).map_or(0, |table| table.rows.len())
        };
        assert_eq!((count("days"), count("months")), (days, months), "{length}");
        assert!(count("sun") < 110, "{length}: {} rows", count("sun"));
        let figure = sheet.figure.as_ref().unwrap();
        let drawn: usize =
            figure.series.iter().filter(|s| s.name != "limit").map(|s| s.points.len()).sum();
        assert!(drawn <= points, "{length}: {drawn} points");
    }
}

/// A margin within the bound of the search is not told from the angle, and neither passed nor
/// failed; one beyond it is.
#[test]
fn a_margin_within_the_bound_is_not_judged() {
    let mut input = job();
    input["length"] = json!("40 d");
    let (lowest, bound) = {
        let sheet = run("parking-window", &input);
        (line(&sheet, "σ_n"), line(&sheet, "B"))
    };
    for (margin, verdict) in [
        (lowest + 0.0002, Verdict::Fail),
        (lowest - 0.5 * bound, Verdict::NotJudged),
        (lowest - 1.5 * bound, Verdict::Pass),
    ] {
        input["limit"]["margin"] = json!(format!("{margin:.6} °"));
        let sheet = run("parking-window", &input);
        assert_eq!(sheet.verdict, verdict, "{margin}: {}", sheet.reason);
    }
}

/// The polar night has days without sun, and a job that lies in it is told so.
#[test]
fn polar_night_of_months() {
    let place = PLACES[3];
    let mut input = year(place, (180.0, 3.0), "60 d");
    input["start"] = json!("2026-11-20T10:00:00+01:00");
    let sheet = run("parking-window", &input);
    assert_eq!(sheet.verdict, Verdict::Pass);
    assert!(sheet.reason.starts_with("Sun below the horizon from"), "{}", sheet.reason);
    let days = |name: &str| sheet.result(name).unwrap().value.clone();
    assert_eq!(days("days_dark"), days("days"));
    assert!(sheet.figure.is_none() && sheet.result("min_angle").is_none());
    assert!(table(&sheet, "days").iter().all(|row| row[1] == "sun down"));
    input["length"] = json!("200 d");
    let sheet = run("parking-window", &input);
    let dark = result(&sheet, "days_dark");
    // The sun is down from late October to mid February there.
    assert!((80.0..95.0).contains(&dark), "{dark}");
    assert_eq!(sheet.verdict, Verdict::Fail);
}

/// The same instants by two clocks: the same angle, whatever the days are called.
#[test]
fn years_are_instants() {
    let mut input = job();
    input["length"] = json!("90 d");
    let one = run("parking-window", &input);
    input["start"] = json!("2026-09-03T12:00:00+00:00");
    let other = run("parking-window", &input);
    let off = line(&one, "σ_n") - line(&other, "σ_n");
    assert!(off.abs() < 1e-4, "{off}");
    assert!(other.result("at").unwrap().value.ends_with("+00:00"));
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None, cases: 24, ..ProptestConfig::default()
    })]

    /// A longer window never has a larger minimum, across the change from sampling to searching.
    #[test]
    fn weeks_are_never_farther_than_their_days(
        latitude in -89.0_f64..89.0, longitude in -179.0_f64..179.0,
        azimuth in 0.0_f64..360.0, elevation in -20.0_f64..=90.0, month in 1..=12,
    ) {
        let mut input = job();
        input["latitude"] = json!(format!("{latitude:.4} °"));
        input["longitude"] = json!(format!("{longitude:.4} °"));
        input["axis_azimuth"] = json!(format!("{azimuth:.3} °"));
        input["axis_elevation"] = json!(format!("{elevation:.3} °"));
        input["start"] = json!(format!("2026-{month:02}-03T00:00:00Z"));
        let mut before = f64::INFINITY;
        for length in ["24 h", "7 d", "8 d", "25 d"] {
            input["length"] = json!(length);
            let sheet = run("parking-window", &input);
            if sheet.result("min_angle").is_some() {
                let lowest = line(&sheet, "σ_n");
                prop_assert!(lowest <= before + 2e-4, "{length}: {lowest} after {before}");
                before = lowest;
            } else {
                prop_assert!(before.is_infinite(), "{length}: no sun any more");
            }
        }
    }

    /// Fifteen degrees further west the sun is an hour later: the same angle, but for what its
    /// declination and the equation of time change in an hour.
    #[test]
    fn the_earth_turns(
        latitude in -50.0_f64..50.0, azimuth in 0.0_f64..360.0, elevation in 5.0_f64..80.0,
    ) {
        let mut input = job();
        input["latitude"] = json!(format!("{latitude:.4} °"));
        input["axis_azimuth"] = json!(format!("{azimuth:.3} °"));
        input["axis_elevation"] = json!(format!("{elevation:.3} °"));
        input["longitude"] = json!("10 °");
        input["start"] = json!("2026-04-03T00:00:00Z");
        input["length"] = json!("20 d");
        let east = run("parking-window", &input);
        input["longitude"] = json!("-5 °");
        input["start"] = json!("2026-04-03T01:00:00Z");
        let west = run("parking-window", &input);
        let off = line(&east, "σ_n") - line(&west, "σ_n");
        prop_assert!(off.abs() < 0.05, "{off}");
    }
}
