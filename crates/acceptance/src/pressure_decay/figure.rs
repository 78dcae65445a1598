//! The decay figure: pressure read, pressure of a tight circuit, pressure at the limit; and the
//! drop split into what the temperature explains and what left.

use quantity::{AbsolutePressure, Ratio, significant};

use super::decay::Decay;
use super::input::Test;
use crate::{Bar, Figure, Point, Series};

/// The parts of the drop, in Pa.
#[derive(Debug, Clone, Copy)]
pub(super) struct Parts {
    pub(super) tight: AbsolutePressure,
    pub(super) drop: quantity::PressureDifference,
    pub(super) by_temperature: quantity::PressureDifference,
    pub(super) by_leak: quantity::PressureDifference,
}

/// Splits the drop at the pressure that a tight circuit would show at the end.
pub(super) fn parts(decay: &Decay) -> Option<Parts> {
    let tight = decay.tight_pressure()?;
    Some(Parts {
        tight,
        drop: decay.drop(),
        by_temperature: decay.start().pressure - tight,
        by_leak: tight - decay.end().pressure,
    })
}

/// A pressure in bar, for the figure.
fn bar(pascals: f64) -> String {
    significant(pascals / 1e5, 7)
}

/// The data of the figure; none when the tight pressure can't be found.
pub(super) fn figure(test: &Test, decay: &Decay) -> Option<Figure> {
    let parts = parts(decay)?;
    let hours = significant(decay.elapsed().seconds() / 3600.0, 6);
    let series = |name: &str, meaning: &str, end: AbsolutePressure| Series {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        points: vec![
            Point { x: "0".to_owned(), y: bar(decay.start().pressure.pascals()) },
            Point { x: hours.clone(), y: bar(end.pascals()) },
        ],
    };
    let allowed = test.limit.fraction() * decay.elapsed().seconds() / test.limit_per.seconds();
    let mut lines = vec![
        series("read", "absolute pressure as read", decay.end().pressure),
        series("tight", "a tight circuit, cooled or warmed the same", parts.tight),
    ];
    if let Some(at_limit) = decay.pressure_with(Ratio::from_fraction(1.0 - allowed)) {
        lines.push(series("limit", "a circuit that loses just the limit", at_limit));
    }
    let part = |name: &str, meaning: &str, value: quantity::PressureDifference| Bar {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        value: significant(value.pascals() / 1e5, 4),
        unit: "bar".to_owned(),
    };
    Some(Figure {
        title: "Drop of pressure, and how much of it is gas that left".to_owned(),
        x_label: "elapsed time in h".to_owned(),
        y_label: "absolute pressure in bar".to_owned(),
        series: lines,
        bars: vec![
            part("drop", "drop as read", parts.drop),
            part("by_temperature", "explained by the change of temperature", parts.by_temperature),
            part("by_leak", "gas that left", parts.by_leak),
        ],
    })
}
