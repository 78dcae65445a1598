//! Facet alignment against hand-worked figures: signs, cosines, RMS, lamps, racks, gaps.

use acceptance::{Refusal, Sheet, Verdict, calculation};
use serde_json::{Value, json};

use crate::table::{close, number, rows};

/// A dish of one facet per given place; radius m, bearing °.
pub(crate) fn dish(focal_length: f64, places: &[(&str, &str, f64, f64)]) -> Value {
    let facets: Vec<_> = places
        .iter()
        .map(|(facet, rack, radius, bearing)| {
            json!({
                "facet": facet, "rack": rack, "radius": format!("{radius} m"),
                "bearing": format!("{bearing} °"), "aim_x": "0 mm", "aim_y": "0 mm",
            })
        })
        .collect();
    json!({
        "focal_length": format!("{focal_length} m"), "facets": facets, "survey": [],
        "method": "target-board",
        "limits": {
            "axis": {"value": "1.0 mrad", "rule": "simple"},
            "rms": {"value": "0.7 mrad", "rule": "simple"},
            "rack": {"explained": "80 %"},
        },
    })
}

/// Sets the shift of a facet, in mm; as many digits as a float has, so that none are lost here.
pub(crate) fn shift(input: &mut Value, facet: &str, dx: f64, dy: f64) {
    let row = json!({
        "facet": facet, "state": "measured", "dx": format!("{dx:.9} mm"), "dy": format!("{dy:.9} mm"),
    });
    input["survey"].as_array_mut().unwrap().push(row);
}

pub(crate) fn run(input: &Value) -> Sheet {
    calculation("facet-alignment").unwrap().run(input).unwrap()
}

fn refuse(input: &Value) -> Refusal {
    calculation("facet-alignment").unwrap().run(input).unwrap_err()
}

/// A result as a number.
pub(crate) fn result(sheet: &Sheet, name: &str) -> f64 {
    number(&sheet.result(name).unwrap_or_else(|| panic!("no {name}: {}", sheet.reason)).value)
}

/// A cell of a table as text.
pub(crate) fn cell(sheet: &Sheet, table: &str, row: &str, column: &str) -> String {
    let table = sheet.tables.iter().find(|t| t.name == table).unwrap();
    let at = table.columns.iter().position(|c| c == column).unwrap();
    table.rows.iter().find(|r| r[0] == row).unwrap()[at].clone()
}

/// A step of the working as a number.
fn line(sheet: &Sheet, symbol: &str) -> f64 {
    number(&sheet.working.iter().find(|line| line.symbol == symbol).unwrap().value)
}

/// One facet straight up: the radius is y, so that radial is y and across is x.
#[test]
fn shifts_of_the_table() {
    for row in rows("facet_shifts.csv") {
        let cells: Vec<f64> = row[..7].iter().map(|cell| number(cell)).collect();
        let [f, radius, tilt_r, tilt_t, shift_r, shift_t, tolerance] = cells[..] else { panic!() };
        let mut input = dish(f, &[("F", "R", radius, 0.0)]);
        shift(&mut input, "F", shift_t, shift_r);
        let sheet = run(&input);
        let (wanted, got) = if tilt_r > 0.0 {
            (tilt_r, line(&sheet, "δ_r"))
        } else {
            (tilt_t, line(&sheet, "δ_t"))
        };
        close(got, wanted, tolerance.max(2e-6), &row.join(";"));
    }
}

/// Where a lamp that is not far off puts the spot of a correctly set facet: read there, no error.
#[test]
fn lamps_of_the_table() {
    for row in rows("facet_lamps.csv") {
        let [f, lamp, radius, meets] = [0, 1, 2, 3].map(|i| number(&row[i]));
        let mut input = dish(f, &[("F", "R", radius, 90.0)]);
        input["method"] = json!("distant-light");
        input["lamp_distance"] = json!(format!("{lamp} m"));
        shift(&mut input, "F", 1000.0 * meets, 0.0);
        let sheet = run(&input);
        close(line(&sheet, "ρ"), 1000.0 * meets, 1e-5, &row.join(";"));
        assert!(result(&sheet, "axis_worst") < 1e-3, "{}", sheet.reason);
    }
}

