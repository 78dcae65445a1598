//! The electrical side: what follows of apparent power, power factor and current.

use crate::form::Form;
use crate::{Line, Refusal, steps::step};

/// The electrical readings in W, var, V, A.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Electric {
    pub(super) real: Option<f64>,
    pub(super) reactive: Option<f64>,
    pub(super) voltage: Option<f64>,
    pub(super) current: Option<f64>,
}

/// What follows from them.
#[derive(Debug, Clone, Default)]
pub(super) struct Output {
    pub(super) apparent: Option<f64>,
    pub(super) reactive: Option<f64>,
    pub(super) factor: Option<f64>,
    pub(super) current: Option<f64>,
    pub(super) lines: Vec<Line>,
    /// Share by which a measured current differs from the computed one.
    pub(super) mismatch: Option<f64>,
}

/// By how much P may exceed √3·U·I before it is a contradiction and not the meters' doubt; common
/// practice, no source.
const SLACK: f64 = 0.02;

pub(super) fn output(form: &Form, electric: Electric) -> Result<Output, Refusal> {
    let Electric { real, reactive, voltage, current } = electric;
    let mut out = Output::default();
    let readings = [
        ("P", "real power", real.map(f64::abs), "W"),
        ("Q", "reactive power", reactive, "var"),
        ("U", "voltage between lines", voltage, "V"),
        ("I", "line current", current, "A"),
    ];
    for (symbol, meaning, value, unit) in readings {
        if let Some(value) = value {
            out.lines.push(step(symbol, meaning, "as typed, without sign", value.abs(), unit));
        }
    }
    let measured = voltage.zip(current).map(|(u, i)| libm::sqrt(3.0) * u * i);
    let Some(real) = real.map(f64::abs) else {
        if let Some(apparent) = measured {
            out.lines.push(step("S", "apparent power", "S = √3·U·I", apparent, "VA"));
            out.apparent = Some(apparent);
        }
        return Ok(out);
    };
    if let Some(reactive) = reactive {
        let apparent = libm::sqrt(real * real + reactive * reactive);
        out.lines.push(step("S", "apparent power", "S = √(P² + Q²)", apparent, "VA"));
        out.apparent = Some(apparent);
        out.reactive = Some(reactive);
        if let Some(voltage) = voltage {
            let found = apparent / (libm::sqrt(3.0) * voltage);
            out.lines.push(step("I_c", "line current, computed", "I_c = S/(√3·U)", found, "A"));
            out.current = Some(found);
            out.mismatch = current.map(|current| current / found - 1.0);
        }
    } else if let Some(apparent) = measured {
        if real > apparent * (1.0 + SLACK) {
            return Err(form.refuse(
                "power_above_apparent",
                "real_power",
                "The real power is larger than √3 times voltage times current, which it never is.",
                "Read the meters again: voltage between lines, current of one line, power of all \
                 three phases.",
            ));
        }
        let square = (apparent * apparent - real * real).max(0.0);
        out.lines.push(step("S", "apparent power", "S = √3·U·I", apparent, "VA"));
        let found = libm::sqrt(square);
        out.lines.push(step(
            "Q_c",
            "reactive power, without sign",
            "Q_c = √(S² − P²)",
            found,
            "var",
        ));
        out.apparent = Some(apparent);
        out.reactive = Some(found);
        out.current = current;
    }
    if let Some(apparent) = out.apparent {
        let factor = (real / apparent).min(1.0);
        out.lines.push(step("cos φ", "power factor", "cos φ = P/S", factor, "1"));
        out.factor = Some(factor);
    }
    Ok(out)
}
