//! The head of a column: its name and its unit, from one text or from two rows.

use quantity::{Dimension, Unit, find_unit};

/// The units that a head may name, whichever of these it measures.
const MEASURED: [Dimension; 12] = [
    Dimension::Irradiance,
    Dimension::Power,
    Dimension::Temperature,
    Dimension::Speed,
    Dimension::Length,
    Dimension::Angle,
    Dimension::Duration,
    Dimension::Voltage,
    Dimension::Current,
    Dimension::AbsolutePressure,
    Dimension::Ratio,
    Dimension::Resistance,
];

/// The unit of a dimension that a head's text names, in the spellings of loggers.
pub(super) fn unit(dimension: Dimension, text: &str) -> Option<&'static Unit> {
    let text = text.trim();
    find_unit(dimension, text).or_else(|| {
        let celsius = matches!(text.to_lowercase().replace(' ', "").as_str(), "degc" | "deg.c");
        (celsius && dimension == Dimension::Temperature)
            .then(|| find_unit(dimension, "°C"))
            .flatten()
    })
}

/// Whether a text names a unit of anything that these files measure.
pub(super) fn names_a_unit(text: &str) -> bool {
    !text.trim().is_empty() && MEASURED.iter().any(|dimension| unit(*dimension, text).is_some())
}

/// Splits `dx_mm`, `dx (mm)`, `dx [mm]` or `dx mm` into name and unit text; the unit text is empty
/// when the head has only one word.
pub(super) fn name_and_unit(head: &str) -> (String, String) {
    let head = head.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some((name, rest)) = head.split_once(open)
            && let Some(unit) = rest.trim_end().strip_suffix(close)
        {
            return (name.trim().to_owned(), unit.trim().to_owned());
        }
    }
    let split = head.rsplit_once('_').or_else(|| head.rsplit_once(' '));
    match split {
        Some((name, unit)) if names_a_unit(unit) => {
            (name.trim().trim_end_matches(',').to_owned(), unit.trim().to_owned())
        }
        _ => (head.to_owned(), String::new()),
    }
}
