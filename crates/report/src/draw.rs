//! The draw list: what stands where on a page. Unit is 1/96 inch, origin top left, y downwards.

use crate::setting::SetLine;

/// A4 in the layout's unit.
pub(crate) const PAGE_WIDTH: f32 = 793.7;
/// A4 in the layout's unit.
pub(crate) const PAGE_HEIGHT: f32 = 1122.52;

/// A part of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Seg {
    Move(f32, f32),
    Line(f32, f32),
    Curve([f32; 6]),
    Close,
}

/// A rectangle: left, top, width, height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rect {
    pub(crate) x: f32,
    pub(crate) y: f32,
    pub(crate) width: f32,
    pub(crate) height: f32,
}

/// Grey value of ink: 0 is black, 1 is paper.
pub(crate) type Grey = f32;
pub(crate) const INK: Grey = 0.0;
pub(crate) const SECOND: Grey = 0.23;
pub(crate) const HAIR: Grey = 0.45;
pub(crate) const FAINT: Grey = 0.82;
pub(crate) const PAPER: Grey = 1.0;

/// One thing on a page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Mark {
    /// A line of type with its start and baseline; `upright` runs from bottom to top.
    Type { x: f32, y: f32, line: SetLine, grey: Grey, upright: bool },
    /// An outline.
    Stroke { path: Vec<Seg>, width: f32, dash: Option<[f32; 2]>, grey: Grey },
    /// A filled shape.
    Fill { path: Vec<Seg>, grey: Grey },
    /// Marks that show inside a shape only.
    Clip { path: Vec<Seg>, inner: Vec<Self> },
    /// A touchable area that leads to an anchor.
    Link { area: Rect, target: String },
    /// A place for a signature.
    Field { area: Rect, name: String, tip: String },
    /// The number of the page on which an anchor stands, set when all pages are known.
    PageOf { right: f32, y: f32, target: String },
}

/// A page: its marks and what is printed at head and foot.
#[derive(Debug, Clone, Default)]
pub(crate) struct Page {
    pub(crate) marks: Vec<Mark>,
    pub(crate) foot: String,
}

/// A line of the outline.
#[derive(Debug, Clone)]
pub(crate) struct OutlineItem {
    pub(crate) level: usize,
    pub(crate) title: String,
    pub(crate) page: usize,
    pub(crate) y: f32,
}

/// All pages, laid out.
#[derive(Debug, Clone, Default)]
pub(crate) struct Paper {
    pub(crate) pages: Vec<Page>,
    pub(crate) outline: Vec<OutlineItem>,
    /// Page index and height of each anchor.
    pub(crate) anchors: std::collections::BTreeMap<String, (usize, f32)>,
}

/// A straight stroke.
pub(crate) fn rule(x1: f32, y1: f32, x2: f32, y2: f32, width: f32, grey: Grey) -> Mark {
    Mark::Stroke { path: vec![Seg::Move(x1, y1), Seg::Line(x2, y2)], width, dash: None, grey }
}
