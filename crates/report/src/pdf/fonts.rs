//! Embedded fonts: subsets, widths, and the way back from glyph to text.
//!
//! Each pair of glyph and text gets a code of its own, so that copying and searching give the text
//! as it was entered even where a font draws two signs with one glyph.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::fmt::Write as _;

use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};
use subsetter::GlyphRemapper;

use crate::RenderError;
use crate::draw::Mark;
use crate::setting::{Face, SetGlyph, program};

/// Fonts used by a file, with their codes.
#[derive(Default)]
pub(crate) struct FontSet {
    faces: BTreeMap<Face, Codes>,
}

#[derive(Default)]
struct Codes {
    by_pair: BTreeMap<(u16, String), u16>,
    /// Glyph and text of code 1, 2, ….
    pairs: Vec<(u16, String)>,
    widths: BTreeMap<u16, i64>,
}

impl FontSet {
    /// Notes every glyph of some marks.
    pub(crate) fn collect(&mut self, marks: &[Mark]) -> Result<(), RenderError> {
        for mark in marks {
            match mark {
                Mark::Type { line, .. } => {
                    for glyph in &line.glyphs {
                        self.add(glyph)?;
                    }
                }
                Mark::Clip { inner, .. } => self.collect(inner)?,
                Mark::Stroke { .. }
                | Mark::Fill { .. }
                | Mark::Link { .. }
                | Mark::Field { .. }
                | Mark::PageOf { .. } => {}
            }
        }
        Ok(())
    }

    fn add(&mut self, glyph: &SetGlyph) -> Result<(), RenderError> {
        let codes = self.faces.entry(glyph.face).or_default();
        let pair = (glyph.gid, glyph.text.clone());
        if codes.by_pair.contains_key(&pair) {
            return Ok(());
        }
        let code = u16::try_from(codes.pairs.len() + 1)
            .map_err(|_| RenderError::Internal { what: "too many different signs".to_owned() })?;
        if let Entry::Vacant(width) = codes.widths.entry(glyph.gid) {
            let face = parsed(glyph.face)?;
            let advance = face.glyph_hor_advance(ttf_parser::GlyphId(glyph.gid)).unwrap_or(0);
            width.insert(thousandths(i64::from(advance), &face));
        }
        codes.pairs.push(pair.clone());
        codes.by_pair.insert(pair, code);
        Ok(())
    }

    /// The code and the width (thousandths of the size) of a glyph that was collected.
    pub(crate) fn code(&self, glyph: &SetGlyph) -> Option<(u16, i64)> {
        let codes = self.faces.get(&glyph.face)?;
        let code = codes.by_pair.get(&(glyph.gid, glyph.text.clone()))?;
        Some((*code, codes.widths.get(&glyph.gid).copied().unwrap_or(0)))
    }

    /// The resource name of a face.
    pub(crate) fn name(face: Face) -> String {
        format!("F{}", face as u8)
    }

    /// Writes the fonts and gives the dictionary of resources.
    pub(crate) fn write(&self, doc: &mut Document) -> Result<Dictionary, RenderError> {
        let mut resources = Dictionary::new();
        for (face, codes) in &self.faces {
            resources.set(Self::name(*face), Object::Reference(write_font(doc, *face, codes)?));
        }
        Ok(resources)
    }
}

fn parsed(face: Face) -> Result<ttf_parser::Face<'static>, RenderError> {
    ttf_parser::Face::parse(program(face).bytes, 0)
        .map_err(|e| RenderError::Internal { what: format!("font: {e}") })
}

/// Font units as thousandths of the size, rounded to nearest.
fn thousandths(units: i64, face: &ttf_parser::Face<'_>) -> i64 {
    let em = i64::from(face.units_per_em()).max(1);
    (units * 2000 + em).div_euclid(2 * em)
}

