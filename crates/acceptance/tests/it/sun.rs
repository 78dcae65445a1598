//! Sun calculations against NREL's worked example, pvlib and the vectors of the site.

use acceptance::{Direction, Sheet, Verdict, calculation, separation};
use quantity::Angle;
use serde_json::{Value, json};

use crate::table::{number, rows};

pub(crate) fn run(name: &str, input: &Value) -> Sheet {
    calculation(name).unwrap().run(input).unwrap()
}

pub(crate) fn result(sheet: &Sheet, name: &str) -> f64 {
    let found = sheet.result(name).unwrap_or_else(|| panic!("no {name}: {}", sheet.reason));
    found.value.parse().unwrap()
}

pub(crate) fn line(sheet: &Sheet, symbol: &str) -> f64 {
    let found = sheet.working.iter().find(|line| line.symbol == symbol);
    found.unwrap_or_else(|| panic!("no line {symbol}")).value.parse().unwrap()
}

pub(crate) fn direction(azimuth: f64, elevation: f64) -> Direction {
    Direction {
        azimuth: Angle::from_radians(azimuth.to_radians()),
        elevation: Angle::from_radians(elevation.to_radians()),
    }
}

/// Unix seconds of a moment, by another reader than the program's.
pub(crate) fn unix(moment: &str) -> f64 {
    let (date, rest) = moment.split_once('T').unwrap();
    let (clock, offset) = rest.split_at(8);
    let part = |text: &str, sign: char, n: usize| -> f64 {
        text.split(sign).nth(n).unwrap().parse().unwrap()
    };
    let (y, m, d) = (part(date, '-', 0), part(date, '-', 1), part(date, '-', 2));
    // Julian day number of the Gregorian calendar, Fliegel & Van Flandern (1968), in whole numbers.
    let a = ((14.0 - m) / 12.0).floor();
    let (y2, m2) = (y + 4800.0 - a, m + 12.0 * a - 3.0);
    let jdn = d + ((153.0 * m2 + 2.0) / 5.0).floor() + 365.0 * y2 + (y2 / 4.0).floor()
        - (y2 / 100.0).floor()
        + (y2 / 400.0).floor()
        - 32_045.0;
    let seconds = part(clock, ':', 0) * 3600.0 + part(clock, ':', 1) * 60.0 + part(clock, ':', 2);
    let sign = if offset.starts_with('-') { -1.0 } else { 1.0 };
    let ahead = part(&offset[1..], ':', 0) * 3600.0 + part(&offset[1..], ':', 1) * 60.0;
    (jdn - 2_440_588.0) * 86_400.0 + seconds - sign * ahead
}

/// The demo site, its axis low in the south on 3 September, with a margin of 30°.
pub(crate) fn job() -> Value {
    json!({
        "latitude": "-23.10 °", "longitude": "-69.60 °", "altitude": "1350 m",
        "start": "2026-09-03T08:00:00-04:00", "length": "9.5 h",
        "axis_azimuth": "180 °", "axis_elevation": "3 °", "limit": {"margin": "30 °"},
    })
}

#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64, what: &str) {
    let off = (got - expected).abs();
    assert!(off <= tolerance, "{what}: got {got}, expected {expected}, off by {off:e}");
}

#[test]
fn positions() {
    for row in rows("sun_positions.csv") {
        let sheet = run(
            "sun-position",
            &json!({
                "latitude": format!("{} °", row[1]), "longitude": format!("{} °", row[2]),
                "altitude": format!("{} m", row[3]), "at": row[4],
                "barometer": format!("{} hPa", row[5]), "temperature": format!("{} °C", row[6]),
                "delta_t": format!("{} s", row[7]),
            }),
        );
        let tolerance = number(&row[11]);
        near(90.0 - line(&sheet, "e₀"), number(&row[8]), tolerance, &row[0]);
        near(90.0 - line(&sheet, "e"), number(&row[9]), tolerance, &row[0]);
        near(line(&sheet, "A"), number(&row[10]), tolerance, &row[0]);
    }
}

