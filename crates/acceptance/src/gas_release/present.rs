//! The sheet of a release.

use quantity::{VolumeFlow, scientific, significant};

use super::CALCULATION;
use super::blow_down::Emptying;
use super::figure::{emptying_figure, pressure_figure, sizes};
use super::flow::{Opening, allowance};
use super::read::Release;
use crate::doubt::{Budget, Part, Stated, first_order};
use crate::form::Form;
use crate::gas::MOLAR_GAS_CONSTANT;
use crate::{Flag, Gas, Line, Outcome, Sheet, State, Verdict};

const IEC: &str = "form of IEC 60079-10-1:2015, Annex B (from memory)";
const REAL: &str = "real-gas isentropic flow, CoolProp 8.0.0, 233 to 353 K, 0.3 to 20 MPa";
/// Up to here the flow was compared with the real gas.
const COMPARED: f64 = 20e6;
/// mg/s in a kg/s.
pub(super) const MILLIGRAMS: f64 = 1e6;
/// L/min in a m³/s.
pub(super) const LITRES_PER_MINUTE: f64 = 60_000.0;

/// What follows from the flow.
struct Flow {
    /// In kg/s.
    mass: f64,
    /// At the state of the air, in m³/s.
    volume: f64,
    /// Raised by the allowance.
    high: f64,
    allowance: f64,
}

fn flow(release: &Release) -> Flow {
    let mass = release.opening.mass_flow(release.pressure, release.kelvins);
    let volume = mass * per_kilogram(release);
    let allowance = allowance(release.gas, release.pressure, release.kelvins);
    Flow { mass, volume, high: volume * (1.0 + allowance), allowance }
}

/// Volume of a kilogram at the state of the air, ideal gas, in m³.
pub(super) fn per_kilogram(release: &Release) -> f64 {
    MOLAR_GAS_CONSTANT * release.air_kelvins / (release.opening.molar_mass * release.opening.air)
}