fn write_font(doc: &mut Document, face: Face, codes: &Codes) -> Result<ObjectId, RenderError> {
    let file = program(face);
    let metrics = parsed(face)?;
    let mut remap = GlyphRemapper::new();
    let mut to_gid: Vec<u8> = vec![0, 0];
    let mut widths: Vec<Object> = Vec::new();
    for (gid, _) in &codes.pairs {
        to_gid.extend(remap.remap(*gid).to_be_bytes());
        widths.push(codes.widths.get(gid).copied().unwrap_or(0).into());
    }
    let subset = subsetter::subset(file.bytes, 0, &remap)
        .map_err(|e| RenderError::Internal { what: format!("subset of {}: {e}", file.family) })?;
    let name = format!("{}+{}", tag(codes), file.family.replace(' ', ""));
    let length = i64::try_from(subset.len()).unwrap_or(i64::MAX);
    let file_id = doc.add_object(packed(dictionary! { "Length1" => length }, subset)?);
    let b = metrics.global_bounding_box();
    let bbox: Vec<Object> = [b.x_min, b.y_min, b.x_max, b.y_max]
        .iter()
        .map(|v| thousandths(i64::from(*v), &metrics).into())
        .collect();
    let cap = metrics.capital_height().unwrap_or(metrics.ascender());
    let slant = face == Face::Slant;
    let descriptor = doc.add_object(dictionary! {
        "Type" => "FontDescriptor",
        "FontName" => Object::Name(name.clone().into_bytes()),
        // Symbolic; italic where it is.
        "Flags" => if slant { 4 | 64 } else { 4 },
        "FontBBox" => bbox,
        "ItalicAngle" => if slant { -12 } else { 0 },
        "Ascent" => thousandths(i64::from(metrics.ascender()), &metrics),
        "Descent" => thousandths(i64::from(metrics.descender()), &metrics),
        "CapHeight" => thousandths(i64::from(cap), &metrics),
        "StemV" => 80,
        "FontFile2" => file_id,
    });
    let map_id = doc.add_object(packed(Dictionary::new(), to_gid)?);
    let cid_font = doc.add_object(dictionary! {
        "Type" => "Font",
        "Subtype" => "CIDFontType2",
        "BaseFont" => Object::Name(name.clone().into_bytes()),
        "CIDSystemInfo" => dictionary! {
            "Registry" => Object::string_literal("Adobe"),
            "Ordering" => Object::string_literal("Identity"),
            "Supplement" => 0,
        },
        "FontDescriptor" => descriptor,
        "DW" => 0,
        "W" => vec![1.into(), widths.into()],
        "CIDToGIDMap" => map_id,
    });
    let unicode = doc.add_object(packed(Dictionary::new(), to_unicode(codes).into_bytes())?);
    Ok(doc.add_object(dictionary! {
        "Type" => "Font",
        "Subtype" => "Type0",
        "BaseFont" => Object::Name(name.into_bytes()),
        "Encoding" => "Identity-H",
        "DescendantFonts" => vec![cid_font.into()],
        "ToUnicode" => unicode,
    }))
}

/// A compressed stream.
pub(super) fn packed(dict: Dictionary, content: Vec<u8>) -> Result<Stream, RenderError> {
    let mut stream = Stream::new(dict, content);
    stream.compress().map_err(|e| RenderError::Internal { what: format!("compression: {e}") })?;
    Ok(stream)
}

/// Six capitals that name the subset, from what is in it.
fn tag(codes: &Codes) -> String {
    let mut sum: u64 = 0xcbf2_9ce4_8422_2325;
    for (gid, text) in &codes.pairs {
        for byte in gid.to_be_bytes().iter().chain(text.as_bytes()) {
            sum = (sum ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
    let mut out = String::new();
    for _ in 0..6 {
        let letter = u8::try_from(sum % 26).unwrap_or(0);
        out.push(char::from(b'A' + letter));
        sum /= 26;
    }
    out
}

fn to_unicode(codes: &Codes) -> String {
    let mut lines = Vec::new();
    for (i, (_, text)) in codes.pairs.iter().enumerate() {
        if text.is_empty() {
            continue;
        }
        let mut line = format!("<{:04X}> <", i + 1);
        for unit in text.encode_utf16() {
            // Writing to a String cannot fail.
            let _ = write!(line, "{unit:04X}");
        }
        line.push('>');
        lines.push(line);
    }
    let mut out = String::from(
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n\
         /CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n\
         /CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n\
         1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n",
    );
    for chunk in lines.chunks(100) {
        let _ = writeln!(out, "{} beginbfchar\n{}\nendbfchar", chunk.len(), chunk.join("\n"));
    }
    out.push_str("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n");
    out
}
