//! Insulation resistance against worked cases of the standard and of the trade.

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{each_is_missed, example, flagged, refused, text, without};
use crate::sun::{line, result, run};
use crate::table::{close, number, rows};

const NAME: &str = "insulation-resistance";

fn winding() -> Value {
    example(NAME, "good-generator-winding")
}

fn with(changes: &[(&str, &str)]) -> Sheet {
    let mut input = winding();
    for (field, value) in changes {
        input[*field] = json!(value);
    }
    run(NAME, &input)
}

#[test]
fn corrections_of_the_table() {
    for row in rows("insulation_resistance.csv") {
        let resistance = format!("{} MΩ", row[0]);
        let temperature = format!("{} °C", row[1]);
        let sheet = with(&[
            ("resistance", &resistance),
            ("temperature", &temperature),
            ("insulation", &row[2]),
        ]);
        close(result(&sheet, "resistance_at_40"), number(&row[3]), number(&row[4]), &row[5]);
    }
}

/// The trade's own case: 240 MΩ at 14 °C passes 5 MΩ at 40 °C as 39.6 MΩ.
#[test]
fn the_generator_of_the_site() {
    let sheet = run(NAME, &winding());
    assert_eq!(sheet.verdict, Verdict::Pass);
    assert!(sheet.reason.contains("39.6 MΩ, not below the limit of 5 MΩ"), "{}", sheet.reason);
    assert!(sheet.rule.unwrap().limit_source.unwrap().contains("IEEE Std 43-2013"));
    // By hand: u²= (5 %/√3)² + (ln 2/10 · 1 K/√3)², of 39.585 MΩ.
    let relative = (0.05_f64.powi(2) / 3.0 + (0.069_314_718_f64).powi(2) / 3.0).sqrt();
    let combined: f64 = sheet.combined.unwrap().standard.parse().unwrap();
    close(combined, 39.585 * relative, 3e-3, "combined, printed to three digits");
}

/// ">550 MΩ at 20 °C" is ">137.5 MΩ": enough for 5 MΩ and for 137.5 MΩ, no proof of more.
#[test]
fn a_bound_stays_a_bound() {
    let more = example(NAME, "good-more-than-the-tester-shows");
    let sheet = run(NAME, &more);
    assert_eq!(text(&sheet, "resistance_at_40"), ">137.500");
    assert_eq!(sheet.verdict, Verdict::Pass);
    for (limit, resistance, verdict) in [
        ("137.5 MΩ", ">550 MΩ", Verdict::Pass),
        ("137.6 MΩ", ">550 MΩ", Verdict::NotJudged),
        ("137.6 MΩ", "550 MΩ", Verdict::Fail),
        ("137.5 MΩ", "<550 MΩ", Verdict::Fail),
        ("137.5 MΩ", "≤550 MΩ", Verdict::NotJudged),
        ("137.4 MΩ", "<550 MΩ", Verdict::NotJudged),
        ("137.6 MΩ", "<= 0.55 GΩ", Verdict::Fail),
    ] {
        let mut input = more.clone();
        input["resistance"] = json!(resistance);
        input["limit"]["value"] = json!(limit);
        let sheet = run(NAME, &input);
        assert_eq!(sheet.verdict, verdict, "{resistance} against {limit}: {}", sheet.reason);
    }
}

/// 220 MΩ at 25 °C against 100 MΩ: 77.8 MΩ or 180.1 MΩ, by class alone.
#[test]
fn the_class_changes_the_verdict() {
    let case = |class| {
        with(&[
            ("resistance", "220 MΩ"),
            ("temperature", "25 °C"),
            ("insulation", class),
            ("winding", "form_wound"),
        ])
    };
    let (soft, hard) = (case("thermoplastic"), case("thermosetting"));
    assert_eq!((soft.verdict, hard.verdict), (Verdict::Fail, Verdict::Pass));
    for sheet in [soft, hard] {
        assert!(flagged(&sheet, "class_changes_the_verdict"));
    }
}

/// PI 620/220 = 2.818, DAR 220/150 = 1.467; not asked for above 5000 MΩ.
#[test]
fn indices() {
    let input = example(NAME, "good-polarisation-index");
    let sheet = run(NAME, &input);
    close(result(&sheet, "polarisation_index"), 620.0 / 220.0, 1e-5, "PI");
    close(result(&sheet, "absorption_ratio"), 220.0 / 150.0, 5e-5, "DAR");
    assert_eq!(sheet.verdict, Verdict::Pass);
    let mut low = input.clone();
    low["resistance_10_min"] = json!("439 MΩ");
    assert_eq!(run(NAME, &low).verdict, Verdict::Fail, "1.995 is below 2.0");
    low["thermal_class"] = json!("class_105");
    assert_eq!(run(NAME, &low).verdict, Verdict::Pass, "class 105 asks for 1.5");
    let mut high = input.clone();
    high["resistance"] = json!("5001 MΩ");
    high["resistance_10_min"] = json!("5100 MΩ");
    let sheet = run(NAME, &high);
    assert!(flagged(&sheet, "index_not_judged"));
    assert_eq!(sheet.verdict, Verdict::Pass, "the resistance alone is judged");
    high["resistance"] = json!("5000 MΩ");
    assert_eq!(run(NAME, &high).verdict, Verdict::Fail, "1.02 is judged at 5000 MΩ");
    let mut bounds = input;
    bounds["resistance"] = json!(">550 MΩ");
    bounds["resistance_10_min"] = json!(">550 MΩ");
    assert_eq!(run(NAME, &bounds).verdict, Verdict::NotJudged, "two bounds give no ratio");
}

