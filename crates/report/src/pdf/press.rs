//! Printing sheets of marks: `printpdf` writes pages, content, fonts and resources, and what it
//! writes otherwise than an archived file may have it is put right here.

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};
use printpdf::{PdfDocument, PdfPage, PdfSaveOptions, Pt};

use super::content::{Content, rounded};
use super::embed::Subset;
use super::fonts::FontSet;
use crate::RenderError;
use crate::draw::Mark;

/// An area with marks: a page, or the place of a signature.
pub(crate) struct Sheet<'m> {
    /// In points.
    pub(crate) width: f32,
    /// In points.
    pub(crate) height: f32,
    pub(crate) marks: &'m [Mark],
}

fn internal(what: impl std::fmt::Display) -> RenderError {
    RenderError::Internal { what: format!("printing: {what}") }
}

/// Prints sheets as the pages of a file that has nothing else yet: no links, outline, metadata
/// or id. The same sheets give the same objects.
pub(super) fn print(sheets: &[Sheet<'_>]) -> Result<Document, RenderError> {
    let mut fonts = FontSet::default();
    for sheet in sheets {
        fonts.collect(sheet.marks)?;
    }
    let subsets: Vec<Subset> = fonts
        .faces
        .iter()
        .map(|(face, codes)| Subset::cut(*face, codes))
        .collect::<Result<_, _>>()?;
    let mut pdf = PdfDocument::new("");
    pdf.resources.fonts.map = subsets.iter().map(Subset::resource).collect();
    pdf.pages = sheets.iter().map(|sheet| page(sheet, &fonts)).collect();
    let options = PdfSaveOptions {
        optimize: false,
        // They are subsets already.
        subset_fonts: false,
        secure: true,
        image_optimization: None,
    };
    let mut warnings = Vec::new();
    let mut doc = printpdf::serialize::to_lopdf_doc(&pdf, &options, &mut warnings);
    if let Some(warning) = warnings.first() {
        return Err(internal(&warning.msg));
    }
    put_right(&mut doc, &subsets)?;
    Ok(doc)
}

fn page(sheet: &Sheet<'_>, fonts: &FontSet) -> PdfPage {
    let area = printpdf::Rect::from_wh(Pt(rounded(sheet.width)), Pt(rounded(sheet.height)));
    let mut content = Content::new(fonts, sheet.height);
    content.marks(sheet.marks);
    PdfPage {
        media_box: area.clone(),
        trim_box: area.clone(),
        crop_box: area,
        ops: content.finish(),
    }
}

/// Takes away what is not wanted or differs from run to run, and completes the fonts.
fn put_right(doc: &mut Document, subsets: &[Subset]) -> Result<(), RenderError> {
    "1.7".clone_into(&mut doc.version);
    // Dates that say nothing, and two ids that count up while the program runs.
    doc.trailer.remove(b"ID");
    if let Some(Object::Reference(info)) = doc.trailer.remove(b"Info") {
        doc.objects.remove(&info);
    }
    doc.catalog_mut().map_err(internal)?.remove(b"PageLayout");
    let mut fonts: BTreeMap<Vec<u8>, ObjectId> = BTreeMap::new();
    for id in doc.get_pages().into_values() {
        let page = doc.get_object_mut(id).and_then(Object::as_dict_mut).map_err(internal)?;
        page.remove(b"Annots");
        let content = page.get(b"Contents").and_then(Object::as_reference).map_err(internal)?;
        let resources = page.get(b"Resources").and_then(Object::as_reference).map_err(internal)?;
        let stream =
            doc.get_object_mut(content).and_then(Object::as_stream_mut).map_err(internal)?;
        let joined = joined(&stream.content);
        stream.set_content(joined);
        fonts.append(&mut fonts_of(doc, resources)?);
    }
    for subset in subsets {
        subset.complete(doc, &fonts)?;
    }
    doc.compress();
    Ok(())
}

/// The fonts that some resources name.
fn fonts_of(
    doc: &Document,
    resources: ObjectId,
) -> Result<BTreeMap<Vec<u8>, ObjectId>, RenderError> {
    let resources = doc.get_dictionary(resources).map_err(internal)?;
    let fonts = resources
        .get(b"Font")
        .and_then(Object::as_reference)
        .and_then(|id| doc.get_dictionary(id))
        .map_err(internal)?;
    Ok(fonts.iter().filter_map(|(n, o)| Some((n.clone(), o.as_reference().ok()?))).collect())
}

/// Content in which neighbouring strings are one. `printpdf` writes a string for each glyph; its
/// content has hexadecimal strings only, so that `><` stands nowhere else.
fn joined(content: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(content.len());
    let mut rest = content.iter().copied().peekable();
    while let Some(byte) = rest.next() {
        if byte == b'>' && rest.next_if_eq(&b'<').is_some() {
            continue;
        }
        out.push(byte);
    }
    out
}

/// Prints a sheet as a form that can be drawn in `doc`, and gives the form's object.
pub(crate) fn print_form(doc: &mut Document, sheet: &Sheet<'_>) -> Result<ObjectId, RenderError> {
    let mut part = print(std::slice::from_ref(sheet))?;
    let page = part.get_pages().into_values().next().ok_or_else(|| internal("no page"))?;
    let page: Dictionary = part.get_dictionary(page).map_err(internal)?.clone();
    let content = page.get(b"Contents").and_then(Object::as_reference).map_err(internal)?;
    let form = part.get_object_mut(content).and_then(Object::as_stream_mut).map_err(internal)?;
    form.dict.set("Type", "XObject");
    form.dict.set("Subtype", "Form");
    form.dict.set("BBox", page.get(b"MediaBox").map_err(internal)?.clone());
    form.dict.set("Resources", page.get(b"Resources").map_err(internal)?.clone());
    // Only what the form needs comes along, under numbers that are free.
    part.trailer = dictionary! { "Form" => content };
    part.prune_objects();
    part.renumber_objects_with(doc.max_id + 1);
    let form = part.trailer.get(b"Form").and_then(Object::as_reference).map_err(internal)?;
    doc.max_id = part.max_id.max(doc.max_id);
    doc.objects.append(&mut part.objects);
    Ok(form)
}
