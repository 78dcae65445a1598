//! What people type, and what it is read as.

use Dimension::{
    AbsolutePressure as Absolute, Angle, Duration, GaugePressure as Gauge, MolarFlow,
    PressureDifference, Ratio, Resistance, Temperature, TemperatureDifference as Difference,
    Torque, Volume,
};
use quantity::{
    AbsolutePressure, Decimal, Dimension, Field, GaugePressure, Si, TemperatureDifference,
    Unusable, Window, parse, pattern,
};

fn describe(field: &Field, text: &str) -> String {
    match parse(text, field) {
        Ok(r) => {
            format!("{r} = {} {} ±{}", r.base_text(), r.dimension().base_unit(), r.resolution())
        }
        Err(error) => error.code().to_owned(),
    }
}

#[track_caller]
fn check(dimension: Dimension, text: &str, expected: &str) {
    assert_eq!(describe(&Field::of(dimension), text), expected, "{text}");
}

#[test]
fn listed_examples() {
    check(Gauge, "110,2 bar", "110.2 bar(g) = 11020000 Pa ±0.1");
    check(Gauge, "1 595 psi", "1595 psi(g) = 10997137.882603536332072664145 Pa ±1");
    check(Resistance, ">550 MΩ", ">550 MΩ = 550000000 Ω ±1");
    check(Temperature, "−2.5 °C", "-2.5 °C = 270.65 K ±0.1");
    check(Angle, "0.03°", "0.03 ° = 0.0005235987755982988730771072 rad ±0.01");
    check(Gauge, "110.2 bar(g)", "110.2 bar(g) = 11020000 Pa ±0.1");
    check(Torque, "45 N·m", "45 N·m = 45 N·m ±1");
    check(Torque, "45 Nm", "45 N·m = 45 N·m ±1");
}

#[test]
fn a_default_unit_and_its_prefixes() {
    let field = Field::of(Resistance).with_default_unit("MΩ").unwrap();
    assert_eq!(describe(&field, "1,2G"), "1.2 GΩ = 1200000000 Ω ±0.1");
    assert_eq!(describe(&field, "240"), "240 MΩ = 240000000 Ω ±1");
    assert_eq!(describe(&field, "550 M"), "550 MΩ = 550000000 Ω ±1");
    assert_eq!(describe(&field, ">2 GΩ"), ">2 GΩ = 2000000000 Ω ±1");
    assert_eq!(describe(&field, "240 bar"), "wrong_unit");
    assert_eq!(describe(&Field::of(Resistance), "1,2G"), "unknown_unit", "no default, no prefix");
    let seconds = Field::of(Duration).with_default_unit("s").unwrap();
    assert_eq!(describe(&seconds, "5 m"), "wrong_unit", "metres, minutes or milliseconds");
    assert!(Field::of(Resistance).with_default_unit("bar").is_none());
}

#[test]
fn resolution_is_what_was_typed() {
    check(Gauge, "110 bar", "110 bar(g) = 11000000 Pa ±1");
    check(Gauge, "110.0 bar", "110.0 bar(g) = 11000000 Pa ±0.1");
    check(Gauge, "110.00 bar", "110.00 bar(g) = 11000000 Pa ±0.01");
    check(
        MolarFlow,
        "1e-8 std cm³/s (0 °C)",
        "1e-8 std cm³/s (0 °C) = 0.0000000000004461503340546996 mol/s ±0.00000001",
    );
    check(MolarFlow, "2.5×10⁻⁸ mol/s", "2.5e-8 mol/s = 0.000000025 mol/s ±0.000000001");
    check(Resistance, "1.2e9 Ω", "1.2e9 Ω = 1200000000 Ω ±100000000");
}

