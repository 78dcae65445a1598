//! The file as a row of revisions: what was written first, and each update appended behind it.

use std::panic::{AssertUnwindSafe, catch_unwind};

use lopdf::{Dictionary, Document, LoadOptions, Object, ObjectId};

use super::Statement;

/// More updates than this are not looked at; a report has one for each signature.
const MOST_UPDATES: usize = 40;
/// A stream may not unpack to more than this.
pub(crate) const MOST_UNPACKED: usize = 256 << 20;

/// The file up to the end of one update.
pub(crate) struct Revision {
    /// Where it ends.
    pub(crate) end: usize,
    pub(crate) doc: Document,
}

/// Reads a file with bounds on what it may unpack to; a fault in the reader is an error too.
pub(crate) fn load(pdf: &[u8]) -> Result<Document, String> {
    let read = || {
        let options = LoadOptions {
            max_decompressed_size: Some(MOST_UNPACKED),
            strict: true,
            ..LoadOptions::default()
        };
        Document::load_mem_with_options(pdf, options)
    };
    catch_unwind(AssertUnwindSafe(read))
        .map_err(|_| "it is damaged".to_owned())?
        .map_err(|e| e.to_string())
}

/// Ends of revisions: each `%%EOF` that follows a `startxref` and its number.
fn ends(pdf: &[u8]) -> Vec<usize> {
    const MARK: &[u8] = b"%%EOF";
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(i) = pdf.get(at..).and_then(|t| t.windows(MARK.len()).position(|w| w == MARK)) {
        let end = at + i + MARK.len();
        let before = pdf.get((at + i).saturating_sub(40)..at + i).unwrap_or_default();
        let text = String::from_utf8_lossy(before);
        let number = text.rsplit("startxref").next().map(str::trim).unwrap_or_default();
        if text.contains("startxref")
            && !number.is_empty()
            && number.bytes().all(|b| b.is_ascii_digit())
        {
            found.push(end);
        }
        at = end;
    }
    found
}

/// Splits a file into its revisions, first to last, and says what does not fit.
pub(crate) fn revisions(pdf: &[u8], statements: &mut Vec<Statement>) -> Vec<Revision> {
    let mut error =
        |code, sentence: String| statements.push(Statement::error(code, "file", sentence));
    if !pdf.starts_with(b"%PDF-") {
        error("unreadable", "This is not a PDF file.".to_owned());
        return Vec::new();
    }
    let ends = ends(pdf);
    if ends.is_empty() {
        error("truncated", "The end of the file is missing: it was cut short.".to_owned());
        return Vec::new();
    }
    if ends.len() > MOST_UPDATES {
        error(
            "too_many_updates",
            format!("The file was updated {} times, more than any report is.", ends.len() - 1),
        );
        return Vec::new();
    }
    let last = ends.last().copied().unwrap_or(0);
    let rest = pdf.get(last..).unwrap_or_default();
    if !rest.iter().all(u8::is_ascii_whitespace) {
        let cut = rest.len() > 200;
        let code = "trailing_bytes";
        let hint = if cut { "; they may be an update that was cut short" } else { "" };
        error(code, format!("{} bytes stand behind the end of the file{hint}.", rest.len()));
    }
    let mut out = Vec::new();
    for (i, end) in ends.iter().enumerate() {
        match load(pdf.get(..*end).unwrap_or_default()) {
            Ok(doc) => out.push(Revision { end: *end, doc }),
            Err(reason) => {
                let what = if i == 0 {
                    "The file as first written".to_owned()
                } else {
                    format!("Update {i}")
                };
                error("unreadable", format!("{what} cannot be read: {reason}."));
            }
        }
    }
    out
}

/// A signature field.
#[derive(Debug, Clone)]
pub(crate) struct Field {
    pub(crate) id: ObjectId,
    pub(crate) name: String,
    pub(crate) dict: Dictionary,
}

/// The signature fields of a file, in the form's order.
pub(crate) fn form_fields(doc: &Document) -> Vec<Field> {
    let form = doc.catalog().ok().and_then(|c| dict_at(doc, c, b"AcroForm"));
    let fields = form.and_then(|f| f.get(b"Fields").ok()).and_then(|f| doc.dereference(f).ok());
    let Some((_, Object::Array(fields))) = fields else { return Vec::new() };
    let field = |reference: &Object| {
        let id = reference.as_reference().ok()?;
        let dict = doc.get_object(id).and_then(Object::as_dict).ok()?;
        let signature = dict.get(b"FT").and_then(Object::as_name).is_ok_and(|n| n == b"Sig");
        let name = text_of(dict.get(b"T").ok()?);
        signature.then(|| Field { id, name, dict: dict.clone() })
    };
    fields.iter().take(100).filter_map(field).collect()
}

/// A dictionary that stands in another, directly or by reference.
pub(crate) fn dict_at<'d>(
    doc: &'d Document,
    dict: &'d Dictionary,
    key: &[u8],
) -> Option<&'d Dictionary> {
    let (_, object) = doc.dereference(dict.get(key).ok()?).ok()?;
    object.as_dict().ok()
}

/// A text string as text.
pub(crate) fn text_of(object: &Object) -> String {
    let Ok(bytes) = object.as_str() else { return String::new() };
    match bytes.strip_prefix(&[0xfe, 0xff]) {
        Some(utf16) => {
            let units: Vec<u16> = utf16
                .chunks_exact(2)
                .map(|c| c.iter().fold(0, |n, b| n << 8 | u16::from(*b)))
                .collect();
            String::from_utf16_lossy(&units)
        }
        None => String::from_utf8_lossy(bytes).into_owned(),
    }
}