/// The sheet of a whole release.
pub(super) fn sheet(form: Form, release: &Release, emptying: Option<&Emptying>) -> Sheet {
    let flow = flow(release);
    let budget = budget(release);
    let u = budget.as_ref().map(|budget| budget.standard / MILLIGRAMS / flow.mass);
    let judged = release.limit.as_ref().map(|limit| {
        let value = VolumeFlow::from_cubic_metres_per_second(flow.high);
        limit.judge(value, u.map(|u| u * flow.high))
    });
    let kind = if release.opening.choked(release.pressure) { "Choked" } else { "Subsonic" };
    let mut reason = format!(
        "{kind} flow of {} mg/s of {}, {} L/min at the state of the air.",
        significant(flow.mass * MILLIGRAMS, 4),
        release.gas.name(),
        significant(flow.volume * LITRES_PER_MINUTE, 4)
    );
    if let Some(judged) = &judged {
        reason.push_str(&format!(" With the model's allowance {}.", judged.sentence));
    }
    if let Some(end) = emptying.and_then(Emptying::end) {
        reason.push_str(&format!(
            " The volume empties in {} to {} s.",
            significant(end.isothermal.min(end.adiabatic), 4),
            significant(end.isothermal.max(end.adiabatic), 4)
        ));
    }
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason,
        results: results(release, &flow, u, emptying),
        working: working(release, &flow, emptying),
        combined: budget.as_ref().map(|budget| budget.combined("mass_flow_mg")),
        doubt: budget.map(|budget| budget.lines).unwrap_or_default(),
        rule: judged.map(|judged| judged.rule),
        validity: validity(release, emptying),
        sources: sources(release, emptying),
        flags: flags(release),
        figure: Some(match emptying {
            Some(emptying) => emptying_figure(release, emptying),
            None => pressure_figure(release),
        }),
        tables: vec![sizes(release)],
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The doubt of the mass flow in mg/s; none where nothing is stated.
fn budget(release: &Release) -> Option<Budget> {
    let doubt = &release.doubt;
    let stated = [&doubt.pressure, &doubt.temperature, &doubt.hole, &doubt.coefficient];
    if stated.iter().all(|stated| stated.is_none()) {
        return None;
    }
    let part = |source: &str, stated: &Option<Stated>, value: f64, scale: f64, unit| Part {
        source: source.to_owned(),
        statement: stated.as_ref().map_or_else(String::new, |stated| stated.text.clone()),
        value: value / scale,
        standard: stated.as_ref().map_or(0.0, |stated| stated.of(value)) / scale,
        unit,
    };
    let opening = release.opening;
    let hole = match release.diameter {
        Some(d) => part("diameter of the opening", &doubt.hole, d, 1e-3, "mm"),
        None => part("area of the opening", &doubt.hole, opening.area, 1e-6, "mm²"),
    };
    let parts = [
        part("pressure inside", &doubt.pressure, release.pressure, 1e5, "bar"),
        part("temperature inside", &doubt.temperature, release.kelvins, 1.0, "K"),
        hole,
        part("discharge coefficient", &doubt.coefficient, opening.coefficient, 1.0, "1"),
    ];
    let round = release.diameter.is_some();
    let mut budget = first_order(&parts, "mg/s", |values| {
        let [pressure, kelvins, size, coefficient] = *values else { return f64::NAN };
        let area =
            if round { core::f64::consts::PI * size * size / 4.0 * 1e-6 } else { size * 1e-6 };
        let opening = Opening { area, coefficient, ..opening };
        opening.mass_flow(pressure * 1e5, kelvins) * MILLIGRAMS
    });
    budget.lines.retain(|line| line.standard_uncertainty != "0");
    Some(budget)
}

fn results(
    release: &Release,
    flow: &Flow,
    u: Option<f64>,
    emptying: Option<&Emptying>,
) -> Vec<Outcome> {
    let doubted = |outcome: Outcome, value: f64, plain: bool| match u {
        Some(u) if plain => outcome.within(significant(u * value, 3)),
        Some(u) => outcome.within(scientific(u * value, 3)),
        None => outcome,
    };
    let mass = Outcome::new("mass_flow", "mass flow", scientific(flow.mass, 7), "kg/s");
    let milligrams = flow.mass * MILLIGRAMS;
    let shown = significant(milligrams, 6);
    let in_milligrams = Outcome::new("mass_flow_mg", "the same in mg/s", shown, "mg/s");
    let state = format!(
        "volume flow at {} K and {} kPa, the state of the air",
        significant(release.air_kelvins, 6),
        significant(release.opening.air / 1e3, 6)
    );
    let volume = Outcome::new("volume_flow", &state, scientific(flow.volume, 7), "m³/s");
    let meaning = "volume flow raised by the model's allowance, as judged";
    let high = Outcome::new("volume_flow_high", meaning, scientific(flow.high, 7), "m³/s");
    let ratio = release.pressure / release.opening.air;
    let mut out = vec![
        doubted(mass, flow.mass, false),
        doubted(in_milligrams, milligrams, true),
        doubted(volume, flow.volume, false),
        doubted(high, flow.high, false),
        Outcome::new("pressure_ratio", "p₀/p_a", significant(ratio, 6), "1"),
        Outcome::new(
            "critical_ratio",
            "p₀/p_a from which on the flow is choked",
            significant(release.opening.critical(), 6),
            "1",
        ),
    ];
    if let Some(emptying) = emptying
        && let Some(end) = emptying.end()
    {
        let meaning = "time to empty, the gas always as warm, real contents";
        let time = significant(end.isothermal, 6);
        out.push(Outcome::new("emptying_isothermal", meaning, time, "s"));
        let meaning = "time to empty, no heat from the walls";
        let time = significant(end.adiabatic, 6);
        out.push(Outcome::new("emptying_adiabatic", meaning, time, "s"));
        let mass = significant(emptying.contents, 6);
        out.push(Outcome::new("contents", "contents at the start", mass, "kg"));
        let mass = significant(emptying.leaves, 6);
        out.push(Outcome::new("mass_released", "mass that leaves, isothermal", mass, "kg"));
    }
    out
}

fn working(release: &Release, flow: &Flow, emptying: Option<&Emptying>) -> Vec<Line> {
    let opening = &release.opening;
    let line = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
        Line::new(symbol, meaning, formula, value, unit)
    };
    let mut lines = vec![
        line("M", "molar mass", "constant", opening.molar_mass.to_string(), "kg/mol")
            .sourced(release.gas.equation().source()),
        line("R", "molar gas constant", "constant", MOLAR_GAS_CONSTANT.to_string(), "J/(mol·K)")
            .sourced("SI Brochure, 9th edition (2019), exact"),
        match release.ratio_source {
            Some(source) => {
                let value = significant(opening.ratio, 8);
                line("γ", "ratio of heat capacities", "constant", value, "1").sourced(source)
            }
            None => {
                let value = significant(opening.ratio, 8);
                line("γ", "ratio of heat capacities", "as typed", value, "1")
            }
        },
        line("p_a", "pressure of the air", "as typed", significant(opening.air, 8), "Pa"),
        line(
            "p₀",
            "absolute pressure inside",
            &release.pressure_formula,
            significant(release.pressure, 8),
            "Pa",
        ),
        line("T₀", "temperature inside", "in kelvin", significant(release.kelvins, 7), "K"),
        line(
            "T_a",
            "temperature of the air",
            "in kelvin",
            significant(release.air_kelvins, 7),
            "K",
        ),
    ];
    let formula = if release.diameter.is_some() { "S = π·d²/4" } else { "as typed" };
    lines.extend([
        line("S", "area of the opening", formula, scientific(opening.area, 8), "m²"),
        line("C_d", "discharge coefficient", "as typed", opening.coefficient.to_string(), "1"),
        line(
            "r_c",
            "ratio of pressures from which on the flow is choked",
            "r_c = ((γ+1)/2)^(γ/(γ−1))",
            significant(opening.critical(), 7),
            "1",
        ),
        line(
            "r",
            "ratio of pressures",
            "r = p₀/p_a",
            significant(release.pressure / opening.air, 7),
            "1",
        ),
        line("Z", "compressibility factor in the flow", "1 by rule", "1".to_owned(), "1")
            .sourced(REAL),
    ]);
    let formula = if opening.choked(release.pressure) {
        "W = C_d·S·p₀·√{γ·M/(Z·R·T₀)·[2/(γ+1)]^((γ+1)/(γ−1))}, r ≥ r_c"
    } else {
        "W = C_d·S·p₀·(1/r)^(1/γ)·√{M/(Z·R·T₀)·2γ/(γ−1)·[1 − (1/r)^((γ−1)/γ)]}, r < r_c"
    };
    lines.push(line("W", "mass flow", formula, scientific(flow.mass, 8), "kg/s").sourced(IEC));
    lines.extend(stagnation(release));
    lines.extend([
        line(
            "Q_g",
            "volume flow at the state of the air",
            "Q_g = W·R·T_a/(M·p_a)",
            scientific(flow.volume, 8),
            "m³/s",
        )
        .sourced(IEC),
        line(
            "a",
            "allowance for the real gas",
            match release.gas {
                Gas::Hydrogen => "0.7 %",
                Gas::Helium => "none",
                Gas::Nitrogen => "0.4 % for each MPa of p₀, times (293 K/T₀)^3.6",
            },
            significant(100.0 * flow.allowance, 4),
            "%",
        )
        .sourced(REAL),
        line("Q_h", "volume flow as judged", "Q_h = Q_g·(1 + a)", scientific(flow.high, 8), "m³/s"),
    ]);
    if let (Some(emptying), Some((volume, end))) = (emptying, release.emptied) {
        lines.extend(emptying_lines(release, emptying, volume, end));
    }
    lines
}