/// Declination and equation of time of the worked example: δ −9.314340° (NREL/TP-560-34302,
/// Table A5.1); E 14.6415 min (pvlib 0.16.1).
#[test]
fn worked_example_on_the_way() {
    let text = calculation("sun-position").unwrap().examples();
    let example = text.iter().find(|e| e.name == "good-worked-example").unwrap();
    let sheet = calculation("sun-position").unwrap().run_text(example.text).unwrap();
    near(line(&sheet, "δ"), -9.314_340, 2e-6, "δ");
    near(line(&sheet, "E"), 14.6415, 0.01, "E");
}

#[test]
fn days() {
    for row in rows("sun_days.csv") {
        let sheet = run(
            "sun-day",
            &json!({
                "latitude": format!("{} °", row[1]), "longitude": format!("{} °", row[2]),
                "altitude": format!("{} m", row[3]), "at": row[4],
            }),
        );
        let got = unix(&sheet.result(&row[5]).unwrap().value);
        near(got, unix(&row[6]), number(&row[7]), &format!("{} {}", row[0], row[5]));
    }
}

#[test]
fn angles_to_two_axes() {
    for row in rows("sun_angles.csv") {
        let mut input = job();
        for field in ["start", "length", "limit"] {
            input.as_object_mut().unwrap().remove(field);
        }
        input["at"] = json!(row[0]);
        let sheet = run("sun-position", &input);
        let (az, el) = (result(&sheet, "azimuth"), result(&sheet, "elevation_geometric"));
        // Half of the last digit printed, and 0.01° between the two algorithms.
        let tolerance = number(&row[5]) + 0.005;
        near(el, number(&row[1]), tolerance, "elevation");
        if !row[2].is_empty() {
            near(az, number(&row[2]), tolerance, "azimuth");
        }
        let to = |axis| separation(axis, direction(az, el)).radians().to_degrees();
        near(to(direction(0.0, 90.0)), number(&row[3]), number(&row[5]) + 0.05, "to the zenith");
        near(to(direction(180.0, 3.0)), number(&row[4]), number(&row[5]) + 0.05, "to the south");
        let seen = separation(direction(180.0, 3.0), direction(az, result(&sheet, "elevation")));
        near(result(&sheet, "angle_to_axis"), seen.radians().to_degrees(), 2e-4, "of the sheet");
    }
}

#[test]
fn separations() {
    for row in rows("separations.csv") {
        let [a1, e1, a2, e2] = [0, 1, 2, 3].map(|i| number(&row[i]));
        let got = separation(direction(a1, e1), direction(a2, e2)).radians().to_degrees();
        near(got, number(&row[4]), number(&row[5]), &format!("{row:?}"));
    }
}

#[test]
fn windows() {
    for row in rows("sun_windows.csv") {
        let mut input = job();
        input["axis_azimuth"] = json!(format!("{} °", row[1]));
        input["axis_elevation"] = json!(format!("{} °", row[2]));
        input["start"] = json!(row[3]);
        input["length"] = json!(row[4]);
        let sheet = run("parking-window", &input);
        let verdict = serde_json::to_value(sheet.verdict).unwrap();
        assert_eq!(verdict, row[5], "{}: {}", row[0], sheet.reason);
        near(line(&sheet, "σ_n"), number(&row[6]), number(&row[8]), &row[0]);
        let at = unix(&sheet.result("at").unwrap().value);
        near(at, unix(&row[7]), number(&row[9]), &row[0]);
    }
}

/// Pointing up is no stow within the tropics: on 12 December the sun passes within 0.05° of the
/// zenith (site vectors 23.10° S 69.60° W: 0.05° at 13:32).
#[test]
fn zenith_stow_within_the_tropics() {
    let mut input = job();
    input["start"] = json!("2026-12-12T08:00:00-03:00");
    input["axis_azimuth"] = json!("0 °");
    input["axis_elevation"] = json!("90 °");
    let sheet = run("parking-window", &input);
    assert_eq!(sheet.verdict, Verdict::Fail);
    assert!(line(&sheet, "σ_n") <= 0.055, "{}", sheet.reason);
    near(unix(&sheet.result("at").unwrap().value), unix("2026-12-12T13:32:00-03:00"), 60.0, "when");
}

