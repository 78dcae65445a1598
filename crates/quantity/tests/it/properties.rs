//! What must hold for every text and every number.

use proptest::prelude::*;
use quantity::{Bound, Decimal, Dimension, Field, against_limit, parse, units_of};

fn any_dimension() -> impl Strategy<Value = Dimension> {
    proptest::sample::select(Dimension::ALL.to_vec())
}

/// Texts made of what numbers and units are made of, which reach further than random characters.
fn near_miss() -> impl Strategy<Value = String> {
    let pieces = [
        "1",
        "12",
        "595",
        "0",
        "000",
        ",",
        ".",
        " ",
        "\u{a0}",
        "\u{2009}",
        "\u{202f}",
        "'",
        "-",
        "−",
        "+",
        ">",
        "<",
        "≥",
        "≤",
        "e",
        "E5",
        "e-8",
        "×10^",
        "·10⁻⁸",
        "bar",
        "bar(g)",
        "psi",
        "MΩ",
        "G",
        "°",
        "°C",
        "N·m",
        "%",
        "½",
        "٣",
        "é",
        "(",
        "/",
        "⁻",
    ];
    proptest::collection::vec(proptest::sample::select(pieces.to_vec()), 0..8)
        .prop_map(|parts| parts.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_makes_it_panic(text in any::<String>(), dimension in any_dimension()) {
        let _ = parse(&text, &Field::of(dimension));
        let _ = parse(&text, &Field::any_of(&Dimension::ALL));
    }

    #[test]
    fn no_near_miss_makes_it_panic(text in near_miss(), dimension in any_dimension()) {
        let field = Field::of(dimension);
        if let Ok(reading) = parse(&text, &field) {
            let again = parse(&reading.to_string(), &field).unwrap();
            prop_assert_eq!(&again, &reading);
            prop_assert_eq!(again.base_text(), reading.base_text());
        }
        if let Some(field) = Field::of(Dimension::Resistance).with_default_unit("MΩ") {
            let _ = parse(&text, &field);
        }
    }

    /// Printing and reading again gives the same value, resolution, bound and unit.
    #[test]
    fn print_and_read_again(
        mantissa in -999_999_999_i64..999_999_999,
        scale in 0_u32..9,
        bound in proptest::sample::select(vec!["", ">", "<", "≥", "≤"]),
        dimension in any_dimension(),
        pick in any::<proptest::sample::Index>(),
    ) {
        let units: Vec<_> = units_of(dimension).collect();
        let unit = units[pick.index(units.len())];
        let symbol = if unit.symbol() == "1" { "" } else { unit.symbol() };
        let text = format!("{bound}{} {symbol}", Decimal::new(mantissa, scale));
        let reading = parse(&text, &Field::of(dimension)).unwrap();
        prop_assert_eq!(reading.value(), Decimal::new(mantissa, scale));
        prop_assert_eq!(reading.resolution(), Decimal::new(1, scale));
        prop_assert_eq!(reading.bound() == Bound::Exact, bound.is_empty());
        let again = parse(&reading.to_string(), &Field::of(dimension)).unwrap();
        prop_assert_eq!(again, reading);
    }

    /// To the base unit and back loses at most the last of 28 digits.
    #[test]
    fn conversions_round_trip(
        mantissa in -999_999_999_i64..999_999_999,
        scale in 0_u32..6,
        dimension in any_dimension(),
    ) {
        let number = Decimal::new(mantissa, scale);
        for unit in units_of(dimension) {
            let Some(base) = unit.to_base(number) else { continue };
            let back = unit.from_base(base).unwrap();
            let allowed = Decimal::new(1, 12) * (Decimal::ONE + number.abs());
            prop_assert!((back - number).abs() <= allowed, "{} {number} {back}", unit.symbol());
        }
    }

    /// What is more in one unit is not less in the base unit.
    #[test]
    fn order_is_preserved(
        a in -9_999_999_i64..9_999_999,
        b in -9_999_999_i64..9_999_999,
        dimension in any_dimension(),
    ) {
        let (low, high) = (Decimal::from(a.min(b)), Decimal::from(a.max(b)));
        for unit in units_of(dimension) {
            prop_assert!(unit.to_base(low) <= unit.to_base(high), "{}", unit.symbol());
        }
    }

    /// A printed value lies on the same side of its limit as the value.
    #[test]
    fn printing_keeps_the_side(limit in 1_i64..100_000, scale in 0_u32..4, off in -1e-3_f64..1e-3) {
        let limit = Decimal::new(limit, scale);
        let edge = f64::try_from(limit).unwrap();
        let value = edge * (1.0 + off);
        let printed: f64 = against_limit(value, &limit).parse().unwrap();
        prop_assert_eq!(printed.partial_cmp(&edge), value.partial_cmp(&edge));
    }

    /// Group blanks change nothing.
    #[test]
    fn groups_change_nothing(n in 0_u64..999_999_999_999, blank in proptest::sample::select(vec![
        ' ', '\u{a0}', '\u{2009}', '\u{202f}', '\u{2007}', '\'', '’'
    ])) {
        let plain = n.to_string();
        let mut grouped = String::new();
        for (place, digit) in plain.chars().enumerate() {
            if place > 0 && (plain.len() - place).is_multiple_of(3) {
                grouped.push(blank);
            }
            grouped.push(digit);
        }
        let field = Field::of(Dimension::Length);
        let read = |digits: &str| parse(&format!("{digits} m"), &field).unwrap().value();
        prop_assert_eq!(read(&grouped), read(&plain));
    }
}
