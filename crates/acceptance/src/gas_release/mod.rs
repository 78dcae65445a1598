//! `gas-release`: hydrogen, helium or nitrogen out of a small opening, choked or not, and how long
//! a volume takes to empty through it.
//!
//! ```text
//! choked where p₀/p_a ≥ r_c = ((γ+1)/2)^(γ/(γ−1)):
//!     W = C_d·S·p₀·√{ γ·M/(Z·R·T₀)·[2/(γ+1)]^((γ+1)/(γ−1)) }
//! else
//!     W = C_d·S·p₀·(p_a/p₀)^(1/γ)·√{ M/(Z·R·T₀)·2γ/(γ−1)·[1 − (p_a/p₀)^((γ−1)/γ)] }
//! Q_g = W·R·T_a/(M·p_a)
//! ```
//!
//! W mass flow in kg/s, C_d discharge coefficient, S area of the opening in m², p₀ and T₀ absolute
//! pressure and temperature inside, p_a and T_a those of the air, M molar mass, γ ratio of heat
//! capacities, R molar gas constant, Q_g volume flow at the state of the air. Form: IEC
//! 60079-10-1:2015, Annex B (from memory); any text on compressible flow has it.
//!
//! **Z = 1 by rule.** Against real-gas isentropic flow (CoolProp 8.0.0, 233 to 353 K, 0.3 to 20 MPa)
//! hydrogen comes out between 0.7 % low and 2.2 % high, from 5 MPa at 253 K on never low; helium
//! between 0 and 3.2 % high. With Z of the state inside, hydrogen at 10 to 20 MPa would come out 2
//! to 4 % low, which is the unsafe side. Nitrogen comes out low, by up to 0.9 % for each MPa. What
//! is judged is therefore raised by an allowance: 0.7 % for hydrogen, none for helium, and for
//! nitrogen 0.4 % for each MPa times (293 K/T₀)^3.6, with which it lies 0 to 5 % high.
//!
//! Emptying: isothermal, `t = ∫ V·(∂ρ/∂p)_T/W dp` with the real-gas density of `gas-density`; and
//! adiabatic, `t = ∫ V·M/(Z₀·γ·R·T)/W dp`, `T = T₀·(p/p₀)^((γ−1)/γ)`, Z₀ that of the contents at the
//! start. What really happens lies between, because walls warm the gas. Against real-gas emptying
//! (CoolProp 8.0.0, hydrogen, helium and nitrogen from 11 MPa, hydrogen from 2 MPa) the isothermal
//! time is within 1 %, the adiabatic one within 5 %.
//!
//! Small openings: the flow must not cool or slow down what is inside before the hole, and a crack
//! so fine that the flow in it is laminar lets less through.

mod blow_down;
mod figure;
mod flow;
mod input;
mod present;
mod read;

pub use input::{Input, ReleaseDoubt};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "gas-release";
const TITLE: &str = "Release through an opening";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Mass and volume flow of hydrogen, helium or nitrogen out of a small opening, and the \
              time in which a volume empties through it.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("gas-release", "good-fitting-at-parking-pressure"),
        example!("gas-release", "good-line-at-low-pressure"),
        example!("gas-release", "good-bottle-empties"),
        example!("gas-release", "good-coefficient-missing"),
        example!("gas-release", "bad-area-in-mm"),
        example!("gas-release", "bad-coefficient-with-unit"),
        example!("gas-release", "bad-gas-unknown"),
        example!("gas-release", "bad-pressure-without-unit"),
        example!("gas-release", "bad-unknown-field"),
        example!("gas-release", "wrong-area-and-diameter"),
        example!("gas-release", "wrong-coefficient-above-one"),
        example!("gas-release", "wrong-inside-not-above-the-air"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; a pressure inside that is not above that of the
/// air; an opening or a pressure that is given twice; contents outside the gas's equation.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(release) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let emptying = blow_down::empty(&release)?;
    Ok(present::sheet(form, &release, emptying.as_ref()))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
