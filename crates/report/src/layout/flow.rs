//! The flow: a place on a page that moves down as things are set, and turns the page when full.

use crate::RenderError;
use crate::draw::{INK, Mark, OutlineItem, Page, Paper, SECOND, rule};
use crate::figure::Drawing;
use crate::setting::{Face, SetLine, Setter, Style};

/// Left edge of the text.
pub(crate) const LEFT: f32 = 84.0;
/// Right edge of the text.
pub(crate) const RIGHT: f32 = 738.0;
/// Width of the text.
pub(crate) const WIDTH: f32 = RIGHT - LEFT;
/// Where the text begins.
pub(crate) const TOP: f32 = 100.0;
/// Where it ends.
pub(crate) const BOTTOM: f32 = 1056.0;

/// The baseline of a line whose slot starts at `top`.
pub(crate) fn baseline(top: f32, style: Style) -> f32 {
    top + style.leading / 2.0 + style.size * 0.345
}

/// Lays things out one below the other.
pub(crate) struct Flow<'s> {
    pub(crate) setter: &'s mut Setter,
    paper: Paper,
    pub(crate) y: f32,
    pub(crate) left: f32,
    pub(crate) width: f32,
    head: (String, String),
    foot: String,
    margin: String,
}

impl<'s> Flow<'s> {
    pub(crate) fn new(setter: &'s mut Setter, margin: String) -> Self {
        Self {
            setter,
            paper: Paper::default(),
            y: TOP,
            left: LEFT,
            width: WIDTH,
            head: (String::new(), String::new()),
            foot: String::new(),
            margin,
        }
    }

    pub(crate) fn finish(self) -> Paper {
        self.paper
    }

    /// Sets what stands at head and foot from the next page on.
    pub(crate) fn running(&mut self, left: &str, right: &str, foot: &str) {
        self.head = (left.to_owned(), right.to_owned());
        foot.clone_into(&mut self.foot);
    }

    /// Turns the page.
    pub(crate) fn new_page(&mut self) -> Result<(), RenderError> {
        self.paper.pages.push(Page { foot: self.foot.clone(), ..Page::default() });
        let (left, right) = self.head.clone();
        let right = self.setter.line(&right, Style::STRONG)?;
        let x = RIGHT - right.width;
        self.put(x, 65.0, right, INK);
        let room = x - LEFT - 20.0;
        if let Some(line) = self.setter.set(&left, Style::TEXT, Some(room))?.into_iter().next() {
            self.put(LEFT, 65.0, line, INK);
        }
        self.mark(rule(LEFT, 79.0, RIGHT, 79.0, 2.0, INK));
        let margin = self.setter.line(&self.margin.clone(), Style::new(Face::Text, 10.5, 14.0))?;
        let y = 52.0 + margin.width;
        self.mark(Mark::Type { x: 46.0, y, line: margin, grey: SECOND, upright: true });
        self.y = TOP;
        Ok(())
    }

    /// Turns the page unless `height` still fits.
    pub(crate) fn need(&mut self, height: f32) -> Result<(), RenderError> {
        if self.paper.pages.is_empty() || self.y + height > BOTTOM {
            self.new_page()?;
        }
        Ok(())
    }

    pub(crate) fn at_top(&self) -> bool {
        self.y <= TOP + 0.5
    }

    pub(crate) fn gap(&mut self, height: f32) {
        if !self.at_top() {
            self.y += height;
        }
    }

    pub(crate) fn mark(&mut self, mark: Mark) {
        if let Some(page) = self.paper.pages.last_mut() {
            page.marks.push(mark);
        }
    }

    pub(crate) fn put(&mut self, x: f32, y: f32, line: SetLine, grey: f32) {
        self.mark(Mark::Type { x, y, line, grey, upright: false });
    }

    /// Makes the current place a target.
    pub(crate) fn anchor(&mut self, name: &str) {
        let page = self.paper.pages.len().saturating_sub(1);
        self.paper.anchors.entry(name.to_owned()).or_insert((page, self.y));
    }

    /// Adds a line to the outline that leads here.
    pub(crate) fn outline(&mut self, level: usize, title: &str) {
        let page = self.paper.pages.len().saturating_sub(1);
        let item = OutlineItem { level, title: title.to_owned(), page, y: self.y };
        self.paper.outline.push(item);
    }