/// How far beyond the focus a lamp's light crosses the axis, p²/(s − f) by exact reflection; on the
/// axis it is the mirror equation 1/s + 1/s′ = 1/f, which gives f²/(s − f).
#[test]
fn lamps_cross_the_axis_where_the_table_says() {
    let table = [
        (6.6, 300.0, 0.0, 0.148_466),
        (6.6, 300.0, 2.0, 0.155_361),
        (6.6, 300.0, 4.0, 0.176_985),
        (6.6, 300.0, 5.5, 0.204_492),
        (7.45, 300.0, 0.0, 0.189_720),
        (7.45, 300.0, 2.0, 0.196_618),
        (7.45, 300.0, 4.0, 0.218_051),
        (7.45, 300.0, 5.5, 0.244_943),
        (6.6, 100.0, 0.0, 0.466_381),
        (6.6, 1000.0, 0.0, 0.043_849),
    ];
    for (f, lamp, radius, beyond) in table {
        let mut input = dish(f, &[("F", "R", radius, 90.0)]);
        input["method"] = json!("distant-light");
        input["lamp_distance"] = json!(format!("{lamp} m"));
        shift(&mut input, "F", 0.0, 0.0);
        let sheet = run(&input);
        assert!((line(&sheet, "Δ") - beyond).abs() < 6e-7, "{f} {lamp} {radius}");
        // The spot stands where that ray meets the focal plane.
        let z = radius * radius / (4.0 * f);
        let meets = radius * beyond / (f + beyond - z);
        assert!((line(&sheet, "ρ") - 1000.0 * meets).abs() < 2e-3, "{f} {lamp} {radius}");
    }
}

/// Eight facets of the figures worked out beside the formula (f 6.6 m, radial and across in mm).
#[test]
fn eight_facets() {
    let p = [6.70, 6.85, 7.00, 7.15, 7.30, 7.45, 7.60, 7.70];
    let shifts = [
        (3.1, -2.0),
        (-4.4, 1.2),
        (0.5, 5.6),
        (2.2, -3.3),
        (-1.8, -0.7),
        (6.0, 2.4),
        (-2.9, 3.8),
        (1.1, -4.9),
    ];
    let names = ["F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8"];
    let places: Vec<_> = names
        .iter()
        .zip(p)
        .map(|(name, p): (&&str, f64)| (*name, "R", (4.0 * 6.6 * (p - 6.6)).sqrt(), 0.0))
        .collect();
    let mut input = dish(6.6, &places);
    for (name, (radial, across)) in names.iter().zip(shifts) {
        shift(&mut input, name, across, radial);
    }
    let sheet = run(&input);
    // Straight up, y is radial and x is across.
    close(line(&sheet, "RMS_y"), 0.189_027, 5e-6, "radial");
    close(line(&sheet, "RMS_x"), 0.244_918, 5e-6, "across");
    close(line(&sheet, "RMS"), 0.309_380, 5e-6, "two dimensions");
    close(result(&sheet, "mean_y"), 0.026_264, 2e-2, "mean radial, to three decimals");
    close(result(&sheet, "mean_x"), 0.019_489, 3e-2, "mean across, to three decimals");
}

/// A set of four with known errors, and the quick rule of 38 mm at 6.2 m (figures of the trade).
#[test]
fn four_facets_and_the_quick_rule() {
    let set = [(0.3, -0.4), (0.6, 0.2), (-0.9, 0.1), (0.0, 0.5)];
    let names = ["A", "B", "C", "D"];
    // At the vertex both cosines are one, and the shift is 2fδ.
    let places: Vec<_> = names.iter().map(|name| (*name, "R", 0.0, 0.0)).collect();
    let mut input = dish(6.0, &places);
    for (name, (x, y)) in names.iter().zip(set) {
        shift(&mut input, name, 12.0 * x, 12.0 * y);
    }
    let sheet = run(&input);
    for (name, wanted) in [("rms_x", 0.561), ("rms_y", 0.339), ("rms", 0.656), ("axis_worst", 0.9)]
    {
        close(result(&sheet, name), wanted, 1e-2, name);
    }
    assert_eq!(sheet.verdict, Verdict::Pass, "{}", sheet.reason);
    let mut input = dish(6.0, &[("A", "R", 0.0, 0.0)]);
    input["quick_distance"] = json!("6.2 m");
    shift(&mut input, "A", 38.0, 0.0);
    close(result(&run(&input), "quick_worst"), 3.06, 2e-3, "38 mm at 6.2 m");
}

