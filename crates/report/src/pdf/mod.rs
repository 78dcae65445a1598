//! From a draw list to the bytes of a PDF/A-3b file.
//!
//! Objects and content are written straight onto lopdf, which also reads them again for signing
//! and verifying: numbers of objects, names and ids depend on nothing but the input.

mod archive;
mod content;
mod document;
mod fonts;

pub use archive::LAYOUT;
pub(crate) use archive::{Attachments, digest_in, pdf_date, producer, producer_in};
pub(crate) use content::Content;
pub(crate) use document::{emit, text_string};
pub(crate) use fonts::FontSet;

/// Points in the layout's unit (1/96 inch).
pub(crate) const SCALE: f32 = 0.75;