    /// A section title that stays with at least `keep` of what follows.
    pub(crate) fn section(&mut self, title: &str, keep: f32) -> Result<(), RenderError> {
        self.need(22.0 + 20.0 + keep)?;
        self.gap(22.0);
        let lines = self.setter.set(title, Style::SECTION, Some(self.width))?;
        for line in lines {
            let y = baseline(self.y, Style::SECTION);
            self.put(self.left, y, line, INK);
            self.y += Style::SECTION.leading;
        }
        self.y += 4.0;
        Ok(())
    }

    /// A paragraph; its lines may break over pages.
    pub(crate) fn paragraph(&mut self, text: &str, style: Style) -> Result<(), RenderError> {
        let (left, width) = (self.left, self.width);
        self.text_in(text, style, left, width)
    }

    /// A paragraph in a column of its own.
    pub(crate) fn text_in(
        &mut self,
        text: &str,
        style: Style,
        left: f32,
        width: f32,
    ) -> Result<(), RenderError> {
        for line in self.setter.set(text, style, Some(width))? {
            self.need(style.leading)?;
            let y = baseline(self.y, style);
            self.put(left, y, line, INK);
            self.y += style.leading;
        }
        Ok(())
    }

    /// Paragraphs with a rule between them, each with an indented dash.
    pub(crate) fn items(&mut self, texts: &[String]) -> Result<(), RenderError> {
        for text in texts.iter().filter(|t| !t.trim().is_empty()) {
            self.need(Style::TEXT.leading)?;
            let dash = self.setter.line("\u{2013}", Style::TEXT)?;
            let y = baseline(self.y, Style::TEXT);
            self.put(self.left, y, dash, INK);
            let (left, width) = (self.left + 16.0, self.width - 16.0);
            self.text_in(text, Style::TEXT, left, width)?;
            self.y += 4.0;
        }
        Ok(())
    }

    /// A drawing, scaled to the height that it needs at `scale`.
    pub(crate) fn drawing(&mut self, drawing: &Drawing, scale: f32) -> Result<(), RenderError> {
        let height = drawing.height() * scale;
        self.need(height)?;
        for mark in drawing.place(self.setter, self.left, self.y, scale)? {
            self.mark(mark);
        }
        self.y += height;
        Ok(())
    }

    /// Sets a block; if it broke over a page, sets it again at the top of a fresh one.
    pub(crate) fn together(
        &mut self,
        block: impl Fn(&mut Self) -> Result<(), RenderError>,
    ) -> Result<(), RenderError> {
        self.need(1.0)?;
        let (pages, y, top) = (self.paper.pages.len(), self.y, self.at_top());
        let marks = self.paper.pages.last().map_or(0, |p| p.marks.len());
        let (anchors, outline) = (self.paper.anchors.clone(), self.paper.outline.len());
        block(self)?;
        if self.paper.pages.len() > pages && !top {
            self.paper.pages.truncate(pages);
            if let Some(page) = self.paper.pages.last_mut() {
                page.marks.truncate(marks);
            }
            self.paper.anchors = anchors;
            self.paper.outline.truncate(outline);
            self.y = y;
            self.new_page()?;
            block(self)?;
        }
        Ok(())
    }

    /// Two columns side by side, kept on one page where they fit on one.
    pub(crate) fn columns(
        &mut self,
        gap: f32,
        left: impl Fn(&mut Self) -> Result<(), RenderError>,
        right: impl Fn(&mut Self) -> Result<(), RenderError>,
    ) -> Result<(), RenderError> {
        let (from, width) = (self.left, self.width);
        let half = (width - gap) / 2.0;
        self.together(|flow| {
            let (pages, y) = (flow.paper.pages.len(), flow.y);
            flow.width = half;
            left(flow)?;
            let low = flow.y;
            // A column that turned the page takes the other one below it, not beside it.
            let same = flow.paper.pages.len() == pages;
            if same {
                flow.y = y;
                flow.left = from + half + gap;
            } else {
                flow.width = width;
            }
            right(flow)?;
            if same && flow.paper.pages.len() == pages {
                flow.y = flow.y.max(low);
            }
            (flow.left, flow.width) = (from, width);
            Ok(())
        })
    }
}
