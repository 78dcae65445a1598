//! Positions, days and windows on a grid of places and dates, compared with pvlib.

use serde_json::{Value, json};

use crate::oracle::oracle;
use crate::sun::{line, result, run, unix};

/// Places of both hemispheres: latitude, longitude, altitude in m, air in hPa and °C.
const PLACES: [(f64, f64, f64, f64, f64); 8] = [
    (-23.10, -69.60, 1350.0, 862.0, 12.0),
    (-33.45, 151.20, 20.0, 1013.0, 22.0),
    (-54.80, -68.30, 10.0, 990.0, 2.0),
    (0.0, 37.0, 1800.0, 815.0, 24.0),
    (35.0546, -106.5401, 1650.0, 835.0, 30.0),
    (37.10, -2.36, 500.0, 955.0, 18.0),
    (65.0, 25.5, 10.0, 1005.0, -10.0),
    (78.22, 15.63, 10.0, 1000.0, -15.0),
];
const DAYS: [&str; 8] = [
    "1997-04-05",
    "2003-10-17",
    "2026-01-15",
    "2026-03-20",
    "2026-06-21",
    "2026-09-03",
    "2026-12-12",
    "2041-11-30",
];
/// TT − UT1 given to both sides, so that its estimate is not compared with itself.
const DELTA_T: f64 = 69.2;

fn place(latitude: f64, longitude: f64, altitude: f64) -> Value {
    json!({
        "latitude": format!("{latitude} °"), "longitude": format!("{longitude} °"),
        "altitude": format!("{altitude} m"),
    })
}

fn positions() -> Vec<Value> {
    let mut out = Vec::new();
    for (latitude, longitude, altitude, pressure, temperature) in PLACES {
        for day in DAYS {
            for hour in (0..24).step_by(3) {
                let at = format!("{day}T{hour:02}:17:00+00:00");
                let mut input = place(latitude, longitude, altitude);
                input["at"] = json!(at);
                input["barometer"] = json!(format!("{pressure} hPa"));
                input["temperature"] = json!(format!("{temperature} °C"));
                input["delta_t"] = json!(format!("{DELTA_T} s"));
                let sheet = run("sun-position", &input);
                out.push(json!({
                    "latitude": latitude, "longitude": longitude, "altitude": altitude,
                    "pressure": pressure, "temperature": temperature, "delta_t": DELTA_T,
                    "unix": unix(&at), "azimuth": line(&sheet, "A"),
                    "elevation": line(&sheet, "e"), "elevation_geometric": line(&sheet, "e₀"),
                    "equation_of_time": result(&sheet, "equation_of_time"),
                }));
            }
        }
    }
    out
}

fn days() -> Vec<Value> {
    let mut out = Vec::new();
    for (latitude, longitude, altitude, ..) in PLACES {
        for day in DAYS {
            let mut input = place(latitude, longitude, altitude);
            input["at"] = json!(format!("{day}T12:00:00+00:00"));
            let sheet = run("sun-day", &input);
            let moment = |name: &str| sheet.result(name).map(|outcome| unix(&outcome.value));
            out.push(json!({
                "latitude": latitude, "longitude": longitude, "delta_t": line(&sheet, "ΔT"),
                "start": moment("day_start"), "end": moment("day_end"),
                "rise": moment("sunrise"), "noon": moment("noon"), "set": moment("sunset"),
            }));
        }
    }
    out
}

fn windows() -> Vec<Value> {
    let mut out = Vec::new();
    for (index, (latitude, longitude, altitude, pressure, temperature)) in PLACES.iter().enumerate()
    {
        for (number, day) in DAYS.iter().enumerate() {
            let (azimuth, elevation) =
                [(180.0, 3.0), (300.0, 30.0), (0.0, 90.0), (80.0, 20.0)][(index + number) % 4];
            let (start, margin) = (format!("{day}T{:02}:00:00+00:00", 3 * number), 30.0);
            let mut input = place(*latitude, *longitude, *altitude);
            input["start"] = json!(start);
            input["length"] = json!("9.5 h");
            input["axis_azimuth"] = json!(format!("{azimuth} °"));
            input["axis_elevation"] = json!(format!("{elevation} °"));
            input["limit"] = json!({"margin": format!("{margin} °")});
            input["barometer"] = json!(format!("{pressure} hPa"));
            input["temperature"] = json!(format!("{temperature} °C"));
            let sheet = run("parking-window", &input);
            let lowest = sheet.result("min_angle").map(|_| line(&sheet, "σ_n"));
            let first_break = sheet.result("first_break").map(|outcome| unix(&outcome.value));
            out.push(json!({
                "latitude": latitude, "longitude": longitude, "altitude": altitude,
                "pressure": pressure, "temperature": temperature, "delta_t": line(&sheet, "ΔT"),
                "from": unix(&start), "to": unix(&start) + 9.5 * 3600.0,
                "axis_azimuth": azimuth, "axis_elevation": elevation, "margin": margin,
                "min_angle": lowest, "first_break": first_break,
            }));
        }
    }
    out
}

/// Positions within 0.0002°, rise and set within 2 s, minima within 0.01°, first breaks within the
/// half minute that pvlib is sampled by.
#[test]
fn by_pvlib() {
    let case = json!({"positions": positions(), "days": days(), "windows": windows()});
    let report = oracle("sun.py", &case.to_string());
    assert_eq!(report.matches("worst").count(), 11, "{report}");
}