/// The flow with the compressibility of the state inside, for comparison.
fn stagnation(release: &Release) -> Option<Line> {
    let state = State {
        pressure: quantity::AbsolutePressure::from_pascals(release.pressure),
        temperature: quantity::Temperature::from_kelvins(release.kelvins),
    };
    let equation = release.gas.equation();
    if !equation.holds(state) {
        return None;
    }
    let z = equation.compressibility(state).fraction();
    let flow = release.opening.mass_flow_with(release.pressure, release.kelvins, z);
    Some(Line::new(
        "W_Z",
        "mass flow with Z of the state inside, for comparison only",
        &format!("the same with Z = {}", significant(z, 6)),
        scientific(flow, 6),
        "kg/s",
    ))
}

fn emptying_lines(release: &Release, emptying: &Emptying, volume: f64, end: f64) -> Vec<Line> {
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, digits, unit: &str| {
        Line::new(symbol, meaning, formula, significant(value, digits), unit)
    };
    let mut lines = vec![
        line("V", "volume that empties", "as typed", volume * 1e3, 6, "L"),
        line("p_e", "absolute pressure at the end", "p_e = p_g + p_a", end, 8, "Pa"),
        line("m₀", "contents at the start", "m₀ = V·ρ(p₀, T₀)", emptying.contents, 7, "kg")
            .sourced(release.gas.equation().source()),
        line(
            "Z₀",
            "compressibility factor of the contents at the start",
            "Z₀ = Z(p₀, T₀)",
            emptying.compressibility,
            8,
            "1",
        ),
        line(
            "Δm",
            "mass that leaves, isothermal",
            "Δm = V·(ρ(p₀, T₀) − ρ(p_e, T₀))",
            emptying.leaves,
            7,
            "kg",
        ),
    ];
    if let Some(last) = emptying.end() {
        lines.extend([
            line(
                "t_i",
                "time to empty, the gas always as warm",
                "t_i = ∫ V·(∂ρ/∂p)_T/W(p, T₀) dp from p_e to p₀, Gauss and Legendre",
                last.isothermal,
                7,
                "s",
            ),
            line(
                "t_a",
                "time to empty, no heat from the walls",
                "t_a = ∫ V·M/(Z₀·γ·R·T)/W(p, T) dp, T = T₀·(p/p₀)^((γ−1)/γ)",
                last.adiabatic,
                7,
                "s",
            ),
        ]);
    }
    lines.push(line(
        "T_e",
        "temperature at the end without heat from the walls",
        "T_e = T₀·(p_e/p₀)^((γ−1)/γ)",
        emptying.coldest,
        6,
        "K",
    ));
    lines
}

