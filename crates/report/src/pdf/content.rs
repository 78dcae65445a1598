//! Page content: marks as operations of `printpdf`, in points from the bottom left.

use printpdf::{
    Codepoint, Color, Greyscale, Line, LineDashPattern, LinePoint, Op, PaintMode, PdfFontHandle,
    Point, Polygon, PolygonRing, Pt, TextItem, TextMatrix, WindingOrder,
};

use super::SCALE;
use super::fonts::FontSet;
use crate::draw::{Grey, Mark, Seg};
use crate::setting::{Face, SetGlyph, SetLine};

/// Turns marks into the operations of one page.
pub(super) struct Content<'f> {
    fonts: &'f FontSet,
    /// Height of the area, in points.
    height: f32,
    ops: Vec<Op>,
    font: Option<(Face, f32)>,
    fill: Grey,
    stroke: Grey,
}

/// A number at three decimals: `printpdf` writes every digit that it is given.
pub(super) fn rounded(value: f32) -> f32 {
    // Adding zero turns a negative zero, which would be written with its sign, into zero.
    libm::roundf(value * 1000.0) / 1000.0 + 0.0
}

fn paint(grey: Grey) -> Color {
    Color::Greyscale(Greyscale::new(rounded(grey), None))
}

impl<'f> Content<'f> {
    pub(super) fn new(fonts: &'f FontSet, height: f32) -> Self {
        Self { fonts, height, ops: Vec::new(), font: None, fill: 0.0, stroke: 0.0 }
    }

    pub(super) fn finish(self) -> Vec<Op> {
        self.ops
    }

    /// A place on the page, in points.
    fn place(&self, x: f32, y: f32) -> Point {
        Point { x: Pt(rounded(x * SCALE)), y: Pt(rounded(self.height - y * SCALE)) }
    }

    /// The parts of a path. Each begins with a move, which every path of the draw list does.
    fn parts(&self, path: &[Seg]) -> Vec<Line> {
        let mut parts: Vec<Line> = Vec::new();
        let point = |x, y, bezier| LinePoint { p: self.place(x, y), bezier };
        for seg in path {
            if let Seg::Move(x, y) = *seg {
                parts.push(Line { points: vec![point(x, y, false)], is_closed: false });
                continue;
            }
            let Some(part) = parts.last_mut() else { continue };
            match *seg {
                Seg::Move(x, y) | Seg::Line(x, y) => part.points.push(point(x, y, false)),
                Seg::Curve([a, b, c, d, e, f]) => {
                    part.points.extend([point(a, b, true), point(c, d, true), point(e, f, false)]);
                }
                Seg::Close => part.is_closed = true,
            }
        }
        parts
    }

    fn area(&self, path: &[Seg], mode: PaintMode) -> Op {
        let rings =
            self.parts(path).into_iter().map(|part| PolygonRing { points: part.points }).collect();
        Op::DrawPolygon { polygon: Polygon { rings, mode, winding_order: WindingOrder::NonZero } }
    }

    fn set_fill(&mut self, grey: Grey) {
        if (self.fill - grey).abs() > 0.001 {
            self.fill = grey;
            self.ops.push(Op::SetFillColor { col: paint(grey) });
        }
    }

    /// Adds marks in order. Links and fields are no content: they are added to the file later.
    pub(super) fn marks(&mut self, marks: &[Mark]) {
        for mark in marks {
            match mark {
                Mark::Type { x, y, line, grey, upright } => {
                    self.set_fill(*grey);
                    self.line(*x, *y, line, *upright);
                }
                Mark::Fill { path, grey } => {
                    self.set_fill(*grey);
                    let area = self.area(path, PaintMode::Fill);
                    self.ops.push(area);
                }
                Mark::Stroke { path, width, dash, grey } => {
                    self.stroke(path, *width, *dash, *grey);
                }
                Mark::Clip { path, inner } => {
                    let (fill, stroke) = (self.fill, self.stroke);
                    self.ops.push(Op::SaveGraphicsState);
                    let area = self.area(path, PaintMode::Clip);
                    self.ops.push(area);
                    self.marks(inner);
                    self.ops.push(Op::RestoreGraphicsState);
                    // `printpdf` takes the font for the last one that was set, whatever was
                    // restored, and codes the glyphs that follow by it: it is set again.
                    (self.font, self.fill, self.stroke) = (None, fill, stroke);
                }
                Mark::Link { .. } | Mark::Field { .. } | Mark::PageOf { .. } => {}
            }
        }
    }

    fn stroke(&mut self, path: &[Seg], width: f32, dash: Option<[f32; 2]>, grey: Grey) {
        if (self.stroke - grey).abs() > 0.001 {
            self.stroke = grey;
            self.ops.push(Op::SetOutlineColor { col: paint(grey) });
        }
        let dash = dash.map_or_else(LineDashPattern::solid, |lengths| {
            LineDashPattern::new(0.0, &lengths.map(|length| rounded(length * SCALE)))
        });
        self.ops.push(Op::SetOutlineThickness { pt: Pt(rounded(width * SCALE)) });
        self.ops.push(Op::SetLineDashPattern { dash });
        let lines = self.parts(path).into_iter().map(|line| Op::DrawLine { line });
        self.ops.extend(lines);
    }

    /// A line of type: one text object for each run of a face.
    fn line(&mut self, x: f32, y: f32, line: &SetLine, upright: bool) {
        let mut glyphs = line.glyphs.as_slice();
        while let Some(first) = glyphs.first() {
            let same = |g: &&SetGlyph| g.face == first.face && (g.y - first.y).abs() < 0.001;
            let n = glyphs.iter().take_while(same).count();
            let (run, rest) = glyphs.split_at(n.max(1));
            self.ops.push(Op::StartTextSection);
            let size = rounded(line.size * SCALE);
            if self.font.is_none_or(|(face, old)| face != first.face || (old - size).abs() > 0.0001)
            {
                let font = PdfFontHandle::External(FontSet::id(first.face));
                self.ops.push(Op::SetFont { font, size: Pt(size) });
                self.font = Some((first.face, size));
            }
            let matrix = if upright {
                let Point { x, y } = self.place(x - first.y, y - first.x);
                TextMatrix::Raw([0.0, 1.0, -1.0, 0.0, x.0, y.0])
            } else {
                let Point { x, y } = self.place(x + first.x, y - first.y);
                TextMatrix::Translate(x, y)
            };
            self.ops.push(Op::SetTextMatrix { matrix });
            let items = vec![TextItem::GlyphIds(self.run(run, line.size))];
            self.ops.push(Op::ShowText { items });
            self.ops.push(Op::EndTextSection);
            glyphs = rest;
        }
    }

    /// The codes of a run, each with what moves the pen to where shaping wants the next glyph.
    fn run(&self, run: &[SetGlyph], size: f32) -> Vec<Codepoint> {
        let origin = run.first().map_or(0.0, |g| g.x);
        // Where the reader's pen stands, in thousandths of the size.
        let mut pen = 0.0_f32;
        let mut codes: Vec<Codepoint> = Vec::with_capacity(run.len());
        for glyph in run {
            let Some((code, width)) = self.fonts.code(glyph) else { continue };
            let want = (glyph.x - origin) / size * 1000.0;
            // Less than this is not seen, and rounding of widths alone makes it.
            if (want - pen).abs() > 1.5
                && let Some(before) = codes.last_mut()
            {
                before.offset = libm::roundf(pen - want) + 0.0;
                pen -= before.offset;
            }
            codes.push(Codepoint::with_cid(code, 0.0, glyph.text.clone()));
            pen += f32::from(width);
        }
        codes
    }
}
