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

/// Lists with more rows than this are shown as one line of the sheet.
const LONGEST_SHOWN: usize = 60;

/// Collects what was typed and what is missing while an input is read.
#[derive(Debug, Default)]
pub(crate) struct Form {
    pub(crate) inputs: Vec<InputShown>,
    pub(crate) missing: Vec<Missing>,
    /// Path of the part that is being read, as `readings[2].`; empty at the top.
    within: String,
}

impl Form {
    /// Reads a part of the input: within it, every field is named after its path, as
    /// `readings[2].temperature`.
    pub(crate) fn within<T>(&mut self, part: &str, read: impl FnOnce(&mut Self) -> T) -> T {
        let outer = self.within.len();
        self.within.push_str(part);
        self.within.push('.');
        let out = read(self);
        self.within.truncate(outer);
        out
    }

    /// The path of a field of the part that is being read.
    pub(crate) fn path(&self, field: &str) -> String {
        format!("{}{field}", self.within)
    }

    /// A refusal of a field of the part that is being read.
    pub(crate) fn refuse(
        &self,
        code: &str,
        field: &str,
        sentence: impl Into<String>,
        next_step: impl Into<String>,
    ) -> Refusal {
        Refusal::new(code, &self.path(field), sentence, next_step)
    }

    /// The quantity of a text that may be absent.
    pub(crate) fn may<Q: Si>(
        &mut self,
        place: &Place,
        text: Option<&str>,
    ) -> Result<Option<Q>, Refusal> {
        let Some(reading) = self.optional(place, text)? else { return Ok(None) };
        exact(place, &reading)
            .map(Some)
            .map_err(|refusal| Refusal { field: self.path(place.field), ..refusal })
    }

    /// The quantity of a text that is needed; its absence is noted.
    pub(crate) fn take<Q: Si>(
        &mut self,
        place: &Place,
        text: Option<&str>,
    ) -> Result<Option<Q>, Refusal> {
        if text.is_none() {
            self.miss(place.field, place.meaning);
        }
        self.may(place, text)
    }

    /// Notes an input as typed.
    pub(crate) fn show(&mut self, field: &str, meaning: &str, typed: &str) {
        self.inputs.push(InputShown {
            field: self.path(field),
            meaning: meaning.to_owned(),
            typed: typed.to_owned(),
        });
    }

    /// Shows a long list as one line: what was shown since there were `from` lines is the list.
    pub(crate) fn fold(&mut self, from: usize, field: &str, meaning: &str, rows: usize) {
        if rows > LONGEST_SHOWN {
            self.inputs.truncate(from);
            self.show(field, meaning, &format!("{rows} rows, kept with the input"));
        }
    }

    /// Notes that something needed isn't there.
    pub(crate) fn miss(&mut self, field: &str, meaning: &str) {
        self.missing.push(Missing { field: self.path(field), meaning: meaning.to_owned() });
    }

    /// Passes a value of a place, in SI, and refuses one that is not more than zero.
    pub(crate) fn above_zero(
        &self,
        place: &Place,
        value: Option<f64>,
    ) -> Result<Option<f64>, Refusal> {
        match value {
            Some(value) if value.is_nan() || value <= 0.0 => Err(self.refuse(
                "out_of_range",
                place.field,
                format!("The {} is not more than zero.", place.meaning),
                "Type a value above zero, or leave the field out where there is none.",
            )),
            value => Ok(value),
        }
    }

    /// The number in SI of a text that may be absent; refused where it is not more than zero.
    pub(crate) fn may_above_zero<Q: Si>(
        &mut self,
        place: &Place,
        text: Option<&str>,
    ) -> Result<Option<f64>, Refusal> {
        let value = self.may::<Q>(place, text)?.map(Q::si);
        self.above_zero(place, value)
    }

    /// The same of a text that is needed; its absence is noted.
    pub(crate) fn take_above_zero<Q: Si>(
        &mut self,
        place: &Place,
        text: Option<&str>,
    ) -> Result<Option<f64>, Refusal> {
        let value = self.take::<Q>(place, text)?.map(Q::si);
        self.above_zero(place, value)
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
            self.refuse(
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
                self.refuse(
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

/// A place whose value may be anything of its kind.
pub(crate) const fn free(
    field: &'static str,
    meaning: &'static str,
    dimensions: &'static [Dimension],
) -> Place {
    Place { field, meaning, dimensions, plausible: None }
}

/// A place whose value lies between a plausible low and high, in a unit.
pub(crate) const fn between(
    field: &'static str,
    meaning: &'static str,
    dimensions: &'static [Dimension],
    plausible: (i64, i64, &'static str),
) -> Place {
    Place { field, meaning, dimensions, plausible: Some(plausible) }
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
