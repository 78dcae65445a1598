//! The decay figure: gas left, what the pressure alone would say, and the limit; and the drop
//! split into what the temperature explains and what left.

use quantity::{AbsolutePressure, significant};

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

/// A part of the contents or pressure at the start in percent, for the figure.
fn percent(part: f64) -> String {
    significant(100.0 * part, 5)
}

/// The data of the figure; none when the tight pressure can't be found.
pub(super) fn figure(test: &Test, decay: &Decay) -> Option<Figure> {
    let parts = parts(decay)?;
    let hours = significant(decay.elapsed().seconds() / 3600.0, 6);
    let series = |name: &str, meaning: &str, end: f64| Series {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        drawn: None,
        points: vec![
            Point { x: "0".to_owned(), y: "100".to_owned() },
            Point { x: hours.clone(), y: percent(end) },
        ],
    };
    let allowed = test.limit.fraction() * decay.elapsed().seconds() / test.limit_per.seconds();
    let pressure = decay.end().pressure.pascals() / decay.start().pressure.pascals();
    let lines = vec![
        series("left", "gas left", decay.remaining().fraction()),
        series("gauge", "pressure alone", pressure),
        series("limit", "limit", 1.0 - allowed),
    ];
    let part = |name: &str, meaning: &str, value: quantity::PressureDifference| Bar {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        value: significant(value.pascals() / 1e5, 4),
        unit: "bar".to_owned(),
    };
    Some(Figure {
        title: "Gas left over the hold, and what the pressure alone would say".to_owned(),
        x_label: "elapsed time in h".to_owned(),
        y_label: "% of what was there at the start".to_owned(),
        series: lines,
        bars: vec![
            part("drop", "drop as read", parts.drop),
            part("by_temperature", "explained by the change of temperature", parts.by_temperature),
            part("by_leak", "gas that left", parts.by_leak),
        ],
        grid: None,
        axes: None,
    })
}