/// The signs: x to the right and y up seen from the focus, bearings clockwise from up.
#[test]
fn signs_in_all_four_quarters() {
    let bearings =
        [("up", 0.0), ("right", 90.0), ("down", 180.0), ("left", 270.0), ("askew", 33.0)];
    for (name, bearing) in bearings {
        for (dx, dy) in [(9.0, 0.0), (-9.0, 0.0), (0.0, 9.0), (0.0, -9.0)] {
            let mut input = dish(6.0, &[(name, "R", 3.0, bearing)]);
            shift(&mut input, name, dx, dy);
            let sheet = run(&input);
            let x = number(&cell(&sheet, "facets", name, "x mrad"));
            let y = number(&cell(&sheet, "facets", name, "y mrad"));
            let along = if dx == 0.0 { (y, dy) } else { (x, dx) };
            assert!(along.0 * along.1 > 0.0 && along.0.abs() > 0.5, "{name} {dx} {dy}: {x} {y}");
            let other = if dx == 0.0 { x } else { y };
            assert!(other.abs() < 0.1, "{name} {dx} {dy}: {x} {y}");
        }
    }
    // Minus as a spreadsheet writes it keeps its sign.
    let mut input = dish(6.0, &[("F", "R", 3.0, 0.0)]);
    input["survey"] = json!([{"facet": "F", "state": "measured", "dx": "−9,0 mm", "dy": "0 mm"}]);
    assert!(number(&cell(&run(&input), "facets", "F", "x mrad")) < -0.5);
}

/// A spot on its own aim point is no error, and the aim is taken off before anything else.
#[test]
fn each_facet_has_its_own_aim() {
    let mut input = dish(6.0, &[("A", "R", 4.0, 60.0), ("B", "R", 4.0, 65.0)]);
    input["facets"][1]["aim_x"] = json!("12 mm");
    input["facets"][1]["aim_y"] = json!("-7 mm");
    shift(&mut input, "A", 0.0, 0.0);
    shift(&mut input, "B", 12.0, -7.0);
    let sheet = run(&input);
    assert_eq!(sheet.result("rms").unwrap().value, "0.00");
    assert_eq!(sheet.result("axis_worst").unwrap().value, "0.00");
}

/// The value next to the limit is printed so that its side shows, and the unrounded one counts.
#[test]
fn no_rounding_hides_the_side() {
    for (milliradians, verdict) in [(0.999_6, Verdict::Pass), (1.000_4, Verdict::Fail)] {
        let mut input =
            dish(6.0, &[("A", "R", 0.0, 0.0), ("B", "R", 0.0, 0.0), ("C", "R", 0.0, 0.0)]);
        shift(&mut input, "A", 0.0, 12.0 * milliradians);
        shift(&mut input, "B", 0.0, 0.0);
        shift(&mut input, "C", 0.0, 0.0);
        let sheet = run(&input);
        assert_eq!(sheet.verdict, verdict, "{}", sheet.reason);
        assert_eq!((result(&sheet, "axis_worst") > 1.0), (milliradians > 1.0));
        assert_eq!(result(&sheet, "out_of_limit") > 0.0, milliradians > 1.0);
    }
}

fn two_racks() -> Value {
    dish(
        6.0,
        &[
            ("R01/F01", "R01", 1.2, 15.0),
            ("R01/F02", "R01", 3.1, 8.0),
            ("R01/F03", "R01", 4.6, 22.0),
            ("R02/F01", "R02", 1.2, 45.0),
            ("R02/F02", "R02", 3.1, 38.0),
            ("R02/F03", "R02", 4.6, 52.0),
        ],
    )
}

fn all_at(input: &mut Value, dx: f64, dy: f64) {
    let names: Vec<String> = input["facets"]
        .as_array()
        .unwrap()
        .iter()
        .map(|facet| facet["facet"].as_str().unwrap().to_owned())
        .collect();
    for name in names {
        shift(input, &name, dx, dy);
    }
}

#[test]
fn gaps_are_named_and_never_zero() {
    let mut input = two_racks();
    all_at(&mut input, 1.0, 2.0);
    assert_eq!(run(&input).verdict, Verdict::Pass);
    for path in ["focal_length", "facets", "survey", "method"] {
        let mut gap = input.clone();
        gap.as_object_mut().unwrap().remove(path);
        let sheet = run(&gap);
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        assert_eq!(sheet.missing[0].field, path);
        assert!(sheet.results.is_empty());
    }
    // A limit that is missing takes away only what depends on it.
    for (path, field, gone) in [
        ("/limits/axis", "limits.axis.value", "out_of_limit"),
        ("/limits/rack", "limits.rack.explained", "racks_moved"),
    ] {
        let mut gap = input.clone();
        *gap.pointer_mut(path).unwrap() = json!({});
        let sheet = run(&gap);
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        assert_eq!(sheet.missing[0].field, field);
        assert!(sheet.result(gone).is_none() && sheet.result("rms").is_some(), "{path}");
    }
    let mut lamp = input.clone();
    lamp["method"] = json!("distant-light");
    assert_eq!(run(&lamp).missing[0].field, "lamp_distance");
    let mut guarded = input;
    guarded["limits"]["axis"]["rule"] = json!("guarded");
    assert_eq!(run(&guarded).missing[0].field, "uncertainty.reading");
}