/// The trap as a reader meets it: both numbers in the sentence, and where the sun is to be looked
/// for at the start.
#[test]
fn the_trap_is_said() {
    let mut input = job();
    input["axis_azimuth"] = json!("300 °");
    input["axis_elevation"] = json!("30 °");
    let sheet = run("parking-window", &input);
    for said in ["4.3° to the mirror axis", "2026-09-03 15:58", "nearer than the 30°", "74.6°"] {
        assert!(sheet.reason.contains(said), "{said}: {}", sheet.reason);
    }
    assert!(sheet.tables.iter().any(|table| table.name == "broken" && table.rows.len() == 1));
    assert!(sheet.flags.iter().any(|flag| flag.code == "true_north"));
}

/// Parked where tomorrow's sun comes: nothing in the night of the job, a break after sunrise.
#[test]
fn the_margin_breaks_after_the_night() {
    let mut input = job();
    input["start"] = json!("2026-09-03T19:00:00-04:00");
    input["length"] = json!("10 h");
    input["axis_azimuth"] = json!("75 °");
    input["axis_elevation"] = json!("10 °");
    let sheet = run("parking-window", &input);
    assert_eq!(sheet.verdict, Verdict::Pass);
    assert!(sheet.result("min_angle").is_none());
    assert!(sheet.reason.starts_with("Sun below the horizon from"), "{}", sheet.reason);
    let broken = sheet.result("first_break_after").unwrap().value.clone();
    let day = run(
        "sun-day",
        &json!({
            "latitude": "-23.10 °", "longitude": "-69.60 °", "altitude": "1350 m",
            "at": "2026-09-04T12:00:00-04:00",
        }),
    );
    let rise = day.result("sunrise").unwrap().value.clone();
    near(unix(&broken), unix(&rise), 1.5, "the break comes with the sun");
}

/// Padding makes the window longer at both ends and never the angle larger.
#[test]
fn padding_looks_further() {
    let mut input = job();
    input["length"] = json!("1 h");
    input["axis_azimuth"] = json!("90 °");
    let plain = run("parking-window", &input);
    input["padding"] = json!("1 h");
    let padded = run("parking-window", &input);
    assert!(line(&padded, "σ_n") < line(&plain, "σ_n") - 5.0);
    assert!(padded.flags.iter().any(|flag| flag.code == "padded"));
}

/// The same instants written by two clocks: the same angle, told in the clock of the start.
#[test]
fn instants_not_clocks() {
    let mut input = job();
    let one = run("parking-window", &input);
    input["start"] = json!("2026-09-03T09:00:00-03:00");
    let other = run("parking-window", &input);
    near(line(&one, "σ_n"), line(&other, "σ_n"), 1e-12, "the angle");
    let at = |sheet: &Sheet| unix(&sheet.result("at").unwrap().value);
    near(at(&one), at(&other), 1e-9, "the moment");
    assert!(other.result("at").unwrap().value.ends_with("-03:00"));
}

/// Svalbard, 78.22° N: the sun does not set on 21 June and does not rise on 21 December; a job
/// there is judged all the same.
#[test]
fn polar_day_and_night() {
    let day = |at: &str| {
        let place = json!({
            "latitude": "78.22 °", "longitude": "15.63 °", "altitude": "10 m", "at": at,
        });
        run("sun-day", &place)
    };
    let summer = day("2026-06-21T12:00:00+02:00");
    assert!(summer.flags.iter().any(|flag| flag.code == "sun_up_all_day"));
    near(result(&summer, "sunshine"), 24.0, 1e-3, "hours of sun");
    assert!(summer.result("sunrise").is_none() && summer.result("sunset").is_none());
    let winter = day("2026-12-21T12:00:00+01:00");
    assert!(winter.flags.iter().any(|flag| flag.code == "sun_down_all_day"));
    near(result(&winter, "sunshine"), 0.0, 1e-9, "hours of sun");
    let mut input = job();
    input["latitude"] = json!("78.22 °");
    input["longitude"] = json!("15.63 °");
    input["start"] = json!("2026-06-21T22:00:00+02:00");
    input["length"] = json!("6 h");
    input["axis_azimuth"] = json!("0 °");
    input["axis_elevation"] = json!("11 °");
    let midnight = run("parking-window", &input);
    // The midnight sun stands in the north at δ − (90° − φ) = 23.44° − 11.78°.
    assert_eq!(midnight.verdict, Verdict::Fail);
    near(line(&midnight, "σ_n"), 0.66, 0.1, "the midnight sun");
    input["start"] = json!("2026-12-21T08:00:00+01:00");
    let night = run("parking-window", &input);
    assert_eq!(night.verdict, Verdict::Pass);
    assert!(night.reason.starts_with("Sun below the horizon"), "{}", night.reason);
}

