//! From a draw list to the bytes of a PDF/A-3b file.
//!
//! `printpdf` writes pages, content and fonts (`press`); the document then passes to `lopdf`,
//! where links, signature fields and outline (`document`) and all that makes it an archived file
//! (`archive`) are added. Numbers of objects, names and ids depend on nothing but the input.

mod archive;
mod content;
mod document;
mod embed;
mod fonts;
mod press;

pub use archive::LAYOUT;
pub(crate) use archive::{Attachments, digest_in, pdf_date, producer, producer_in};
pub(crate) use document::{emit, text_string};
pub(crate) use press::{Sheet, print_form};

/// Points in the layout's unit (1/96 inch).
pub(crate) const SCALE: f32 = 0.75;
