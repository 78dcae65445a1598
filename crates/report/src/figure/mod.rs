//! Figures: one renderer for screen (SVG) and paper (the same shapes, placed on a page).

mod drawing;
mod face;
mod lines;
mod marks;
mod svg;

pub use drawing::Drawing;

pub use face::{Cut, dish_face};
pub use lines::lines;
pub(crate) use marks::verdict_mark;
pub(crate) use svg::escape;
