//! Factors against NIST SP 811 and exact definitions, from `tables/conversions.csv`.

use quantity::{Decimal, Dimension, Field, find_unit, parse, units_of};

use crate::table::{number, rows};

fn dimension(name: &str) -> Dimension {
    serde_json::from_value(serde_json::Value::String(name.to_owned())).unwrap()
}

/// Half a unit of the last digit that the source prints.
fn half_of_last_digit(printed: &str) -> f64 {
    let decimals = printed.split_once('.').map_or(0, |(_, fraction)| fraction.len());
    0.500_001 * 10_f64.powi(-i32::try_from(decimals).unwrap())
}

#[test]
fn table_of_conversions() {
    for row in rows("conversions.csv") {
        let [dimension_name, unit, typed, expected, tolerance, ..] = row.as_slice() else {
            panic!("{row:?}")
        };
        let dimension = dimension(dimension_name);
        let reading = parse(&format!("{typed} {unit}"), &Field::of(dimension)).unwrap();
        let got = f64::try_from(reading.base()).unwrap();
        let wanted = number(expected).unwrap();
        let allowed = match tolerance.as_str() {
            "exact" => 1e-15,
            "printed" => half_of_last_digit(expected) / wanted.abs(),
            stated => stated.parse().unwrap(),
        };
        let error = (got - wanted).abs() / wanted.abs();
        assert!(error <= allowed, "{row:?}: got {got}, relative error {error:e}");
    }
}

#[test]
fn every_unit_is_found_by_its_symbol_and_each_spelling_alone() {
    for dimension in Dimension::ALL {
        for unit in units_of(dimension) {
            for spelling in std::iter::once(&unit.symbol()).chain(unit.aliases()) {
                let found = find_unit(dimension, spelling).unwrap();
                assert_eq!(found.symbol(), unit.symbol(), "{spelling} of {dimension:?}");
            }
            assert!(!unit.source().is_empty());
        }
    }
}

#[test]
fn base_units_are_first_and_have_factor_one() {
    for dimension in Dimension::ALL {
        let first = units_of(dimension).next().unwrap();
        assert_eq!(first.factor(), Some(Decimal::ONE), "{dimension:?}");
        let plain = first.symbol().trim_end_matches("(g)").trim_end_matches("(a)");
        assert_eq!(plain, dimension.base_unit());
    }
}

/// A unit whose first table entry is from SP 811 must have a check row, or be an exact power of ten.
#[test]
fn every_factor_from_the_handbook_is_checked() {
    let table = rows("conversions.csv");
    for dimension in Dimension::ALL {
        let pressure = matches!(dimension, Dimension::GaugePressure | Dimension::AbsolutePressure);
        for unit in units_of(dimension).filter(|unit| unit.source().contains("SP 811")) {
            let checked = table.iter().any(|row| {
                find_unit(self::dimension(&row[0]), &row[1])
                    .is_some_and(|found| found.symbol() == unit.symbol())
            });
            let derived = ["in³", "in", "ft", "oz", "mbar"].contains(&unit.symbol());
            assert!(checked || derived || pressure, "{} has no check row", unit.symbol());
        }
    }
}

#[test]
fn the_same_factor_for_gauge_absolute_and_difference() {
    let difference: Vec<_> = units_of(Dimension::PressureDifference).map(|u| u.factor()).collect();
    for dimension in [Dimension::GaugePressure, Dimension::AbsolutePressure] {
        let factors: Vec<_> = units_of(dimension).map(|unit| unit.factor()).collect();
        assert_eq!(factors, difference);
    }
}

/// Units without a row of their own: exact by definition.
#[test]
fn inch_foot_and_ounce_are_exact() {
    let factor = |dimension, symbol| find_unit(dimension, symbol).unwrap().factor().unwrap();
    assert_eq!(factor(Dimension::Length, "in").to_string(), "0.0254");
    assert_eq!(
        factor(Dimension::Length, "ft"),
        factor(Dimension::Length, "in") * Decimal::from(12)
    );
    let inch = factor(Dimension::Length, "in");
    assert_eq!(factor(Dimension::Volume, "in³"), inch * inch * inch);
    let pound = factor(Dimension::Mass, "lb");
    assert_eq!(factor(Dimension::Mass, "oz") * Decimal::from(16), pound);
    assert_eq!(factor(Dimension::GaugePressure, "mbar").to_string(), "100");
}
