//! Comparing revisions: an update may add a signature and what it looks like, and nothing else.

use std::collections::{BTreeMap, BTreeSet};

use lopdf::{Dictionary, Document, Object, ObjectId};

use super::Statement;
use super::file::{Revision, dict_at, form_fields, text_of};
use super::signature::Signature;

/// Checks each update against what stood before it.
pub(crate) fn updates(revisions: &[Revision], signatures: &[Signature], out: &mut Vec<Statement>) {
    let mut clean = true;
    for (i, pair) in revisions.windows(2).enumerate() {
        let [before, after] = pair else { continue };
        let own = signatures.iter().find(|s| s.revision == Some(i + 1));
        let when = match signatures.iter().rev().find(|s| s.revision.is_some_and(|r| r <= i)) {
            Some(s) => format!("after {} signed", s.who()),
            None => "after the report was made".to_owned(),
        };
        let found = changes(&before.doc, &after.doc, own.map(|s| s.field.as_str()));
        for (object, what) in &found {
            out.push(Statement::error(
                "changed_by_update",
                object,
                format!("{what} {when}, by an update appended to the file."),
            ));
        }
        if own.is_none() {
            let sentence =
                format!("An update was appended {when} that carries no signature of its own.");
            out.push(Statement::error("unsigned_update", "file", sentence));
        }
        clean &= found.is_empty() && own.is_some();
    }
    if clean && !revisions.is_empty() {
        let sentence = match revisions.len() {
            1 => "Nothing was appended to the file since it was made.".to_owned(),
            n => format!(
                "The {} updates appended to the file add signatures and nothing else.",
                n - 1
            ),
        };
        out.push(Statement::ok("updates", "file", sentence));
    }
}

/// What an update changed that it must not: what it is about, and a sentence's beginning.
fn changes(before: &Document, after: &Document, signed: Option<&str>) -> Vec<(String, String)> {
    let mut found: BTreeSet<(String, String)> = BTreeSet::new();
    let owners = owners(before);
    for (id, old) in &before.objects {
        let owner = owners.get(id).cloned().unwrap_or_else(|| "file".to_owned());
        match after.objects.get(id) {
            None => {
                found.insert((owner.clone(), format!("{} lost a part", capital(&owner))));
            }
            Some(new) if same(old, new) => {}
            Some(new) => {
                if !allowed(before, after, *id, (old, new), signed) {
                    found.insert((owner.clone(), format!("{} was changed", capital(&owner))));
                }
            }
        }
    }
    for key in [b"Root".as_slice(), b"ID", b"Info", b"Encrypt"] {
        if before.trailer.get(key).ok() != after.trailer.get(key).ok() {
            let key = String::from_utf8_lossy(key).into_owned();
            found.insert(("file".to_owned(), format!("The file's {key} entry was changed")));
        }
    }
    let hidden = |o: &Object| {
        let kind =
            o.as_stream().ok().and_then(|s| s.dict.get(b"Type").and_then(Object::as_name).ok());
        kind.is_some_and(|k| k == b"ObjStm" || k == b"XRef")
    };
    if after.trailer.has(b"XRefStm") || after.objects.values().any(hidden) {
        let what = "Parts were written in a way that this program never uses".to_owned();
        found.insert(("file".to_owned(), what));
    }
    found.into_iter().collect()
}

fn capital(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or(String::new(), |c| c.to_uppercase().chain(signs).collect())
}

/// Whether two objects say the same.
pub(crate) fn same(a: &Object, b: &Object) -> bool {
    match (a, b) {
        (Object::Stream(a), Object::Stream(b)) => a.dict == b.dict && a.content == b.content,
        _ => a == b,
    }
}

/// Whether a change is one that signing makes: a value and a look for the field that is signed.
fn allowed(
    before: &Document,
    after: &Document,
    id: ObjectId,
    (old, new): (&Object, &Object),
    signed: Option<&str>,
) -> bool {
    let (Ok(old), Ok(new)) = (old.as_dict(), new.as_dict()) else { return false };
    let field = form_fields(before).into_iter().find(|f| f.id == id);
    let (Some(field), Some(signed)) = (field, signed) else { return false };
    let without = |dict: &Dictionary| {
        let mut dict = dict.clone();
        dict.remove(b"V");
        dict.remove(b"AP");
        dict
    };
    // Value and look must be objects of this update, not old ones in a new part.
    let fresh = |object: Option<&Object>| {
        let id = object.and_then(|o| o.as_reference().ok());
        id.is_some_and(|id| !before.objects.contains_key(&id) && after.objects.contains_key(&id))
    };
    field.name == signed
        && !old.has(b"V")
        && without(old) == without(new)
        && fresh(new.get(b"V").ok())
        && fresh(
            dict_at(after, new, b"AP").filter(|ap| ap.len() == 1).and_then(|ap| ap.get(b"N").ok()),
        )
}

