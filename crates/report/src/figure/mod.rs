//! Figures: one renderer for screen (SVG) and paper (the same shapes, placed on a page).

mod bars;
mod drawing;
mod face;
mod facet_map;
mod lines;
mod marks;
mod plane;
mod plot;
mod read;
mod sky;
mod svg;

pub use drawing::Drawing;

pub use face::{Cut, dish_face};
pub use facet_map::{FacetMap, MapFacet, MapRack, MapState, facet_map};
pub use lines::lines;
pub(crate) use marks::verdict_mark;
pub use read::drawing;
pub use sky::{Sky, SkyMark, SkyPlace, sky};
pub(crate) use svg::escape;
