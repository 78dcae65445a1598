//! The embedded data: digests as stored, and whether the pages say what the data say.

use lopdf::{Document, Object};
use sha2::{Digest, Sha256};

use super::compare::{owners, same};
use super::file::{MOST_UNPACKED, Revision, dict_at, load, text_of};
use super::{Level, Statement};
use crate::Handover;
use crate::pdf::{digest_in, producer, producer_in};
use crate::render::render;

/// What was taken out of the file.
#[derive(Default)]
pub(crate) struct Embedded {
    pub(crate) report: Option<Vec<u8>>,
    pub(crate) entries: Option<Vec<u8>>,
    /// The fingerprint of the site authority that the report names.
    pub(crate) authority: Option<String>,
}

/// Checks the embedded files and renders the report anew.
pub(crate) fn examine(
    first: &Revision,
    last: &Revision,
    base: &[u8],
    out: &mut Vec<Statement>,
) -> Embedded {
    let report = extract(&last.doc, "report.json", out);
    let entries = extract(&last.doc, "entries.jsonl", out);
    let mut embedded = Embedded { report, entries, authority: None };
    let Some(json) = &embedded.report else { return embedded };
    match Handover::from_json(json) {
        Ok(handover) => {
            if !handover.site.authority.is_empty() {
                embedded.authority = Some(handover.site.authority.clone());
            }
            if let Some(entries) = &embedded.entries {
                rendered_anew(first, base, &handover, entries, out);
            }
        }
        Err(error) => out.push(Statement::warning(
            "data_of_other_version",
            "report.json",
            format!("The embedded data have another shape than this version reads ({error}), so the pages were not compared with them."),
            "Check the file with the version that made it; the metadata name it.",
        )),
    }
    embedded
}

/// Takes a file out and compares its digest with the stored one.
fn extract(doc: &Document, name: &str, out: &mut Vec<Statement>) -> Option<Vec<u8>> {
    let (bytes, about) = match embedded_file(doc, name) {
        Ok(found) => found,
        Err(sentence) => {
            out.push(Statement::error("data_missing", name, sentence));
            return None;
        }
    };
    let digest = hex::encode(Sha256::digest(&bytes));
    match digest_in(&about) {
        Some(stored) if stored == digest => {
            out.push(Statement::ok("data_digest", name, format!("The embedded file {name} has the digest that is printed and stored: {digest}.")));
        }
        Some(stored) => out.push(Statement::error("data_digest", name, format!(
            "The embedded file {name} was exchanged or changed: its digest is {digest}, stored with it is {stored}.",
        ))),
        None => out.push(Statement::error("data_digest", name, format!("No digest is stored with the embedded file {name}."))),
    }
    Some(bytes)
}

fn embedded_file(doc: &Document, name: &str) -> Result<(Vec<u8>, String), String> {
    let missing = || {
        format!("The file has no embedded {name}: it is not a report, or the data were taken out.")
    };
    let catalog = doc.catalog().map_err(|_| missing())?;
    let names = dict_at(doc, catalog, b"Names")
        .and_then(|n| dict_at(doc, n, b"EmbeddedFiles"))
        .and_then(|e| e.get(b"Names").and_then(Object::as_array).ok())
        .ok_or_else(missing)?;
    let spec = names
        .chunks(2)
        .find_map(|pair| match pair {
            [key, value] if text_of(key) == name => doc.dereference(value).ok(),
            _ => None,
        })
        .and_then(|(_, spec)| spec.as_dict().ok())
        .ok_or_else(missing)?;
    let stream = dict_at_stream(doc, spec).ok_or_else(missing)?;
    let bytes = stream
        .get_plain_content_with_limit(MOST_UNPACKED)
        .map_err(|_| format!("The embedded file {name} is damaged and cannot be unpacked."))?;
    Ok((bytes, spec.get(b"Desc").map(text_of).unwrap_or_default()))
}

fn dict_at_stream<'d>(doc: &'d Document, spec: &'d lopdf::Dictionary) -> Option<&'d lopdf::Stream> {
    let (_, object) = doc.dereference(dict_at(doc, spec, b"EF")?.get(b"F").ok()?).ok()?;
    object.as_stream().ok()
}

/// Renders the data and compares the result with the file as first written.
fn rendered_anew(
    first: &Revision,
    base: &[u8],
    handover: &Handover,
    entries: &[u8],
    out: &mut Vec<Statement>,
) {
    let fresh = match render(handover, entries) {
        Ok(fresh) => fresh,
        Err(error) => {
            out.push(Statement::error(
                "data_not_renderable",
                "report.json",
                format!("The embedded data give no report: {error}."),
            ));
            return;
        }
    };
    if fresh == base {
        out.push(Statement::ok("pages_agree", "pages", "As the file was first written, its pages say exactly what the embedded data say: rendered anew, they are the same to the byte.".to_owned()));
        return;
    }
    let written_by = producer_in(&first.doc).unwrap_or_else(|| "an unknown program".to_owned());
    if written_by != producer() {
        out.push(Statement {
            code: "written_by_other_version",
            level: Level::Warning,
            object: "pages".to_owned(),
            sentence: format!("The file says that {written_by} wrote it; this is {}, whose pages look different. So it is not known whether the pages say what the data say.", producer()),
            next_step: "Check the file with the version that made it, or compare the printed values with report.json.".to_owned(),
        });
        return;
    }
    let mut named = false;
    if let Ok(doc) = load(&fresh) {
        let owners = owners(&doc);
        let mut wrong: Vec<String> = Vec::new();
        for (id, object) in &doc.objects {
            let there = first.doc.objects.get(id);
            let owner = owners.get(id).cloned().unwrap_or_else(|| "file".to_owned());
            if !there.is_some_and(|t| same(t, object)) && !wrong.contains(&owner) {
                wrong.push(owner);
            }
        }
        named = !wrong.is_empty();
        for owner in wrong.into_iter().take(20) {
            let sentence =
                format!("{owner} differs from what the embedded data give when rendered anew.");
            out.push(Statement::error("pages_differ", &owner, sentence));
        }
    }
    if !named {
        let at =
            fresh.iter().zip(base).position(|(a, b)| a != b).unwrap_or(fresh.len().min(base.len()));
        out.push(Statement::error("pages_differ", "file", format!(
            "The file as first written differs from what the embedded data give when rendered anew, from byte {at} on.",
        )));
    }
}