/// What each object belongs to, in words.
pub(crate) fn owners(doc: &Document) -> BTreeMap<ObjectId, String> {
    let mut owners = BTreeMap::new();
    let pages: Vec<ObjectId> = doc.get_pages().into_values().collect();
    let stop: BTreeSet<ObjectId> = pages.iter().copied().collect();
    for field in form_fields(doc) {
        claim(
            doc,
            &Object::Reference(field.id),
            &format!("signature {}", field.name),
            &stop,
            &mut owners,
        );
    }
    let catalog = doc.catalog().ok();
    let names = catalog
        .and_then(|c| dict_at(doc, c, b"Names"))
        .and_then(|n| dict_at(doc, n, b"EmbeddedFiles"))
        .and_then(|e| e.get(b"Names").and_then(Object::as_array).ok());
    for pair in names.map(Vec::as_slice).unwrap_or_default().chunks(2) {
        if let [name, file] = pair {
            claim(doc, file, &format!("embedded file {}", text_of(name)), &stop, &mut owners);
        }
    }
    // What every page shares (fonts) is told apart from what one page owns.
    let mut shared: BTreeMap<ObjectId, usize> = BTreeMap::new();
    let mut reach: Vec<BTreeMap<ObjectId, String>> = Vec::new();
    for (i, page) in pages.iter().enumerate() {
        let mut own = BTreeMap::new();
        let others: BTreeSet<ObjectId> = stop.iter().copied().filter(|p| p != page).collect();
        claim(doc, &Object::Reference(*page), &format!("page {}", i + 1), &others, &mut own);
        for id in own.keys() {
            *shared.entry(*id).or_insert(0) += 1;
        }
        reach.push(own);
    }
    for (id, owner) in reach.into_iter().flatten() {
        let many = shared.get(&id).is_some_and(|n| *n > 1);
        owners.entry(id).or_insert(if many { "the pages' fonts".to_owned() } else { owner });
    }
    if let Some(catalog) = catalog {
        for (key, value) in catalog.iter() {
            let what = match key.as_slice() {
                b"Pages" => "the order of the pages",
                b"Outlines" => "the outline",
                b"Metadata" => "the metadata",
                b"AcroForm" => "the signature form",
                _ => "the file's catalogue",
            };
            claim(doc, value, what, &stop, &mut owners);
        }
    }
    if let Ok(root) = doc.trailer.get(b"Root").and_then(Object::as_reference) {
        owners.entry(root).or_insert_with(|| "the file's catalogue".to_owned());
    }
    owners
}

/// Gives everything that can be reached from an object an owner, unless it has one. Pages that
/// are merely pointed to are not entered, nor is a parent.
fn claim(
    doc: &Document,
    from: &Object,
    owner: &str,
    stop: &BTreeSet<ObjectId>,
    owners: &mut BTreeMap<ObjectId, String>,
) {
    let own = from.as_reference().ok();
    let mut open: Vec<&Object> = vec![from];
    while let Some(object) = open.pop() {
        match object {
            Object::Reference(id) => {
                if owners.contains_key(id) || (stop.contains(id) && own != Some(*id)) {
                    continue;
                }
                owners.insert(*id, owner.to_owned());
                if let Some(object) = doc.objects.get(id) {
                    open.push(object);
                }
            }
            Object::Array(items) => open.extend(items),
            Object::Dictionary(dict) => open.extend(inner(dict)),
            Object::Stream(stream) => open.extend(inner(&stream.dict)),
            Object::Null
            | Object::Boolean(_)
            | Object::Integer(_)
            | Object::Real(_)
            | Object::Name(_)
            | Object::String(..) => {}
        }
    }
}

fn inner(dict: &Dictionary) -> impl Iterator<Item = &Object> {
    dict.iter()
        .filter(|(key, _)| key.as_slice() != b"Parent" && key.as_slice() != b"P")
        .map(|(_, v)| v)
}