#[test]
fn facets_without_a_number_are_counted_by_name() {
    let mut input = two_racks();
    all_at(&mut input, 1.0, 2.0);
    let survey = input["survey"].as_array_mut().unwrap();
    survey[1] = json!({"facet": "R01/F02", "state": "not_measured"});
    survey.remove(5);
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert!(sheet.reason.contains("R01/F02, R02/F03"), "{}", sheet.reason);
    assert_eq!(sheet.result("unmeasured").unwrap().value, "2");
    // A facet found within without a number: no RMS of all, and it says so.
    input["survey"][0] = json!({"facet": "R01/F01", "state": "within"});
    let sheet = run(&input);
    assert!(sheet.result("rms").is_none() && sheet.result("axis_worst").is_none());
    assert!(sheet.reason.contains("no RMS"), "{}", sheet.reason);
    // Half of a reading is no reading.
    let mut half = two_racks();
    all_at(&mut half, 1.0, 2.0);
    half["survey"][3].as_object_mut().unwrap().remove("dy");
    let sheet = run(&half);
    assert_eq!(sheet.missing[0].field, "survey.R02/F01.dy");
    assert_eq!(sheet.result("unmeasured").unwrap().value, "1");
    // Masked facets send no light: they are a share of their own.
    let mut masked = two_racks();
    all_at(&mut masked, 1.0, 2.0);
    masked["survey"][0] = json!({"facet": "R01/F01", "state": "masked"});
    let sheet = run(&masked);
    close(result(&sheet, "masked_share"), 100.0 / 6.0, 1e-6, "masked share");
    let count = |name| sheet.result(name).unwrap().value.clone();
    assert_eq!((count("measured"), count("unmeasured")), ("5".to_owned(), "0".to_owned()));
}

/// As found is shown with everything, and judged by nothing.
#[test]
fn as_found_is_not_judged() {
    let mut input = two_racks();
    all_at(&mut input, 80.0, 2.0);
    assert_eq!(run(&input).verdict, Verdict::Fail);
    input["state"] = json!("as-found");
    let sheet = run(&input);
    assert_eq!(sheet.verdict, Verdict::Computed);
    assert!(result(&sheet, "out_of_limit") > 0.0 && sheet.rule.is_none());
}

/// The doubt of a reading tightens the limit under the guarded rule.
#[test]
fn guarded_by_the_doubt_of_the_reading() {
    let mut input = dish(6.0, &[("A", "R", 0.0, 0.0), ("B", "R", 0.0, 0.0)]);
    shift(&mut input, "A", 0.0, 12.0 * 0.95);
    shift(&mut input, "B", 0.0, 0.0);
    input["uncertainty"] = json!({"reading": {"value": "0.6 mm", "distribution": "standard"}});
    let simple = run(&input);
    assert_eq!(simple.verdict, Verdict::Pass);
    // u = 0.6/12 = 0.05 mrad: the acceptance limit is 0.90 mrad.
    assert_eq!(simple.result("axis_worst").unwrap().standard_uncertainty.as_deref(), Some("0.050"));
    input["limits"]["axis"]["rule"] = json!("guarded");
    assert_eq!(run(&input).verdict, Verdict::Fail);
    input["survey"][0]["dy"] = json!("10.7 mm");
    assert_eq!(run(&input).verdict, Verdict::Pass);
}

#[test]
fn what_cannot_be_is_refused_by_field() {
    let check = |path: &str, value: Value, code: &str, field: &str| {
        let mut input = two_racks();
        all_at(&mut input, 1.0, 2.0);
        *input.pointer_mut(path).unwrap() = value;
        let refusal = refuse(&input);
        assert_eq!((refusal.code.as_str(), refusal.field.as_str()), (code, field));
        assert!(!refusal.next_step.is_empty());
    };
    check("/survey/0/dx", json!("3 kg"), "wrong_unit", "survey.R01/F01.dx");
    check("/survey/0/dx", json!("3.5 m"), "implausible", "survey.R01/F01.dx");
    check("/survey/0/dx", json!("> 3 mm"), "not_a_value", "survey.R01/F01.dx");
    check("/survey/0/facet", json!("R01/F09"), "unknown_facet", "survey.R01/F09");
    check("/facets/0/radius", json!("14 m"), "out_of_range", "facets.R01/F01.radius");
    check("/facets/0/bearing", json!("400 °"), "implausible", "facets.R01/F01.bearing");
    check("/limits/axis/value", json!("0 mrad"), "out_of_range", "limits.axis.value");
}