/// A forgotten minus sign of the longitude is noticed by the clock's offset.
#[test]
fn longitude_against_clock() {
    let flagged = |longitude: &str, at: &str| {
        let input = json!({
            "latitude": "-23.10 °", "longitude": longitude, "altitude": "1350 m", "at": at,
        });
        let sheet = run("sun-position", &input);
        sheet.flags.iter().any(|flag| flag.code == "longitude_and_clock")
    };
    assert!(flagged("69.60 °", "2026-09-03T09:00:00-04:00"));
    assert!(!flagged("-69.60 °", "2026-09-03T09:00:00-04:00"));
    // Kashgar keeps the time of Beijing; New Zealand's summer time; a clock in UTC says nothing.
    assert!(!flagged("75.99 °", "2026-09-03T09:00:00+08:00"));
    assert!(!flagged("178.0 °", "2026-12-03T09:00:00+13:00"));
    assert!(!flagged("69.60 °", "2026-09-03T09:00:00Z"));
}

#[test]
fn a_letter_for_the_hemisphere_is_answered_with_the_sign() {
    let mut input = job();
    input["latitude"] = json!("23.10° S");
    let refusal = calculation("parking-window").unwrap().run(&input).unwrap_err();
    assert_eq!((refusal.code.as_str(), refusal.field.as_str()), ("hemisphere_letter", "latitude"));
    assert!(refusal.next_step.contains("−23.10°"), "{}", refusal.next_step);
}

#[test]
fn every_gap_is_named() {
    for (path, field) in [
        ("latitude", "latitude"),
        ("longitude", "longitude"),
        ("altitude", "altitude"),
        ("start", "start"),
        ("length", "length"),
        ("axis_azimuth", "axis_azimuth"),
        ("axis_elevation", "axis_elevation"),
        ("limit", "limit.margin"),
    ] {
        let mut input = job();
        input.as_object_mut().unwrap().remove(path);
        let sheet = run("parking-window", &input);
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        let named: Vec<_> = sheet.missing.iter().map(|missing| missing.field.as_str()).collect();
        assert_eq!(named, [field]);
        assert!(sheet.results.is_empty());
    }
}

/// A place is read the same way by every calculation that looks at the sun from one: the same
/// fields, the same refusals, the same air.
#[test]
fn one_reading_of_the_place() {
    let calculations = ["parking-window", "stow-directions", "sun-day", "sun-position", "walk-off"];
    for name in calculations {
        let calculation = calculation(name).unwrap();
        let example = calculation.examples().iter().find(|one| one.name.starts_with("good-"));
        let good: Value = serde_json::from_str(example.unwrap().text).unwrap();
        for (field, text, code) in [
            ("latitude", "23.1° S", "hemisphere_letter"),
            ("longitude", "190 °", "implausible"),
            ("altitude", "9000 m", "implausible"),
            ("barometer", "86.2 hPa", "implausible"),
            ("temperature", "80 °C", "implausible"),
            ("delta_t", "10 min", "implausible"),
        ] {
            let mut input = good.clone();
            input[field] = json!(text);
            let refusal = calculation.run(&input).unwrap_err();
            assert_eq!((refusal.code.as_str(), refusal.field.as_str()), (code, field), "{name}");
        }
        let mut input = good.clone();
        input["barometer"] = json!("862 hPa");
        input["temperature"] = json!("12 °C");
        input["delta_t"] = json!("69 s");
        let sheet = calculation.run(&input).unwrap();
        let of = |symbol: &str| line(&sheet, symbol);
        near(of("p_a"), 862.0, 1e-9, name);
        near(of("T_a"), 12.0, 1e-9, name);
        near(of("ΔT"), 69.0, 1e-9, name);
        let mut input = good;
        input.as_object_mut().unwrap().remove("altitude");
        let sheet = calculation.run(&input).unwrap();
        assert_eq!(sheet.missing[0].field, "altitude", "{name}");
    }
}
