//! Writing a value in its one spelling.

use super::{CanonicalError, INTEGER_BOUND, MAX_DEPTH, Value, is_key};

pub(super) fn write(value: &Value) -> Result<Vec<u8>, CanonicalError> {
    let mut out = Vec::new();
    put(value, MAX_DEPTH, &mut out)?;
    Ok(out)
}

fn put(value: &Value, depth: usize, out: &mut Vec<u8>) -> Result<(), CanonicalError> {
    match value {
        Value::Int(number) => {
            if number.unsigned_abs() >= INTEGER_BOUND.unsigned_abs() {
                return Err(CanonicalError::NoForm("a whole number of 2^53 or more"));
            }
            out.extend_from_slice(number.to_string().as_bytes());
        }
        Value::Text(text) => put_text(text, out),
        Value::List(items) => {
            let depth = deeper(depth)?;
            out.push(b'[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.push(b',');
                }
                put(item, depth, out)?;
            }
            out.push(b']');
        }
        Value::Object(fields) => {
            let depth = deeper(depth)?;
            out.push(b'{');
            for (index, (key, item)) in fields.iter().enumerate() {
                if !is_key(key) {
                    return Err(CanonicalError::Key(key.clone()));
                }
                if index > 0 {
                    out.push(b',');
                }
                put_text(key, out);
                out.push(b':');
                put(item, depth, out)?;
            }
            out.push(b'}');
        }
    }
    Ok(())
}

fn deeper(depth: usize) -> Result<usize, CanonicalError> {
    depth.checked_sub(1).ok_or(CanonicalError::NoForm("a value nested this deep"))
}

fn put_text(text: &str, out: &mut Vec<u8>) {
    out.push(b'"');
    for byte in text.bytes() {
        match byte {
            b'"' => out.extend_from_slice(b"\\\""),
            b'\\' => out.extend_from_slice(b"\\\\"),
            0x08 => out.extend_from_slice(b"\\b"),
            b'\t' => out.extend_from_slice(b"\\t"),
            b'\n' => out.extend_from_slice(b"\\n"),
            0x0c => out.extend_from_slice(b"\\f"),
            b'\r' => out.extend_from_slice(b"\\r"),
            0x00..=0x1f => out.extend_from_slice(format!("\\u{byte:04x}").as_bytes()),
            _ => out.push(byte),
        }
    }
    out.push(b'"');
}
