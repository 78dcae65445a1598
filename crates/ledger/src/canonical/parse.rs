//! Reading the one spelling: whatever this accepts, the writer writes again byte for byte.

use std::collections::BTreeMap;

use super::{CanonicalError, INTEGER_BOUND, MAX_BYTES, MAX_DEPTH, Value, is_key};

/// Reads exactly one canonical value.
///
/// # Errors
/// The first place where the bytes leave the rules, and which rule.
pub fn parse(bytes: &[u8]) -> Result<Value, CanonicalError> {
    if bytes.len() > MAX_BYTES {
        return Err(CanonicalError::Text { at: MAX_BYTES, what: "more than 16 MiB" });
    }
    let mut reader = Reader { bytes, at: 0 };
    let value = reader.value(MAX_DEPTH)?;
    if reader.at == bytes.len() { Ok(value) } else { reader.refuse("something follows the value") }
}

struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Reader<'_> {
    fn refuse<T>(&self, what: &'static str) -> Result<T, CanonicalError> {
        Err(CanonicalError::Text { at: self.at, what })
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn take(&mut self, byte: u8) -> bool {
        let there = self.peek() == Some(byte);
        self.at += usize::from(there);
        there
    }

    fn value(&mut self, depth: usize) -> Result<Value, CanonicalError> {
        match self.peek() {
            Some(b'"') => self.text().map(Value::Text),
            Some(b'-' | b'0'..=b'9') => self.integer().map(Value::Int),
            Some(b'[') => self.list(depth),
            Some(b'{') => self.object(depth),
            Some(b't' | b'f' | b'n') => self.refuse("true, false and null are not used"),
            Some(b' ' | b'\t' | b'\n' | b'\r') => self.refuse("a blank outside a string"),
            Some(_) => self.refuse("no value begins like this"),
            None => self.refuse("the text ends where a value is due"),
        }
    }

    fn deeper(&self, depth: usize) -> Result<usize, CanonicalError> {
        depth.checked_sub(1).map_or_else(|| self.refuse("nested too deep"), Ok)
    }

    fn list(&mut self, depth: usize) -> Result<Value, CanonicalError> {
        let depth = self.deeper(depth)?;
        self.at += 1;
        let mut items = Vec::new();
        if self.take(b']') {
            return Ok(Value::List(items));
        }
        loop {
            items.push(self.value(depth)?);
            if self.take(b']') {
                return Ok(Value::List(items));
            }
            if !self.take(b',') {
                return self.refuse("a list goes on with , or ends with ]");
            }
        }
    }

    fn object(&mut self, depth: usize) -> Result<Value, CanonicalError> {
        let depth = self.deeper(depth)?;
        self.at += 1;
        let mut fields = BTreeMap::new();
        if self.take(b'}') {
            return Ok(Value::Object(fields));
        }
        loop {
            let key = self.key(&fields)?;
            if !self.take(b':') {
                return self.refuse("a key is followed by :");
            }
            let value = self.value(depth)?;
            fields.insert(key, value);
            if self.take(b'}') {
                return Ok(Value::Object(fields));
            }
            if !self.take(b',') {
                return self.refuse("an object goes on with , or ends with }");
            }
        }
    }

    fn key(&mut self, before: &BTreeMap<String, Value>) -> Result<String, CanonicalError> {
        if self.peek() != Some(b'"') {
            return self.refuse("a key is due");
        }
        let start = self.at;
        let key = self.text()?;
        let refuse = |what| Err(CanonicalError::Text { at: start, what });
        if !is_key(&key) {
            return refuse("a key has other signs than a-z, 0-9 and _");
        }
        match before.last_key_value().map(|(last, _)| last.cmp(&key)) {
            Some(std::cmp::Ordering::Equal) => refuse("the same key stands twice"),
            Some(std::cmp::Ordering::Greater) => refuse("keys are not in byte order"),
            Some(std::cmp::Ordering::Less) | None => Ok(key),
        }
    }

    fn integer(&mut self) -> Result<i64, CanonicalError> {
        let start = self.at;
        let refuse = |what| Err(CanonicalError::Text { at: start, what });
        let negative = self.take(b'-');
        let digits = self.at;
        let mut number: i64 = 0;
        while let Some(digit @ b'0'..=b'9') = self.peek() {
            number = number * 10 + i64::from(digit - b'0');
            if number >= INTEGER_BOUND {
                return refuse("a whole number of 2^53 or more");
            }
            self.at += 1;
        }
        let length = self.at - digits;
        let leading_zero = self.bytes.get(digits) == Some(&b'0') && (length > 1 || negative);
        if length == 0 || leading_zero {
            return refuse("a whole number has no leading zero, and zero has no sign");
        }
        if matches!(self.peek(), Some(b'.' | b'e' | b'E')) {
            return refuse("fractions and exponents are not used; write them as text");
        }
        Ok(if negative { -number } else { number })
    }

    fn text(&mut self) -> Result<String, CanonicalError> {
        self.at += 1;
        let mut out = Vec::new();
        loop {
            let start = self.at;
            match self.peek() {
                None => return self.refuse("a string does not end"),
                Some(b'"') => {
                    self.at += 1;
                    break;
                }
                Some(b'\\') => out.push(self.escape()?),
                Some(0x00..=0x1f) => return self.refuse("a control sign is not escaped"),
                Some(_) => {
                    while matches!(self.peek(), Some(b) if b != b'"' && b != b'\\' && b > 0x1f) {
                        self.at += 1;
                    }
                    out.extend_from_slice(self.bytes.get(start..self.at).unwrap_or_default());
                }
            }
        }
        String::from_utf8(out).or_else(|_| self.refuse("a string is not UTF-8"))
    }

    fn escape(&mut self) -> Result<u8, CanonicalError> {
        let (length, byte) = match self.bytes.get(self.at + 1) {
            Some(b'"') => (2, b'"'),
            Some(b'\\') => (2, b'\\'),
            Some(b'b') => (2, 0x08),
            Some(b't') => (2, b'\t'),
            Some(b'n') => (2, b'\n'),
            Some(b'f') => (2, 0x0c),
            Some(b'r') => (2, b'\r'),
            Some(b'u') => (6, self.unicode_escape()?),
            _ => return self.refuse("an escape that RFC 8785 does not write"),
        };
        self.at += length;
        Ok(byte)
    }

    /// `\u00xx` is canonical only for control signs that have no short form.
    fn unicode_escape(&self) -> Result<u8, CanonicalError> {
        let digits = self.bytes.get(self.at + 2..self.at + 6).unwrap_or_default();
        let lower = digits.iter().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        let code = std::str::from_utf8(digits)
            .ok()
            .filter(|text| lower && text.len() == 4)
            .and_then(|text| u8::from_str_radix(text, 16).ok());
        match code {
            Some(code @ 0x00..=0x1f) if !matches!(code, 0x08 | b'\t' | b'\n' | 0x0c | b'\r') => {
                Ok(code)
            }
            _ => self.refuse("this \\u escape is not the sign's canonical spelling"),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn reason(text: &str) -> (usize, &'static str) {
        match parse(text.as_bytes()) {
            Err(CanonicalError::Text { at, what }) => (at, what),
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn every_departure_is_named_with_its_place() {
        for (text, at, part) in [
            ("", 0, "ends where a value is due"),
            (" 1", 0, "blank"),
            ("1 ", 1, "follows"),
            ("{\"a\":1, \"b\":2}", 7, "key is due"),
            ("{\"b\":1,\"a\":2}", 7, "byte order"),
            ("{\"a\":1,\"a\":2}", 7, "twice"),
            ("{\"A\":1}", 1, "other signs"),
            ("{\"\":1}", 1, "other signs"),
            ("[1,]", 3, "no value begins"),
            ("true", 0, "true, false and null"),
            ("null", 0, "true, false and null"),
            ("1.5", 0, "fractions"),
            ("1e3", 0, "fractions"),
            ("-0", 0, "leading zero"),
            ("01", 0, "leading zero"),
            ("-", 0, "leading zero"),
            ("9007199254740992", 0, "2^53"),
            ("-9007199254740992", 0, "2^53"),
            ("\"a", 2, "does not end"),
            ("\"\n\"", 1, "not escaped"),
            ("\"\\/\"", 1, "escape that"),
            ("\"\\u0041\"", 1, "canonical spelling"),
            ("\"\\u000a\"", 1, "canonical spelling"),
            ("\"\\u001F\"", 1, "canonical spelling"),
            ("\"\\ud800\"", 1, "canonical spelling"),
        ] {
            let (found, what) = reason(text);
            assert!(what.contains(part), "{text}: {what}");
            assert_eq!(found, at, "{text}: {what}");
        }
        assert!(parse(b"\"\xff\"").is_err());
        assert!(parse("[".repeat(40).as_bytes()).is_err());
    }

    #[test]
    fn escapes_are_those_of_rfc_8785() {
        // RFC 8785, 3.2.2.2: short escapes, \u00xx for other control signs, the rest as itself.
        let text = "\u{8}\t\n\u{c}\r\"\\/\u{0}\u{1f}\u{7f}€\u{2028}😀";
        let bytes = Value::Text(text.to_owned()).to_bytes().unwrap();
        let expected = "\"\\b\\t\\n\\f\\r\\\"\\\\/\\u0000\\u001f\u{7f}€\u{2028}😀\"";
        assert_eq!(String::from_utf8(bytes.clone()).unwrap(), expected);
        assert_eq!(parse(&bytes).unwrap(), Value::Text(text.to_owned()));
    }

    fn values() -> impl Strategy<Value = Value> {
        let bound = INTEGER_BOUND - 1;
        let leaf = prop_oneof![
            (-bound..=bound).prop_map(Value::Int),
            ".*".prop_map(Value::Text),
            "[\\x00-\\x7f]*".prop_map(Value::Text),
        ];
        leaf.prop_recursive(5, 40, 6, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..6).prop_map(Value::List),
                prop::collection::btree_map("[a-z0-9_]{1,8}", inner, 0..6).prop_map(Value::Object),
            ]
        })
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(value in values()) {
            let bytes = value.to_bytes().unwrap();
            prop_assert_eq!(parse(&bytes).unwrap(), value);
        }

        #[test]
        fn a_general_json_library_reads_the_same(value in values()) {
            let bytes = value.to_bytes().unwrap();
            let general: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
            prop_assert_eq!(super::super::to_value(&general).unwrap(), value);
        }

        #[test]
        fn what_is_accepted_is_spelled_the_same(bytes in "[\\[\\]{}\",:a-c0-9_\\\\un \\-]{0,24}") {
            if let Ok(value) = parse(bytes.as_bytes()) {
                prop_assert_eq!(value.to_bytes().unwrap(), bytes.into_bytes());
            }
        }

        #[test]
        fn a_changed_byte_is_refused_or_another_value(value in values(), at: prop::sample::Index, flip in 1_u8..) {
            let mut bytes = value.to_bytes().unwrap();
            let at = at.index(bytes.len());
            bytes[at] ^= flip;
            if let Ok(other) = parse(&bytes) {
                prop_assert_ne!(&other, &value);
                prop_assert_eq!(other.to_bytes().unwrap(), bytes);
            }
        }

        #[test]
        fn no_bytes_panic_it(bytes in prop::collection::vec(any::<u8>(), 0..64)) {
            let _ = parse(&bytes);
        }
    }
}
