//! The glyphs of a file and their codes.
//!
//! Each pair of glyph and text gets a code of its own, so that copying and searching give the text
//! as it was entered even where a font draws two signs with one glyph.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use printpdf::FontId;

use crate::RenderError;
use crate::draw::Mark;
use crate::setting::{Face, SetGlyph, program};

/// Fonts used by a file, with their codes.
#[derive(Default)]
pub(super) struct FontSet {
    pub(super) faces: BTreeMap<Face, Codes>,
}

/// The codes of one face.
#[derive(Default)]
pub(super) struct Codes {
    by_pair: BTreeMap<(u16, String), u16>,
    /// Glyph and text of code 1, 2, ….
    pub(super) pairs: Vec<(u16, String)>,
    /// Advance of each glyph in font units.
    advances: BTreeMap<u16, u16>,
    units_per_em: u16,
}

impl FontSet {
    /// Notes every glyph of some marks.
    pub(super) fn collect(&mut self, marks: &[Mark]) -> Result<(), RenderError> {
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
        if let Entry::Vacant(advance) = codes.advances.entry(glyph.gid) {
            let face = parsed(glyph.face)?;
            codes.units_per_em = face.units_per_em();
            advance.insert(face.glyph_hor_advance(ttf_parser::GlyphId(glyph.gid)).unwrap_or(0));
        }
        codes.pairs.push(pair.clone());
        codes.by_pair.insert(pair, code);
        Ok(())
    }

    /// The code and the width (thousandths of the size) of a glyph that was collected.
    pub(super) fn code(&self, glyph: &SetGlyph) -> Option<(u16, u16)> {
        let codes = self.faces.get(&glyph.face)?;
        let code = codes.by_pair.get(&(glyph.gid, glyph.text.clone()))?;
        Some((*code, codes.width(glyph.gid)))
    }

    /// The name of a face among a page's resources; `printpdf` keeps F1 to F14 for other fonts.
    pub(super) fn id(face: Face) -> FontId {
        FontId(format!("T{}", face as u8))
    }
}

impl Codes {
    /// The width of a glyph in thousandths of the size.
    pub(super) fn width(&self, gid: u16) -> u16 {
        let advance = self.advances.get(&gid).copied().unwrap_or(0);
        u16::try_from(thousandths(i64::from(advance), self.units_per_em)).unwrap_or(u16::MAX)
    }
}

/// Font units as thousandths of the size, rounded to nearest.
pub(super) fn thousandths(units: i64, units_per_em: u16) -> i64 {
    let em = i64::from(units_per_em).max(1);
    (units * 2000 + em).div_euclid(2 * em)
}

/// A bundled font, read.
pub(super) fn parsed(face: Face) -> Result<ttf_parser::Face<'static>, RenderError> {
    ttf_parser::Face::parse(program(face).bytes, 0)
        .map_err(|e| RenderError::Internal { what: format!("font: {e}") })
}
