//! Links, signature fields and the outline, added to the printed pages.
//!
//! `printpdf` writes links inside the page, where signing programs refuse a later signature, and
//! an outline without levels: it is asked for neither.

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object, ObjectId, StringFormat, dictionary};

use super::SCALE;
use super::archive::{self, Attachments};
use super::content::rounded;
use super::press::{Sheet, print};
use crate::draw::{Mark, OutlineItem, PAGE_HEIGHT, PAGE_WIDTH, Paper, Rect};
use crate::{Handover, RenderError};

/// Height of a page in points.
pub(crate) const HEIGHT: f32 = PAGE_HEIGHT * SCALE;

/// Writes the file.
pub(crate) fn emit(
    paper: &Paper,
    report: &Handover,
    attachments: &Attachments<'_>,
) -> Result<Vec<u8>, RenderError> {
    let width = PAGE_WIDTH * SCALE;
    let sheets: Vec<Sheet<'_>> = paper
        .pages
        .iter()
        .map(|page| Sheet { width, height: HEIGHT, marks: &page.marks })
        .collect();
    let mut doc = print(&sheets)?;
    let fail = |e: lopdf::Error| RenderError::Internal { what: format!("pages: {e}") };
    let ids: Vec<ObjectId> = doc.get_pages().into_values().collect();
    let mut fields: BTreeMap<String, ObjectId> = BTreeMap::new();
    for (page, id) in paper.pages.iter().zip(&ids) {
        let annots = annotations(&mut doc, &page.marks, *id, paper, &ids, &mut fields);
        if !annots.is_empty() {
            let page = doc.get_object_mut(*id).and_then(Object::as_dict_mut).map_err(fail)?;
            page.set("Annots", annots);
        }
    }
    let mut catalog = doc.catalog().map_err(fail)?.clone();
    catalog.set("Lang", Object::string_literal(report.identity.language.as_str()));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    if let Some(outline) = outline(&mut doc, &paper.outline, &ids) {
        catalog.set("Outlines", outline);
        catalog.set("PageMode", "UseOutlines");
    }
    let order: Vec<Object> = report
        .signature_places
        .iter()
        .filter_map(|p| fields.get(&p.field).map(|id| Object::Reference(*id)))
        .collect();
    let form = doc.add_object(dictionary! { "Fields" => order, "SigFlags" => 3 });
    catalog.set("AcroForm", form);
    archive::finish(&mut doc, catalog, report, attachments)
}

fn real(value: f32) -> Object {
    Object::Real(rounded(value))
}

/// A rectangle in points from the bottom left.
fn rectangle(area: &Rect) -> Vec<Object> {
    let (x, y) = (area.x * SCALE, HEIGHT - (area.y + area.height) * SCALE);
    vec![real(x), real(y), real(x + area.width * SCALE), real(y + area.height * SCALE)]
}

fn annotations(
    doc: &mut Document,
    marks: &[Mark],
    page: ObjectId,
    paper: &Paper,
    ids: &[ObjectId],
    fields: &mut BTreeMap<String, ObjectId>,
) -> Vec<Object> {
    let mut annots = Vec::new();
    for mark in marks {
        if let Mark::Link { area, target } = mark {
            let Some((to, y)) = paper.anchors.get(target) else { continue };
            let Some(to) = ids.get(*to) else { continue };
            annots.push(Object::Reference(doc.add_object(dictionary! {
                "Type" => "Annot",
                "Subtype" => "Link",
                "Rect" => rectangle(area),
                "Border" => vec![0.into(), 0.into(), 0.into()],
                "F" => 4,
                "Dest" => destination(*to, *y),
            })));
        } else if let Mark::Field { area, name, tip } = mark {
            let empty = dictionary! {
                "Type" => "XObject",
                "Subtype" => "Form",
                "BBox" => vec![0.into(), 0.into(), real(area.width * SCALE), real(area.height * SCALE)],
                "Resources" => Dictionary::new(),
            };
            let empty = doc.add_object(lopdf::Stream::new(empty, Vec::new()));
            let id = doc.add_object(dictionary! {
                "Type" => "Annot",
                "Subtype" => "Widget",
                "FT" => "Sig",
                "T" => text_string(name),
                "TU" => text_string(tip),
                "Rect" => rectangle(area),
                "F" => 132,
                "P" => page,
                "AP" => dictionary! { "N" => empty },
            });
            fields.insert(name.clone(), id);
            annots.push(Object::Reference(id));
        }
    }
    annots
}

fn destination(page: ObjectId, y: f32) -> Vec<Object> {
    let top = real(HEIGHT - (y - 16.0).max(0.0) * SCALE);
    vec![page.into(), "XYZ".into(), Object::Null, top, Object::Null]
}

/// The outline: first-level items with their children.
fn outline(doc: &mut Document, items: &[OutlineItem], pages: &[ObjectId]) -> Option<ObjectId> {
    let mut groups: Vec<(&OutlineItem, Vec<&OutlineItem>)> = Vec::new();
    for item in items {
        match groups.last_mut() {
            Some((_, children)) if item.level > 0 => children.push(item),
            _ => groups.push((item, Vec::new())),
        }
    }
    let root = doc.new_object_id();
    let tops: Vec<ObjectId> = groups.iter().map(|_| doc.new_object_id()).collect();
    for (i, (item, children)) in groups.iter().enumerate() {
        let ids: Vec<ObjectId> = children.iter().map(|_| doc.new_object_id()).collect();
        let own = *tops.get(i)?;
        for (k, child) in children.iter().enumerate() {
            let entry = outline_entry(child, own, pages, &ids, k)?;
            doc.set_object(*ids.get(k)?, entry);
        }
        let mut entry = outline_entry(item, root, pages, &tops, i)?;
        if let (Some(first), Some(last)) = (ids.first(), ids.last()) {
            entry.set("First", *first);
            entry.set("Last", *last);
            entry.set("Count", i64::try_from(ids.len()).unwrap_or(0));
        }
        doc.set_object(own, entry);
    }
    let shown = i64::try_from(items.len()).unwrap_or(0);
    doc.set_object(
        root,
        dictionary! {
            "Type" => "Outlines",
            "First" => *tops.first()?,
            "Last" => *tops.last()?,
            "Count" => shown,
        },
    );
    Some(root)
}

fn outline_entry(
    item: &OutlineItem,
    parent: ObjectId,
    pages: &[ObjectId],
    ids: &[ObjectId],
    i: usize,
) -> Option<Dictionary> {
    let mut entry = dictionary! {
        "Title" => text_string(&item.title),
        "Parent" => parent,
        "Dest" => destination(*pages.get(item.page)?, item.y),
    };
    if let Some(before) = i.checked_sub(1).and_then(|i| ids.get(i)) {
        entry.set("Prev", *before);
    }
    if let Some(after) = ids.get(i + 1) {
        entry.set("Next", *after);
    }
    Some(entry)
}

/// A text string: plain where it is ASCII, else UTF-16 with its mark.
pub(crate) fn text_string(text: &str) -> Object {
    if text.is_ascii() {
        return Object::string_literal(text);
    }
    let mut bytes = vec![0xfe, 0xff];
    for unit in text.encode_utf16() {
        bytes.extend(unit.to_be_bytes());
    }
    Object::String(bytes, StringFormat::Hexadecimal)
}
