//! A drawing: shapes in its own unit, before it is known whether it goes to screen or paper.

use crate::RenderError;
use crate::draw::{FAINT, Grey, INK, Mark, PAPER, SECOND, Seg};
use crate::setting::{Face, Setter, Style};

/// What a shape means to the eye; screen themes colour these, paper prints them in greys.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tone {
    Ink,
    Second,
    Faint,
    Ground,
    /// Red on screen: locks and A findings.
    Stop,
    /// Yellow on screen: caution, and the sun itself.
    Caution,
    /// A step of lightness of a map: 0 is nearly the ground, 6 nearly the ink.
    Step(u8),
}

impl Tone {
    fn grey(self) -> Grey {
        match self {
            Self::Ink | Self::Stop => INK,
            Self::Second | Self::Caution => SECOND,
            Self::Faint => FAINT,
            Self::Ground => PAPER,
            Self::Step(step) => STEP.get(usize::from(step)).copied().unwrap_or(INK),
        }
    }
}

/// Greys of the steps of a map.
const STEP: [Grey; 7] = [0.97, 0.84, 0.7, 0.55, 0.39, 0.23, 0.08];

/// Where a label's text stands from its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A shape of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    Fill {
        path: Vec<Seg>,
        tone: Tone,
    },
    Stroke {
        path: Vec<Seg>,
        width: f32,
        dash: Option<[f32; 2]>,
        tone: Tone,
    },
    Clip {
        path: Vec<Seg>,
        inner: Vec<Self>,
    },
    Label {
        x: f32,
        y: f32,
        size: f32,
        face: Face,
        anchor: Anchor,
        tone: Tone,
        text: String,
    },
    /// A place that can be touched on a screen, named for those who don't see it. Paper draws
    /// `inner` alone.
    Target {
        id: String,
        label: String,
        inner: Vec<Self>,
    },
}

/// A figure, ready for screen or paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Left, top, width, height of what is shown, in the drawing's unit.
    pub(crate) view: [f32; 4],
    pub(crate) shapes: Vec<Shape>,
    /// What it shows, in words, for those who don't see it.
    pub(crate) name: String,
}

impl Drawing {
    /// Puts the drawing on a page, its view's top left at `x`, `y`.
    pub(crate) fn place(
        &self,
        setter: &mut Setter,
        x: f32,
        y: f32,
        scale: f32,
    ) -> Result<Vec<Mark>, RenderError> {
        let at = Place { dx: x - self.view[0] * scale, dy: y - self.view[1] * scale, scale };
        place_all(&self.shapes, setter, &at)
    }

    pub(crate) fn height(&self) -> f32 {
        self.view[3]
    }

    /// Whether any part of it can be touched.
    pub(crate) fn has_targets(&self) -> bool {
        holds_target(&self.shapes)
    }
}

fn holds_target(shapes: &[Shape]) -> bool {
    shapes.iter().any(|shape| match shape {
        Shape::Target { .. } => true,
        Shape::Clip { inner, .. } => holds_target(inner),
        Shape::Fill { .. } | Shape::Stroke { .. } | Shape::Label { .. } => false,
    })
}

struct Place {
    dx: f32,
    dy: f32,
    scale: f32,
}

impl Place {
    fn x(&self, x: f32) -> f32 {
        self.dx + x * self.scale
    }
    fn y(&self, y: f32) -> f32 {
        self.dy + y * self.scale
    }
    fn path(&self, path: &[Seg]) -> Vec<Seg> {
        path.iter()
            .map(|seg| match *seg {
                Seg::Move(x, y) => Seg::Move(self.x(x), self.y(y)),
                Seg::Line(x, y) => Seg::Line(self.x(x), self.y(y)),
                Seg::Curve([a, b, c, d, e, f]) => {
                    Seg::Curve([self.x(a), self.y(b), self.x(c), self.y(d), self.x(e), self.y(f)])
                }
                Seg::Close => Seg::Close,
            })
            .collect()
    }
}

fn place_all(shapes: &[Shape], setter: &mut Setter, at: &Place) -> Result<Vec<Mark>, RenderError> {
    let mut marks = Vec::with_capacity(shapes.len());
    for shape in shapes {
        marks.push(match shape {
            Shape::Target { inner, .. } => {
                marks.extend(place_all(inner, setter, at)?);
                continue;
            }
            Shape::Fill { path, tone } => Mark::Fill { path: at.path(path), grey: tone.grey() },
            Shape::Stroke { path, width, dash, tone } => Mark::Stroke {
                path: at.path(path),
                width: width * at.scale,
                dash: dash.map(|[on, off]| [on * at.scale, off * at.scale]),
                grey: tone.grey(),
            },
            Shape::Clip { path, inner } => {
                Mark::Clip { path: at.path(path), inner: place_all(inner, setter, at)? }
            }
            Shape::Label { x, y, size, face, anchor, tone, text } => {
                let size = size * at.scale;
                let line = setter.line(text, Style::new(*face, size, size * 1.3))?;
                let shift = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => line.width / 2.0,
                    Anchor::End => line.width,
                };
                let (x, y) = (at.x(*x) - shift, at.y(*y));
                Mark::Type { x, y, line, grey: tone.grey(), upright: false }
            }
        });
    }
    Ok(marks)
}

/// A circle as four curves.
pub(crate) fn circle(cx: f32, cy: f32, r: f32) -> Vec<Seg> {
    let k = r * 0.552_285;
    vec![
        Seg::Move(cx + r, cy),
        Seg::Curve([cx + r, cy + k, cx + k, cy + r, cx, cy + r]),
        Seg::Curve([cx - k, cy + r, cx - r, cy + k, cx - r, cy]),
        Seg::Curve([cx - r, cy - k, cx - k, cy - r, cx, cy - r]),
        Seg::Curve([cx + k, cy - r, cx + r, cy - k, cx + r, cy]),
        Seg::Close,
    ]
}

/// Straight lines through points.
pub(crate) fn polyline(points: &[(f32, f32)], closed: bool) -> Vec<Seg> {
    let mut path: Vec<Seg> = points
        .iter()
        .enumerate()
        .map(|(i, (x, y))| if i == 0 { Seg::Move(*x, *y) } else { Seg::Line(*x, *y) })
        .collect();
    if closed {
        path.push(Seg::Close);
    }
    path
}
