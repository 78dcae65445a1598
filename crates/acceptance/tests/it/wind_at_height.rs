//! Wind at another height and averaging time against printed examples.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{each_is_missed, example, flagged, missing, refused, text, without};
use crate::sun::{line, result, run};
use crate::table::{close, number, rows};

const NAME: &str = "wind-at-height";

fn wind(speed: &str, from: (&str, &str), to: (&str, &str)) -> Value {
    json!({
        "speed": speed, "height": from.0, "averaging": from.1,
        "at_height": to.0, "at_averaging": to.1,
    })
}

#[test]
fn cases_of_the_table() {
    for row in rows("wind_at_height.csv") {
        let mut input = wind(
            &format!("{} {}", row[1], row[2]),
            (&format!("{} m", row[3]), &format!("{} s", row[4])),
            (&format!("{} m", row[5]), &format!("{} s", row[6])),
        );
        if !row[7].is_empty() {
            let unit = if row[7] == "roughness" { " m" } else { "" };
            input[&row[7]] = json!(format!("{}{unit}", row[8]));
        }
        if !row[9].is_empty() {
            input["averaging_curve"] = json!(row[9]);
        }
        close(line(&run(NAME, &input), "v₂"), number(&row[10]), number(&row[11]), &row[0]);
    }
}

/// A limit of 12 m/s over 10 min and one over 3 s: 1.43 apart, and opposite verdicts.
#[test]
fn the_averaging_time_changes_the_verdict() {
    let case = |averaging: &str| {
        let mut input = wind("11 m/s", ("10 m", "10 min"), ("10 m", averaging));
        input["averaging_curve"] = json!("durst");
        input["limit"] = json!({"value": "12 m/s", "source": "work order"});
        run(NAME, &input)
    };
    let (mean, gust) = (case("10 min"), case("3 s"));
    assert_eq!((mean.verdict, gust.verdict), (Verdict::Pass, Verdict::Fail));
    close(result(&gust, "factor"), 1.43, 5e-3, "3 s over 10 min");
    assert!(flagged(&gust, "averaging_matters") && !flagged(&mean, "averaging_matters"));
    close(result(&gust, "limit_at_instrument"), 12.0 / result(&gust, "factor"), 1e-5, "back");
    let mut minute = wind("11 m/s", ("10 m", "1 min"), ("10 m", "3 s"));
    minute["averaging_curve"] = json!("durst");
    close(result(&run(NAME, &minute), "factor"), 1.23, 5e-3, "3 s over 1 min");
}

/// G = 1 + g·I: 3 · 0.18 gives 1.54, up to the gust and down from it.
#[test]
fn gust_factors() {
    let mut input = wind("10 m/s", ("10 m", "10 min"), ("10 m", "3 s"));
    input["turbulence_intensity"] = json!("18 %");
    assert_eq!(missing(&run(NAME, &input)), ["peak_factor"]);
    input["peak_factor"] = json!("3");
    close(result(&run(NAME, &input), "speed"), 15.4, 1e-9, "G = 1 + 3·0.18");
    let mut down = wind("15.4 m/s", ("10 m", "3 s"), ("10 m", "10 min"));
    down["gust_factor"] = json!("1.54");
    close(result(&run(NAME, &down), "speed"), 10.0, 1e-6, "and back");
    down["averaging_curve"] = json!("durst");
    assert_eq!(refused(NAME, &down).code, "two_conversions");
}

/// q = 0.613·V² (ASCE 7) is ½·1.226·V²: 156.928 Pa at 16 m/s, 980.8 Pa at 40 m/s. Density by ideal
/// gas: 101 325 Pa and 15 °C give 1.225 kg/m³ (ISO 2533).
#[test]
fn pressures() {
    for (speed, pressure) in [("16 m/s", 156.928), ("40 m/s", 980.8)] {
        let mut input = wind(speed, ("10 m", "3 s"), ("10 m", "3 s"));
        input["air_density"] = json!("1.226 kg/m³");
        close(result(&run(NAME, &input), "pressure"), pressure, 1e-6, speed);
    }
    let mut input = wind("16 m/s", ("10 m", "3 s"), ("10 m", "3 s"));
    input["barometer"] = json!("1013.25 hPa");
    assert_eq!(missing(&run(NAME, &input)), ["air_temperature"]);
    input["air_temperature"] = json!("15 °C");
    close(line(&run(NAME, &input), "ρ"), 1.225, 1e-4, "density of the standard atmosphere");
}

