//! Type: the bundled fonts, shaping and line breaking. No font of the machine is ever used, and a
//! sign that no bundled font has is an error, never a blank.

mod fonts;
mod shape;

pub(crate) use fonts::{Face, program};
pub(crate) use shape::{SetGlyph, SetLine, Setter};

/// A face at a size, in the layout's unit (1/96 inch).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Style {
    pub(crate) face: Face,
    pub(crate) size: f32,
    pub(crate) leading: f32,
}

impl Style {
    pub(crate) const fn new(face: Face, size: f32, leading: f32) -> Self {
        Self { face, size, leading }
    }
    /// Text of rows and paragraphs.
    pub(crate) const TEXT: Self = Self::new(Face::Text, 12.5, 16.0);
    /// The subject of a row.
    pub(crate) const STRONG: Self = Self::new(Face::Strong, 12.5, 16.0);
    /// Second lines.
    pub(crate) const SMALL: Self = Self::new(Face::Text, 11.0, 14.0);
    /// Second lines that must not be overlooked.
    pub(crate) const SMALL_STRONG: Self = Self::new(Face::Strong, 11.0, 14.0);
    /// Symbols and formulas.
    pub(crate) const SLANT: Self = Self::new(Face::Slant, 12.5, 16.0);
    /// Serials, entry numbers, hashes.
    pub(crate) const MONO: Self = Self::new(Face::Mono, 11.5, 16.0);
    /// Section titles.
    pub(crate) const SECTION: Self = Self::new(Face::Title, 15.0, 20.0);
}