#[test]
fn blanks_signs_and_look_alikes() {
    for text in [
        "110.2\u{a0}bar",
        "110.2\u{2009}bar",
        "110.2\u{202f}bar",
        " 110.2bar ",
        "+110.2 bar",
        "110.2 barg",
        "110.2 bar g",
        "110.2 bar (g)",
        "=110.2 Bar",
    ] {
        check(Gauge, text, "110.2 bar(g) = 11020000 Pa ±0.1");
    }
    for text in ["1\u{202f}595 psi", "1\u{2009}595 psi", "1'595 psi", "1’595 psig", "1595 PSI"] {
        check(Gauge, text, "1595 psi(g) = 10997137.882603536332072664145 Pa ±1");
    }
    for text in ["-2.5 °C", "–2.5 ºC", "− 2,5 ℃", "-2.5 degC", "-2.5 C"] {
        check(Temperature, text, "-2.5 °C = 270.65 K ±0.1");
    }
    for text in ["45 N m", "45 N⋅m", "45 N.m", "45 N*m", "45 N-m"] {
        check(Torque, text, "45 N·m = 45 N·m ±1");
    }
    for text in ["550 M\u{2126}", "550 Mohm", "550 MOhm"] {
        check(Resistance, text, "550 MΩ = 550000000 Ω ±1");
    }
    check(Resistance, ">= 550 MΩ", "≥550 MΩ = 550000000 Ω ±1");
    check(Resistance, "<=0.5 Ω", "≤0.5 Ω = 0.5 Ω ±0.1");
    check(Resistance, "550 mΩ", "550 mΩ = 0.55 Ω ±1");
}

#[test]
fn one_comma_and_three_digits_may_be_either() {
    let error = parse("1,595 psi", &Field::of(Gauge)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "“1,595 psi” can mean 1.595 psi or 1595 psi; type the one that is meant"
    );
    let error = parse("−1,595 °C", &Field::of(Temperature)).unwrap_err();
    assert!(error.to_string().contains("−1.595 °C or −1595 °C"), "{error}");
    check(Gauge, "110,200 bar", "ambiguous_number");
    check(Gauge, "1,595e3 Pa", "ambiguous_number");
    check(Gauge, "1.595 psi", "1.595 psi(g) = 10997.137882603536332072664145 Pa ±0.001");
    check(Gauge, "0,595 bar", "0.595 bar(g) = 59500 Pa ±0.001");
    check(Gauge, "1,5950 bar", "1.5950 bar(g) = 159500 Pa ±0.0001");
    check(Gauge, "1595,123 Pa", "1595.123 Pa(g) = 1595.123 Pa ±0.001");
    check(Gauge, "1 595,123 Pa", "1595.123 Pa(g) = 1595.123 Pa ±0.001");
    check(Gauge, "1,595.5 Pa", "1595.5 Pa(g) = 1595.5 Pa ±0.1");
    check(Gauge, "1.595,5 Pa", "1595.5 Pa(g) = 1595.5 Pa ±0.1");
    check(Gauge, "1,595,000 Pa", "1595000 Pa(g) = 1595000 Pa ±1");
    check(Ratio, "0.597 326 45", "0.59732645 = 0.59732645 1 ±0.00000001");
}

#[test]
fn numbers_that_are_refused() {
    for text in [
        "15 95 psi",
        "1  595 psi",
        "1 5955 psi",
        "1,59,5 psi",
        "1.5.5 bar",
        "1'595 000 psi",
        "5, bar",
        "1,595.000,5 Pa",
    ] {
        let described = describe(&Field::of(Gauge), text);
        assert!(
            ["unreadable_number", "two_numbers"].contains(&described.as_str()),
            "{text}: {described}"
        );
    }
    check(Gauge, "", "empty");
    check(Gauge, "  \u{a0} ", "empty");
    check(Gauge, "bar", "no_number");
    check(Gauge, "~110 bar", "no_number");
    check(Gauge, "±0.5 bar", "no_number");
    check(Gauge, "110–112 bar", "two_numbers");
    check(Gauge, "110 ±1 bar", "two_numbers");
    check(Gauge, "1e40 bar", "too_many_digits");
    check(Gauge, "12345678901234567890123456789012345 Pa", "too_many_digits");
    check(Gauge, &"1".repeat(121), "too_long");
    check(Duration, "12 h 30 min", "unknown_unit");
}

