//! From what a person types into a reading step to the reading that an entry keeps.

use std::str::FromStr;

use quantity::{Decimal, Field, StoredReading, Window};

use crate::refusal::Refusal;
use crate::source::ReadingAsked;

/// The code of the question about a value outside its plausible window.
pub const IMPLAUSIBLE: &str = "implausible_value";

/// What was typed, as a reading of the step; with the question that it raises, if it does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Typed {
    /// The reading, ready for an answer.
    pub reading: StoredReading,
    /// Why it is probably a slip; it stands when the person insists with a reason.
    pub question: Option<Refusal>,
}

/// Reads what was typed into a reading step. A number without a unit is in the step's unit.
///
/// # Errors
/// A text that is no reading of the step's quantity; the sentence says what to type instead.
pub fn reading(asked: &ReadingAsked, text: &str) -> Result<Typed, Refusal> {
    let field = Field::of(asked.quantity)
        .with_default_unit(&asked.unit)
        .ok_or_else(|| faulty_step(&asked.unit))?;
    let reading = quantity::parse(text, &field).map_err(|error| {
        Refusal::new(error.code(), format!("{error}."), "Nothing was saved; type it again.")
    })?;
    let question = match window(asked) {
        Ok(Some(window)) => window.check(&reading).err().map(|implausible| {
            let next = match &implausible.meant {
                Some(other) => format!(
                    "If the instrument shows {unit}, type “{number} {unit}” (that is {would_be} {own}). \
                     If “{text}” is right, enter it again with the reason.",
                    unit = other.unit,
                    number = reading.value(),
                    would_be = other.would_be,
                    own = asked.unit,
                    text = reading.text(),
                ),
                None => format!(
                    "Look at the instrument again. If “{}” is right, enter it again with the reason.",
                    reading.text()
                ),
            };
            Refusal::new(IMPLAUSIBLE, format!("{implausible}."), next).insistable()
        }),
        Ok(None) => None,
        Err(()) => return Err(faulty_step(&asked.unit)),
    };
    Ok(Typed { reading: reading.stored(), question })
}

/// Reads a stored reading again as the quantity's own type.
pub(crate) fn reread(stored: &StoredReading) -> Result<quantity::Reading, quantity::ParseError> {
    let field = Field::of(stored.dimension);
    let field = field.clone().with_default_unit(&stored.unit).unwrap_or(field);
    quantity::parse(&stored.text, &field)
}

/// The step's plausible window; an error where the checklist writes one that is none.
pub(crate) fn window(asked: &ReadingAsked) -> Result<Option<Window>, ()> {
    let Some(plausible) = &asked.plausible else { return Ok(None) };
    let low = Decimal::from_str(&plausible.low).map_err(drop)?;
    let high = Decimal::from_str(&plausible.high).map_err(drop)?;
    Window::new(asked.quantity, low, high, &asked.unit).map(Some).ok_or(())
}

fn faulty_step(unit: &str) -> Refusal {
    Refusal::new(
        "faulty_step",
        format!("The step's own unit “{unit}” or window can't be read."),
        "Adopt a corrected revision of the checklist.",
    )
}
