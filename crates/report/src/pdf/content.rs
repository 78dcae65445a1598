//! Content streams: marks as operators, in points from the bottom left.

use std::fmt::Write as _;

use super::SCALE;
use super::fonts::FontSet;
use crate::draw::{Grey, Mark, Seg};
use crate::figure::num3;
use crate::setting::{Face, SetLine};

/// Writes the content of a page or of a signature's appearance.
pub(crate) struct Content<'f> {
    fonts: &'f FontSet,
    /// Height of the area, in points.
    height: f32,
    out: String,
    font: Option<(Face, String)>,
    fill: Grey,
    stroke: Grey,
}

/// A number with at most three decimals.
pub(crate) fn num(value: f32) -> String {
    num3(value)
}

impl<'f> Content<'f> {
    pub(crate) fn new(fonts: &'f FontSet, height: f32) -> Self {
        Self { fonts, height, out: String::new(), font: None, fill: 0.0, stroke: 0.0 }
    }

    pub(crate) fn finish(self) -> Vec<u8> {
        self.out.into_bytes()
    }

    fn op(&mut self, what: std::fmt::Arguments<'_>) {
        // Writing to a String cannot fail.
        let _ = self.out.write_fmt(what);
        self.out.push('\n');
    }

    fn x(&self, x: f32) -> String {
        num(x * SCALE)
    }

    fn y(&self, y: f32) -> String {
        num(self.height - y * SCALE)
    }

    fn path(&mut self, path: &[Seg]) {
        for seg in path {
            match *seg {
                Seg::Move(x, y) => self.op(format_args!("{} {} m", self.x(x), self.y(y))),
                Seg::Line(x, y) => self.op(format_args!("{} {} l", self.x(x), self.y(y))),
                Seg::Curve([a, b, c, d, e, f]) => {
                    let [a, c, e] = [a, c, e].map(|v| self.x(v));
                    let [b, d, f] = [b, d, f].map(|v| self.y(v));
                    self.op(format_args!("{a} {b} {c} {d} {e} {f} c"));
                }
                Seg::Close => self.op(format_args!("h")),
            }
        }
    }

    fn set_fill(&mut self, grey: Grey) {
        if (self.fill - grey).abs() > 0.001 {
            self.fill = grey;
            self.op(format_args!("{} g", num(grey)));
        }
    }

    /// Writes marks in order.
    pub(crate) fn marks(&mut self, marks: &[Mark]) {
        for mark in marks {
            match mark {
                Mark::Type { x, y, line, grey, upright } => {
                    self.set_fill(*grey);
                    self.line(*x, *y, line, *upright);
                }
                Mark::Fill { path, grey } => {
                    self.set_fill(*grey);
                    self.path(path);
                    self.op(format_args!("f"));
                }
                Mark::Stroke { path, width, dash, grey } => {
                    if (self.stroke - grey).abs() > 0.001 {
                        self.stroke = *grey;
                        self.op(format_args!("{} G", num(*grey)));
                    }
                    let dash = dash.map_or(String::new(), |[on, off]| {
                        format!("{} {}", num(on * SCALE), num(off * SCALE))
                    });
                    self.op(format_args!("{} w [{dash}] 0 d", num(width * SCALE)));
                    self.path(path);
                    self.op(format_args!("S"));
                }
                Mark::Clip { path, inner } => {
                    let state = (self.font.clone(), self.fill, self.stroke);
                    self.op(format_args!("q"));
                    self.path(path);
                    self.op(format_args!("W n"));
                    self.marks(inner);
                    self.op(format_args!("Q"));
                    (self.font, self.fill, self.stroke) = state;
                }
                Mark::Link { .. } | Mark::Field { .. } | Mark::PageOf { .. } => {}
            }
        }
    }

    /// A line of type: one text object for each run of a face.
    fn line(&mut self, x: f32, y: f32, line: &SetLine, upright: bool) {
        let mut glyphs = line.glyphs.as_slice();
        while let Some(first) = glyphs.first() {
            let same = |g: &&crate::setting::SetGlyph| {
                g.face == first.face && (g.y - first.y).abs() < 0.001
            };
            let n = glyphs.iter().take_while(same).count();
            let (run, rest) = glyphs.split_at(n.max(1));
            let size = num(line.size * SCALE);
            self.op(format_args!("BT"));
            if self.font.as_ref() != Some(&(first.face, size.clone())) {
                self.op(format_args!("/{} {size} Tf", FontSet::name(first.face)));
                self.font = Some((first.face, size));
            }
            if upright {
                let (tx, ty) = (self.x(x - first.y), self.y(y - first.x));
                self.op(format_args!("0 1 -1 0 {tx} {ty} Tm"));
            } else {
                let (tx, ty) = (self.x(x + first.x), self.y(y - first.y));
                self.op(format_args!("1 0 0 1 {tx} {ty} Tm"));
            }
            self.run(run, line.size);
            self.op(format_args!("ET"));
            glyphs = rest;
        }
    }

    fn run(&mut self, run: &[crate::setting::SetGlyph], size: f32) {
        let origin = run.first().map_or(0.0, |g| g.x);
        // Where the reader's pen stands, in thousandths of the size.
        let mut pen = 0.0_f32;
        let mut hex = String::new();
        let mut array = String::from("[");
        for glyph in run {
            let Some((code, width)) = self.fonts.code(glyph) else { continue };
            let want = (glyph.x - origin) / size * 1000.0;
            // Less than this is not seen, and rounding of widths alone makes it.
            if (want - pen).abs() > 1.5 {
                if !hex.is_empty() {
                    let _ = write!(array, "<{hex}>");
                    hex.clear();
                }
                let kern = num(libm::roundf(pen - want));
                let _ = write!(array, "{kern}");
                pen = libm::roundf(want - pen) + pen;
            }
            let _ = write!(hex, "{code:04X}");
            pen += f32::from(i16::try_from(width).unwrap_or(0));
        }
        let _ = write!(array, "<{hex}>]");
        self.op(format_args!("{array} TJ"));
    }
}
