//! The gas equations against published check points and CoolProp.

use quantity::{MassDensity, Temperature};

use crate::table::{close, gas, number, rows, state};
use acceptance::Gas;

/// Every printed digit, as text.
#[test]
fn hydrogen_check_points_to_every_digit() {
    for row in rows("hydrogen_check_points.csv") {
        let at = state(number(&row[1]), number(&row[0]));
        let equation = Gas::Hydrogen.equation();
        assert_eq!(format!("{:.8}", equation.compressibility(at).fraction()), row[2], "{row:?}");
        // The paper's molar mass, 2.01588 g/mol.
        let molar = equation.density(at).kilograms_per_cubic_metre() / 2.015_88;
        assert_eq!(format!("{molar:.8}"), row[3], "{row:?}");
    }
}

#[test]
fn table_of_densities() {
    for row in rows("densities.csv") {
        let at = state(number(&row[2]), number(&row[1]));
        let got = gas(&row[0]).equation().density(at).kilograms_per_cubic_metre();
        close(got, number(&row[3]), number(&row[4]), &format!("{row:?}"));
    }
}

#[test]
fn tight_pressures() {
    for row in rows("tight_pressures.csv") {
        let equation = Gas::Hydrogen.equation();
        let density = equation.density(state(number(&row[0]), number(&row[1])));
        let kelvins = Temperature::from_kelvins(number(&row[2]));
        let got = equation.pressure_at(density, kelvins).unwrap().pascals() / 1e6;
        close(got, number(&row[3]), number(&row[4]), &format!("{row:?}"));
    }
    let nothing = MassDensity::from_kilograms_per_cubic_metre(-1.0);
    assert!(
        Gas::Helium.equation().pressure_at(nothing, Temperature::from_kelvins(300.0)).is_none()
    );
}

/// At low pressure every gas is nearly ideal: ρ → p·M/(R·T), molar masses by CIAAW.
#[test]
fn ideal_at_low_pressure() {
    for (gas, molar_mass) in
        [(Gas::Hydrogen, 2.015_88e-3), (Gas::Helium, 4.002_602e-3), (Gas::Nitrogen, 28.013_48e-3)]
    {
        let got = gas.equation().density(state(1e-4, 300.0)).kilograms_per_cubic_metre();
        let ideal = 100.0 * molar_mass / (8.314_462_618_153_24 * 300.0);
        close(got, ideal, 2e-6, gas.name());
    }
}

#[test]
fn ranges() {
    let holds = |gas: Gas, mpa, kelvins| gas.equation().holds(state(mpa, kelvins));
    assert!(holds(Gas::Hydrogen, 70.0, 220.0) && !holds(Gas::Hydrogen, 70.1, 220.0));
    assert!(holds(Gas::Helium, 25.0, 230.0) && !holds(Gas::Helium, 25.0, 229.9));
    assert!(holds(Gas::Nitrogen, 25.0, 400.0) && !holds(Gas::Nitrogen, 25.0, 400.1));
    assert!(!holds(Gas::Helium, 0.0, 300.0) && !holds(Gas::Helium, f64::NAN, 300.0));
}