/// Lower bounds of the Beaufort numbers (WMO-No. 8, read in two tables).
#[test]
fn beaufort_by_lower_bounds() {
    for (speed, number) in [
        ("0.2 m/s", "0"),
        ("0.3 m/s", "1"),
        ("5.4 m/s", "3"),
        ("5.5 m/s", "4"),
        ("10.7 m/s", "5"),
        ("10.8 m/s", "6"),
        ("13.9 m/s", "7"),
        ("24.5 m/s", "10"),
        ("32.6 m/s", "11"),
        ("32.7 m/s", "12"),
        ("38.88 km/h", "6"),
        ("20 kn", "5"),
    ] {
        let sheet = run(NAME, &wind(speed, ("10 m", "10 min"), ("10 m", "10 min")));
        assert_eq!(text(&sheet, "beaufort"), number, "{speed}");
    }
    let gust = run(NAME, &wind("20 m/s", ("10 m", "3 s"), ("10 m", "3 s")));
    assert!(gust.result("beaufort").is_none() && flagged(&gust, "no_beaufort"));
}

/// First order by hand: (u_v/v)² + (ln(z₂/z₁)·u_α)² + u_F²; and the draws agree with it.
#[test]
fn doubt() {
    let sheet = run(NAME, &example(NAME, "good-hand-reading-against-the-stow-order"));
    let root = 3.0_f64.sqrt();
    let relative = ((0.03 / root).powi(2)
        + ((10.0_f64 / 3.0).ln() * 0.2 * 0.143 / root).powi(2)
        + (0.05 / root).powi(2))
    .sqrt();
    let speed = result(&sheet, "speed");
    let combined: f64 = sheet.combined.clone().unwrap().standard.parse().unwrap();
    close(combined, speed * relative, 5e-3, "combined");
    let (low, high) = (line(&sheet, "v₂(2.5 %)"), line(&sheet, "v₂(97.5 %)"));
    close(high - low, 2.0 * 1.96 * combined, 0.03, "draws");
    assert_eq!(sheet, run(NAME, &example(NAME, "good-hand-reading-against-the-stow-order")));
    assert_eq!(sheet.verdict, Verdict::Fail, "19.3 m/s against 16 m/s");
}

/// One resolution inside and outside of the limit, in the limit's unit and another.
#[test]
fn at_the_limit() {
    for (speed, verdict) in
        [("16.0 m/s", Verdict::Pass), ("16.1 m/s", Verdict::Fail), ("57.6 km/h", Verdict::Pass)]
    {
        let mut input = example(NAME, "good-mast-at-the-limit-height");
        input["speed"] = json!(speed);
        assert_eq!(run(NAME, &input).verdict, verdict, "{speed}");
    }
}

#[test]
fn what_is_missing_is_named() {
    let input = example(NAME, "good-hand-reading-against-the-stow-order");
    let paths = [
        "speed",
        "height",
        "averaging",
        "at_height",
        "at_averaging",
        "exponent",
        "averaging_curve",
        "barometer",
    ];
    each_is_missed(NAME, &input, &paths);
    let same = wind("10 m/s", ("10 m", "3 s"), ("10 m", "3 s"));
    assert_eq!(run(NAME, &same).verdict, Verdict::Computed, "nothing to convert");
    let sheet: Sheet =
        run(NAME, &without(&example(NAME, "good-mast-at-the-limit-height"), "limit"));
    assert_eq!(sheet.verdict, Verdict::Computed);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

    /// There and back is the same; a shorter averaging is never slower.
    #[test]
    fn there_and_back(height in 2_u32..60, seconds in 1_u32..3600, other in 1_u32..3600) {
        let case = |speed: String, from: (String, String), to: (String, String)| {
            let mut input = wind(&speed, (&from.0, &from.1), (&to.0, &to.1));
            input["averaging_curve"] = json!("durst");
            input["exponent"] = json!("0.143");
            run(NAME, &input)
        };
        let here = ("10 m".to_owned(), format!("{seconds} s"));
        let there = (format!("{height} m"), format!("{other} s"));
        let out = case("10 m/s".to_owned(), here.clone(), there.clone());
        let back = case(format!("{} m/s", text(&out, "speed")), there, here);
        prop_assert!((result(&back, "speed") - 10.0).abs() < 1e-4);
        if height == 10 && other < seconds {
            prop_assert!(result(&out, "speed") >= 10.0);
        }
    }
}
