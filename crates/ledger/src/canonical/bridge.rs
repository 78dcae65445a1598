//! Between typed values and canonical bytes, by way of serde.

use std::collections::BTreeMap;

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::{CanonicalError, Value, parse};

/// The canonical bytes of a typed value.
///
/// # Errors
/// Fractions, `true`, `false`, `null` and keys with other signs have no canonical form: types that
/// are entered use text, integers and absent fields.
pub fn to_bytes<T: Serialize + ?Sized>(value: &T) -> Result<Vec<u8>, CanonicalError> {
    to_value(value)?.to_bytes()
}

/// The same as a [`Value`].
///
/// # Errors
/// As [`to_bytes`].
pub fn to_value<T: Serialize + ?Sized>(value: &T) -> Result<Value, CanonicalError> {
    let json =
        serde_json::to_value(value).map_err(|fault| CanonicalError::Shape(fault.to_string()))?;
    lower(json)
}

fn lower(json: serde_json::Value) -> Result<Value, CanonicalError> {
    Ok(match json {
        serde_json::Value::String(text) => Value::Text(text),
        serde_json::Value::Number(number) => {
            Value::Int(number.as_i64().ok_or(CanonicalError::NoForm("a fraction"))?)
        }
        serde_json::Value::Array(items) => {
            Value::List(items.into_iter().map(lower).collect::<Result<_, _>>()?)
        }
        serde_json::Value::Object(fields) => Value::Object(
            fields
                .into_iter()
                .map(|(key, value)| Ok((key, lower(value)?)))
                .collect::<Result<BTreeMap<_, _>, CanonicalError>>()?,
        ),
        serde_json::Value::Bool(_) => return Err(CanonicalError::NoForm("true or false")),
        serde_json::Value::Null => return Err(CanonicalError::NoForm("null")),
    })
}

/// Reads a typed value from canonical bytes. Bytes in any other spelling are refused.
///
/// # Errors
/// The place where the bytes leave the rules, or what doesn't fit the type.
pub fn from_bytes<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, CanonicalError> {
    from_value(parse(bytes)?)
}

/// Reads a typed value from a [`Value`].
///
/// # Errors
/// What doesn't fit the type.
pub fn from_value<T: DeserializeOwned>(value: Value) -> Result<T, CanonicalError> {
    serde_json::from_value(raise(value)).map_err(|fault| CanonicalError::Shape(fault.to_string()))
}

fn raise(value: Value) -> serde_json::Value {
    match value {
        Value::Int(number) => serde_json::Value::from(number),
        Value::Text(text) => serde_json::Value::String(text),
        Value::List(items) => serde_json::Value::Array(items.into_iter().map(raise).collect()),
        Value::Object(fields) => serde_json::Value::Object(
            fields.into_iter().map(|(key, value)| (key, raise(value))).collect(),
        ),
    }
}

#[cfg(test)]
mod tests {
    use serde::Deserialize;

    use super::*;

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Sample {
        zeta: i64,
        alpha: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        maybe: Option<String>,
    }

    #[test]
    fn fields_are_sorted_and_absent_ones_left_out() {
        let sample = Sample { zeta: -3, alpha: "ü".to_owned(), maybe: None };
        let bytes = to_bytes(&sample).unwrap();
        assert_eq!(String::from_utf8_lossy(&bytes), r#"{"alpha":"ü","zeta":-3}"#);
        assert_eq!(from_bytes::<Sample>(&bytes).unwrap(), sample);
    }

    #[test]
    fn what_has_no_one_spelling_is_refused() {
        assert!(matches!(to_bytes(&1.5), Err(CanonicalError::NoForm("a fraction"))));
        assert!(matches!(to_bytes(&true), Err(CanonicalError::NoForm(_))));
        assert!(matches!(to_bytes(&None::<u8>), Err(CanonicalError::NoForm("null"))));
        assert!(matches!(to_bytes(&(1_i64 << 53)), Err(CanonicalError::NoForm(_))));
        let keys = BTreeMap::from([("Key", 1)]);
        assert!(matches!(to_bytes(&keys), Err(CanonicalError::Key(_))));
    }

    #[test]
    fn unknown_fields_and_loose_spellings_are_refused() {
        assert!(from_bytes::<Sample>(br#"{"alpha":"a","more":1,"zeta":1}"#).is_err());
        assert!(from_bytes::<Sample>(br#"{"zeta":1,"alpha":"a"}"#).is_err());
    }
}