/// kV + 1 MΩ for old windings, and the test voltages by rated voltage (from memory of the standard).
#[test]
fn minimum_and_test_voltage_by_rated_voltage() {
    let sheet = with(&[("winding", "before_1970_or_field"), ("rated_voltage", "6.6 kV")]);
    close(line(&sheet, "R_min"), 7.6, 1e-9, "kV + 1");
    assert!(flagged(&sheet, "test_voltage"), "500 V is too little for 6.6 kV");
    for (rated, applied, fits) in [
        ("400 V", "500 V", true),
        ("400 V", "520 V", true),
        ("400 V", "250 V", false),
        ("400 V", "1000 V", false),
        ("2300 V", "1000 V", true),
        ("4.16 kV", "2500 V", true),
        ("4.16 kV", "500 V", false),
        ("11 kV", "5 kV", true),
        ("13.8 kV", "10 kV", true),
        ("13.8 kV", "2500 V", false),
    ] {
        let sheet = with(&[("rated_voltage", rated), ("test_voltage", applied)]);
        assert_eq!(flagged(&sheet, "test_voltage"), !fits, "{applied} for {rated}");
    }
}

/// Dew points by the psychrometric tables: 20 °C, 50 % gives 9.3 °C; 30 °C, 80 % gives 26.2 °C
/// (Smithsonian Meteorological Tables, from memory, within 0.1 K).
#[test]
fn dew_points() {
    for (air, humidity, dew) in [("20 °C", "50 %", 9.3), ("30 °C", "80 %", 26.2)] {
        let sheet = with(&[("air_temperature", air), ("humidity", humidity)]);
        assert!((result(&sheet, "dew_point") - dew).abs() < 0.1, "{}", text(&sheet, "dew_point"));
    }
    let wet = with(&[("air_temperature", "18 °C"), ("humidity", "90 %")]);
    assert_eq!(wet.verdict, Verdict::NotJudged);
    assert!(flagged(&wet, "below_dew_point"));
    assert!(!flagged(&with(&[]), "below_dew_point"));
}

/// Outside of the formula's range the value is shown and not judged; its edges are inside.
#[test]
fn outside_of_the_range() {
    for (temperature, judged) in
        [("10 °C", true), ("9.9 °C", false), ("85 °C", true), ("85.1 °C", false), ("50 °F", true)]
    {
        let sheet = with(&[("temperature", temperature)]);
        assert_eq!(sheet.verdict != Verdict::NotJudged, judged, "{temperature}");
        assert_eq!(flagged(&sheet, "outside_temperature_range"), !judged);
        assert!(sheet.result("resistance_at_40").is_some());
    }
}

#[test]
fn what_is_missing_is_named() {
    each_is_missed(NAME, &winding(), &["resistance", "temperature", "insulation", "humidity"]);
    let index = example(NAME, "good-polarisation-index");
    each_is_missed(NAME, &index, &["resistance_10_min"]);
    let without_limit = run(NAME, &without(&winding(), "winding"));
    assert_eq!(without_limit.verdict, Verdict::Computed);
}

#[test]
fn contradictions_are_refused() {
    let mut input = winding();
    input["insulation"] = json!("as_measured");
    assert_eq!(refused(NAME, &input).code, "contradiction");
    let mut cable = example(NAME, "good-cable-as-measured");
    cable["insulation"] = json!("thermosetting");
    cable["temperature"] = json!("20 °C");
    assert_eq!(refused(NAME, &cable).code, "contradiction");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

    /// More resistance is never judged worse, and the same reading in another unit is the same.
    #[test]
    fn monotone_and_free_of_units(ohms in 1_u32..400, more in 1_u32..50, celsius in 10_u32..85) {
        let case = |text: String| with(&[
            ("resistance", &text),
            ("temperature", &format!("{celsius} °C")),
        ]);
        let less = case(format!("{ohms} MΩ"));
        let same = case(format!("{ohms}e-3 GΩ"));
        prop_assert_eq!(text(&less, "resistance_at_40"), text(&same, "resistance_at_40"));
        let larger = case(format!("{} MΩ", ohms + more));
        let (a, b) = (result(&less, "resistance_at_40"), result(&larger, "resistance_at_40"));
        prop_assert!(b > a);
        prop_assert!(!(less.verdict == Verdict::Pass && larger.verdict == Verdict::Fail));
    }

    /// A warmer winding with the same reading has more at 40 °C, for both classes.
    #[test]
    fn rises_with_temperature(celsius in 10_u32..84) {
        for class in ["thermoplastic", "thermosetting"] {
            let at = |t: u32| {
                let sheet = with(&[("temperature", &format!("{t} °C")), ("insulation", class)]);
                result(&sheet, "resistance_at_40")
            };
            prop_assert!(at(celsius + 1) > at(celsius));
        }
    }
}
