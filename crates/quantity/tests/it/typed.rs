//! What people type, and what it is read as.

use quantity::{Dimension, Field, parse};

fn read(dimension: Dimension, text: &str) -> String {
    match parse(text, &Field::of(dimension)) {
        Ok(r) => {
            format!("{r} | {} {} | ±{}", r.base_text(), r.dimension().base_unit(), r.resolution())
        }
        Err(error) => format!("{}: {error}", error.code()),
    }
}

#[test]
fn scratch() {
    use Dimension::{Angle, GaugePressure as G, Resistance, Temperature, Torque};
    for (d, t) in [
        (G, "110,2 bar"),
        (G, "1 595 psi"),
        (G, "1,595 psi"),
        (G, "1 595 psi"),
        (G, "110.2 bar(g)"),
        (G, "110.2 bar (a)"),
        (Resistance, ">550 MΩ"),
        (Temperature, "−2.5 °C"),
        (Angle, "0.03°"),
        (Torque, "45 N·m"),
        (Torque, "45 Nm"),
        (G, "110 Bar"),
        (G, "110 mpa"),
        (G, "110"),
        (G, "12 h"),
        (G, "110-112 bar"),
        (G, "1.595,5 psi"),
    ] {
        println!("{t:20} {}", read(d, t));
    }
}
