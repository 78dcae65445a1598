//! Reading an input: JSON to typed struct, typed text to readings, and what is missing.

use quantity::{Decimal, Dimension, Field, Reading, Si, Window};
use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::{InputShown, Missing, Refusal};

/// A place in an input.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Place {
    /// Path, as `start.temperature`.
    pub(crate) field: &'static str,
    /// What it is, for people.
    pub(crate) meaning: &'static str,
    /// What it may measure.
    pub(crate) dimensions: &'static [Dimension],
    /// Plausible range: low, high, unit.
    pub(crate) plausible: Option<(i64, i64, &'static str)>,
}

/// Collects what was typed and what is missing while an input is read.
#[derive(Debug, Default)]
pub(crate) struct Form {
    pub(crate) inputs: Vec<InputShown>,
    pub(crate) missing: Vec<Missing>,
}

impl Form {
    /// Notes an input as typed.
    pub(crate) fn show(&mut self, field: &str, meaning: &str, typed: &str) {
        self.inputs.push(InputShown {
            field: field.to_owned(),
            meaning: meaning.to_owned(),
            typed: typed.to_owned(),
        });
    }

    /// Notes that something needed isn't there.
    pub(crate) fn miss(&mut self, field: &str, meaning: &str) {
        self.missing.push(Missing { field: field.to_owned(), meaning: meaning.to_owned() });
    }

    /// Reads a text that may be absent, without noting that it is.
    pub(crate) fn optional(
        &mut self,
        place: &Place,
        text: Option<&str>,
    ) -> Result<Option<Reading>, Refusal> {
        let Some(text) = text else { return Ok(None) };
        self.show(place.field, place.meaning, text);
        let reading = quantity::parse(text, &Field::any_of(place.dimensions)).map_err(|error| {
            Refusal::new(
                error.code(),
                place.field,
                format!("The {} can't be read: {error}.", place.meaning),
                "Nothing was calculated; the other readings are kept.",
            )
        })?;
        if let Some((low, high, unit)) = place.plausible
            && let Some(window) =
                Window::new(reading.dimension(), Decimal::from(low), Decimal::from(high), unit)
        {
            window.check(&reading).map_err(|implausible| {
                Refusal::new(
                    "implausible",
                    place.field,
                    format!("The {} is implausible: {implausible}.", place.meaning),
                    match &implausible.meant {
                        Some(meant) => {
                            format!("Read the instrument again: is its unit {}?", meant.unit)
                        }
                        None => "Read the instrument again, and check digits and unit.".to_owned(),
                    },
                )
            })?;
        }
        Ok(Some(reading))
    }

    /// Reads a text that is needed; its absence is noted.
    pub(crate) fn needed(
        &mut self,
        place: &Place,
        text: Option<&str>,
    ) -> Result<Option<Reading>, Refusal> {
        if text.is_none() {
            self.miss(place.field, place.meaning);
        }
        self.optional(place, text)
    }

    /// The sentence that names everything missing.
    pub(crate) fn missing_sentence(&self) -> String {
        let names: Vec<_> = self
            .missing
            .iter()
            .map(|missing| format!("{} ({})", missing.meaning, missing.field))
            .collect();
        format!("Not judged, because this is missing: {}.", names.join("; "))
    }
}

/// The quantity of a reading; refuses a bound.
pub(crate) fn exact<Q: Si>(place: &Place, reading: &Reading) -> Result<Q, Refusal> {
    Q::from_reading(reading).map_err(|unusable| {
        Refusal::new(
            "not_a_value",
            place.field,
            format!("The {} can't be used: {unusable}.", place.meaning),
            "Give the reading itself, in a unit of that kind.",
        )
    })
}

/// Turns JSON into the input struct, refusing `null` and unknown fields by name.
pub(crate) fn read<T: DeserializeOwned>(name: &str, input: &Value) -> Result<T, Refusal> {
    let help = format!("Compare with `dishwright calc {name} --schema`.");
    if let Some(path) = null_path(input) {
        return Err(Refusal::new(
            "null",
            &path,
            format!("“{path}” is null."),
            "Leave the field out when there is no reading.",
        ));
    }
    T::deserialize(input).map_err(|error| {
        let sentence = error.to_string();
        let field = sentence.split('`').nth(1).unwrap_or_default().to_owned();
        let code =
            if sentence.starts_with("unknown field") { "unknown_field" } else { "malformed" };
        Refusal::new(code, &field, format!("The input does not fit: {sentence}."), help)
    })
}

/// The path of the first `null`, if any.
fn null_path(value: &Value) -> Option<String> {
    match value {
        Value::Null => Some(String::new()),
        Value::Object(fields) => fields.iter().find_map(|(name, inner)| {
            null_path(inner).map(|path| match path.as_str() {
                "" => name.clone(),
                _ => format!("{name}.{path}"),
            })
        }),
        Value::Array(items) => items.iter().find_map(null_path),
        _ => None,
    }
}
