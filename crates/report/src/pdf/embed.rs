//! Embedding fonts: a subset for `printpdf`, and what its font dictionary lacks afterwards.

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use printpdf::{FontId, ParsedFont, PdfFont};
use subsetter::GlyphRemapper;

use super::fonts::{Codes, FontSet, parsed, thousandths};
use crate::RenderError;
use crate::setting::{Face, program};

/// A subset of a face on its way into a file.
pub(super) struct Subset {
    face: Face,
    font: ParsedFont,
    /// Glyph of code 0, 1, …, as two bytes each.
    to_gid: Vec<u8>,
    /// Width of code 1, 2, …, in thousandths of the size.
    widths: Vec<u16>,
}

impl Subset {
    /// Cuts a face down to the glyphs that have codes.
    pub(super) fn cut(face: Face, codes: &Codes) -> Result<Self, RenderError> {
        let file = program(face);
        let fail = |what: String| RenderError::Internal {
            what: format!("subset of {}: {what}", file.family),
        };
        let mut remap = GlyphRemapper::new();
        let mut to_gid: Vec<u8> = vec![0, 0];
        for (gid, _) in &codes.pairs {
            to_gid.extend(remap.remap(*gid).to_be_bytes());
        }
        let bytes = subsetter::subset(file.bytes, 0, &remap).map_err(|e| fail(e.to_string()))?;
        // What it may warn of is the missing map from characters: the codes take its place.
        let mut font = ParsedFont::from_bytes(&bytes, 0, &mut Vec::new())
            .ok_or_else(|| fail("cannot be read".to_owned()))?;
        font.font_name = Some(format!("{}+{}", tag(codes), file.family.replace(' ', "")));
        let widths = codes.pairs.iter().map(|(gid, _)| codes.width(*gid)).collect();
        Ok(Self { face, font, to_gid, widths })
    }

    /// The font as `printpdf` takes it.
    pub(super) fn resource(&self) -> (FontId, PdfFont) {
        (FontSet::id(self.face), PdfFont::new(self.font.clone()))
    }

    /// Completes the font that `printpdf` wrote: the way from code to glyph and to width, as
    /// `printpdf` takes codes for glyphs and rounds widths down, and what the face is like.
    pub(super) fn complete(
        &self,
        doc: &mut Document,
        fonts: &BTreeMap<Vec<u8>, ObjectId>,
    ) -> Result<(), RenderError> {
        let id = FontSet::id(self.face).0;
        let fail = |e: lopdf::Error| RenderError::Internal { what: format!("font {id}: {e}") };
        let missing = || RenderError::Internal { what: format!("font {id} was not written") };
        let font = *fonts.get(id.as_bytes()).ok_or_else(missing)?;
        let map = doc.add_object(packed(Dictionary::new(), self.to_gid.clone())?);
        let cid_font = doc
            .get_object_mut(font)
            .and_then(Object::as_dict_mut)
            .and_then(|font| font.get_mut(b"DescendantFonts"))
            .and_then(Object::as_array_mut)
            .map_err(fail)?
            .first_mut()
            .ok_or_else(missing)?
            .as_dict_mut()
            .map_err(fail)?;
        cid_font.set("CIDToGIDMap", map);
        cid_font.set("DW", 0);
        let widths: Vec<Object> =
            self.widths.iter().map(|width| i64::from(*width).into()).collect();
        cid_font.set("W", vec![1.into(), widths.into()]);
        let descriptor =
            cid_font.get(b"FontDescriptor").and_then(Object::as_reference).map_err(fail)?;
        let descriptor =
            doc.get_object_mut(descriptor).and_then(Object::as_dict_mut).map_err(fail)?;
        let metrics = parsed(self.face)?;
        let cap = metrics.capital_height().unwrap_or(metrics.ascender());
        let slant = self.face == Face::Slant;
        // Symbolic, as the codes follow no alphabet; italic where it is.
        descriptor.set("Flags", if slant { 4 | 64 } else { 4 });
        descriptor.set("ItalicAngle", if slant { -12 } else { 0 });
        descriptor.set("CapHeight", thousandths(i64::from(cap), metrics.units_per_em()));
        Ok(())
    }
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