#[test]
fn gauge_and_absolute_are_different_things() {
    check(Gauge, "110.9 bar(a)", "wrong_unit");
    check(Absolute, "110.9 psig", "wrong_unit");
    check(Absolute, "862 hPa", "862 hPa(a) = 86200 Pa ±1");
    check(Absolute, "14.7 psia", "14.7 psi(a) = 101352.93220957491164982329965 Pa ±0.1");
    check(PressureDifference, "0.25 bar", "0.25 bar = 25000 Pa ±0.01");
    check(PressureDifference, "0.25 bar(g)", "wrong_unit");
    let either = Field::any_of(&[Gauge, Absolute]);
    assert_eq!(describe(&either, "110.2 bar"), "gauge_or_absolute");
    assert_eq!(describe(&either, "110.2 bar(a)"), "110.2 bar(a) = 11020000 Pa ±0.1");
    let error = parse("110.2 bar", &either).unwrap_err().to_string();
    assert!(error.contains("bar(g) for gauge pressure or bar(a) for absolute pressure"), "{error}");
}

#[test]
fn differences_take_no_offset() {
    check(Difference, "0.15 K", "0.15 K = 0.15 K ±0.01");
    check(Difference, "12 °C", "12 K = 12 K ±1");
    check(Difference, "1.8 °F", "1.8 Δ°F = 1 K ±0.1");
    check(Temperature, "68 °F", "68 °F = 293.15 K ±1");
    check(Temperature, "0.15 Δ°C", "wrong_unit");
}

#[test]
fn a_unit_that_is_nearly_right_is_named() {
    let error = parse("110 mpa", &Field::of(Gauge)).unwrap_err().to_string();
    assert!(error.ends_with("type MPa(g)"), "{error}");
    check(Gauge, "110", "no_unit");
    check(Temperature, "12.0 bar", "wrong_unit");
    check(Volume, "12.4 parsec", "unknown_unit");
    check(MolarFlow, "0.1 std cm³/s", "unknown_unit");
}

#[test]
fn values_for_calculations() {
    let read = |dimension, text| parse(text, &Field::of(dimension)).unwrap();
    let gauge = GaugePressure::from_reading(&read(Gauge, "110.0 bar")).unwrap();
    let barometer = AbsolutePressure::from_reading(&read(Absolute, "862 hPa")).unwrap();
    let sum: AbsolutePressure = gauge + barometer;
    assert!((sum.pascals() - 11_086_200.0).abs() < 1e-6);
    let bound = GaugePressure::from_reading(&read(Gauge, ">110 bar")).unwrap_err();
    assert!(matches!(bound, Unusable::Bound { .. }));
    let other = TemperatureDifference::from_reading(&read(Temperature, "5 °C")).unwrap_err();
    assert!(matches!(other, Unusable::Dimension { .. }));
}

#[test]
fn psi_typed_as_bar_is_stopped() {
    let window = Window::new(Gauge, Decimal::ZERO, Decimal::from(300), "bar").unwrap();
    let reading = |text| parse(text, &Field::of(Gauge)).unwrap();
    let stopped = window.check(&reading("1 595 bar")).unwrap_err();
    let meant = stopped.meant.clone().unwrap();
    assert_eq!((meant.unit, meant.would_be.as_str()), ("psi(g)", "109.97"));
    assert_eq!(
        stopped.to_string(),
        "“1 595 bar” is outside 0 to 300 bar(g), the plausible range for this reading; \
         1595 psi(g) would be 109.97 bar(g)"
    );
    window.check(&reading("1 595 psi")).unwrap();
    assert!(window.check(&reading("−1 bar")).unwrap_err().meant.is_none());
    assert!(Window::new(Gauge, Decimal::from(3), Decimal::from(3), "bar").is_none());
}

#[test]
fn what_records_keep() {
    let stored = parse("1\u{202f}595,5 psi", &Field::of(Gauge)).unwrap().stored();
    assert_eq!(
        serde_json::to_value(stored).unwrap(),
        serde_json::json!({
            "text": "1\u{202f}595,5 psi", "dimension": "gauge_pressure", "unit": "psi(g)",
            "bound": "exact", "resolution": "0.1", "base_value": "11000585.261250120512741025482",
            "base_unit": "Pa",
        })
    );
}

#[test]
fn patterns_are_anchored_and_name_every_unit() {
    for dimension in Dimension::ALL {
        let pattern = pattern(dimension);
        assert!(pattern.starts_with('^') && pattern.ends_with('$'));
        for unit in quantity::units_of(dimension) {
            let first = unit.symbol().split(['(', '/', ' ']).next().unwrap();
            assert!(pattern.contains(first), "{} in {pattern}", unit.symbol());
        }
    }
}
