//! Contents of a circuit as steps of a working.

use quantity::significant;

use super::{CircuitState, ReadPart};
use crate::{Gas, Line};

/// The steps from readings to contents of a state; `n` tells states apart, as `₁`.
pub(crate) fn lines(gas: Gas, parts: &[ReadPart], n: &str, state: &CircuitState) -> Vec<Line> {
    let equation = gas.equation();
    let mut out = vec![Line::new(
        &format!("p{n}"),
        "absolute pressure",
        &state.readings.formula(n),
        significant(state.pressure.pascals() / 1e6, 8),
        "MPa",
    )];
    let mut sum = Vec::new();
    for ((one, (kelvins, reading)), at) in parts.iter().zip(&state.temperatures).zip(state.states())
    {
        let k = if one.name.is_empty() { n.to_owned() } else { format!("{n}({})", one.name) };
        let v = if one.name.is_empty() { String::new() } else { format!("({})", one.name) };
        let slopes = equation.slopes(at);
        let line = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
            let meaning = if one.name.is_empty() {
                meaning.to_owned()
            } else {
                format!("{meaning}, {}", one.name)
            };
            Line::new(&format!("{symbol}{k}"), &meaning, formula, value, unit)
        };
        let kelvins = significant(kelvins.kelvins(), 7);
        let z = significant(slopes.compressibility, 9);
        let rho = significant(slopes.density, 8);
        let mass = significant(slopes.density * one.volume, 7);
        out.push(line(
            "T",
            "gas temperature",
            &format!("T{k} = {reading} in kelvin"),
            kelvins,
            "K",
        ));
        let formula = format!("Z{k} = 1 + Σ aᵢ·(100 K/T{k})^bᵢ·(p{n}/1 MPa)^cᵢ");
        out.push(line("Z", "compressibility factor", &formula, z, "1").sourced(equation.source()));
        let formula = format!("ρ{k} = p{n}·M/(Z{k}·R_g·T{k})");
        out.push(line("ρ", "density", &formula, rho, "kg/m³").sourced(equation.source()));
        let formula = format!("m{k} = V{v}·ρ{k}");
        out.push(line("m", "mass of the contents", &formula, mass, "kg"));
        sum.push(format!("m{k}"));
    }
    let mass = state.mass(gas, parts);
    if parts.len() > 1 {
        out.push(Line::new(
            &format!("m{n}"),
            "mass of the contents, all parts",
            &format!("m{n} = {}", sum.join(" + ")),
            significant(mass, 7),
            "kg",
        ));
    }
    out.push(Line::new(
        &format!("n{n}"),
        "amount of the contents",
        &format!("n{n} = m{n}/M"),
        significant(mass / equation.molar_mass(), 7),
        "mol",
    ));
    out
}

/// The volumes of the parts, as steps of a working.
pub(crate) fn volume_lines(parts: &[ReadPart]) -> Vec<Line> {
    let line = |part: &ReadPart| {
        let litres = significant(part.volume * 1e3, 6);
        if part.name.is_empty() {
            return Line::new("V", "volume", "as typed", litres, "L");
        }
        let (symbol, meaning) = (format!("V({})", part.name), format!("volume, {}", part.name));
        Line::new(&symbol, &meaning, "as typed", litres, "L")
    };
    parts.iter().map(line).collect()
}