fn validity(release: &Release, emptying: Option<&Emptying>) -> String {
    let mut text = match release.gas {
        Gas::Hydrogen => {
            "With Z = 1 the flow lies between 0.7 % below and 2.2 % above that of real hydrogen, from \
             5 MPa at 253 K on never below; Z of the state inside would make it 2 to 4 % low at 10 \
             to 20 MPa."
        }
        Gas::Helium => "With Z = 1 the flow lies 0 to 3.2 % above that of real helium.",
        Gas::Nitrogen => {
            "With Z = 1 the flow lies below that of real nitrogen, by up to 0.9 % for each MPa; the \
             allowance covers it."
        }
    }
    .to_owned();
    text.push_str(&format!(
        " Compared with {REAL}, without friction. A small opening in a large volume; a fine crack \
         with laminar flow lets less through. Nothing is said about where the gas goes or whether it \
         can burn."
    ));
    if emptying.is_some() {
        text.push_str(
            " The true time to empty lies between the two, because walls warm the gas; the isothermal \
             one is within 1 %, the adiabatic one within 5 % of real-gas emptying (CoolProp 8.0.0). \
             Rigid volume; nothing flows in.",
        );
    }
    text
}

fn sources(release: &Release, emptying: Option<&Emptying>) -> Vec<String> {
    let mut out = vec![IEC.to_owned(), REAL.to_owned()];
    if emptying.is_some() {
        out.push(release.gas.equation().source().to_owned());
    }
    out
}

fn flags(release: &Release) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    if release.pressure > COMPARED || !(233.0..=353.15).contains(&release.kelvins) {
        flag(
            "not_compared",
            "The flow was compared with the real gas from 233 to 353 K and up to 20 MPa only; this \
             state lies outside."
                .to_owned(),
        );
    }
    if release.gas == Gas::Nitrogen && release.pressure > 1e6 {
        flag(
            "nitrogen_comes_out_low",
            "For nitrogen under pressure the formula comes out low; take the flow with the allowance."
                .to_owned(),
        );
    }
    let near = release.pressure / release.opening.air / release.opening.critical();
    if (near - 1.0).abs() < 0.02 {
        flag(
            "near_choking",
            "The ratio of pressures is within 2 % of where the flow chokes; both formulas give \
             nearly the same there."
                .to_owned(),
        );
    }
    let doubt = &release.doubt;
    let missing: Vec<&str> = [
        (&doubt.pressure, "pressure"),
        (&doubt.temperature, "temperature"),
        (&doubt.hole, "opening"),
        (&doubt.coefficient, "discharge coefficient"),
    ]
    .into_iter()
    .filter(|(stated, _)| stated.is_none())
    .map(|(_, name)| name)
    .collect();
    if (1..4).contains(&missing.len()) {
        flag(
            "doubt_incomplete",
            format!(
                "Nothing is stated about {}; the uncertainty shown does not contain it.",
                missing.join(", ")
            ),
        );
    }
    flags
}
