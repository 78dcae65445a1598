//! Tables: the header repeats on each page, and a row is split only when no page could hold it.

use super::flow::{BOTTOM, Flow, TOP, baseline};
use crate::RenderError;
use crate::draw::{HAIR, INK, Mark, Rect, SECOND, rule};
use crate::setting::{SetLine, Style};

const GUTTER: f32 = 10.0;
const PADDING: f32 = 4.5;
const CLOSE: f32 = 3.0;
const HEADER: f32 = 22.0;

/// A column.
pub(crate) struct Column {
    pub(crate) title: &'static str,
    /// Share of the table's width.
    pub(crate) share: f32,
    pub(crate) right: bool,
}

/// A column of a table, aligned left.
pub(crate) const fn left(title: &'static str, share: f32) -> Column {
    Column { title, share, right: false }
}

/// A column of a table, aligned right.
pub(crate) const fn right(title: &'static str, share: f32) -> Column {
    Column { title, share, right: true }
}

/// What stands in a cell: pieces one below the other.
#[derive(Debug, Clone, Default)]
pub(crate) struct Cell {
    pieces: Vec<(String, Style)>,
    page_of: Option<String>,
}

impl Cell {
    pub(crate) fn new(text: &str, style: Style) -> Self {
        Self::default().and(text, style)
    }
    pub(crate) fn text(text: &str) -> Self {
        Self::new(text, Style::TEXT)
    }
    pub(crate) fn strong(text: &str) -> Self {
        Self::new(text, Style::STRONG)
    }
    pub(crate) fn mono(text: &str) -> Self {
        Self::new(text, Style::MONO)
    }
    /// A further piece below; nothing when it is empty.
    pub(crate) fn and(mut self, text: &str, style: Style) -> Self {
        if !text.trim().is_empty() {
            self.pieces.push((text.to_owned(), style));
        }
        self
    }
    /// The number of the page on which an anchor stands.
    pub(crate) fn page_of(anchor: &str) -> Self {
        Self { pieces: Vec::new(), page_of: Some(anchor.to_owned()) }
    }
}

/// A row.
pub(crate) type Row = Vec<Cell>;

/// A row whose text has been set: for each cell its lines with their styles.
struct SetRow {
    cells: Vec<Vec<(SetLine, Style)>>,
    links: Vec<Option<String>>,
}

impl SetRow {
    fn height(&self, padding: f32) -> f32 {
        let cell = |c: &Vec<(SetLine, Style)>| c.iter().map(|(_, s)| s.leading).sum::<f32>();
        let tallest = self.cells.iter().map(cell).fold(0.0, f32::max);
        tallest.max(Style::TEXT.leading) + 2.0 * padding
    }

    /// Takes off the lines that fit into `height`; at least one.
    fn split(&mut self, height: f32, padding: f32) -> Self {
        let mut head = Self { cells: Vec::new(), links: self.links.clone() };
        for cell in &mut self.cells {
            let mut used = 2.0 * padding;
            let mut n = 0;
            for (_, style) in cell.iter() {
                used += style.leading;
                if used > height && n > 0 {
                    break;
                }
                n += 1;
            }
            let rest = cell.split_off(n.min(cell.len()));
            head.cells.push(std::mem::replace(cell, rest));
        }
        self.links = vec![None; self.links.len()];
        head
    }

    fn is_empty(&self) -> bool {
        self.cells.iter().all(Vec::is_empty)
    }
}

impl Flow<'_> {
    /// Sets a table. Without column titles it has a head rule and no header.
    pub(crate) fn table(&mut self, columns: &[Column], rows: &[Row]) -> Result<(), RenderError> {
        self.padded_table(columns, rows, PADDING)
    }

    /// Sets a table that has to keep to its page: rows stand closer.
    pub(crate) fn close_table(
        &mut self,
        columns: &[Column],
        rows: &[Row],
    ) -> Result<(), RenderError> {
        self.padded_table(columns, rows, CLOSE)
    }

    fn padded_table(
        &mut self,
        columns: &[Column],
        rows: &[Row],
        padding: f32,
    ) -> Result<(), RenderError> {
        let mut fresh = true;
        let mut page_top = false;
        for row in rows {
            let mut row = self.set_row(columns, row)?;
            let header = header_height(columns);
            let mut height = row.height(padding);
            let lead = if fresh { header } else { 0.0 };
            if self.y + lead + height > BOTTOM {
                let page = BOTTOM - TOP - header;
                if height <= page || self.y + lead + 60.0 > BOTTOM {
                    self.new_page()?;
                    fresh = true;
                }
                while height > page.min(BOTTOM - self.y) && height > 60.0 {
                    if fresh {
                        self.header(columns)?;
                    }
                    let head = row.split(BOTTOM - self.y, padding);
                    self.draw_row(columns, head, (!fresh, padding));
                    if row.is_empty() {
                        break;
                    }
                    height = row.height(padding);
                    self.new_page()?;
                    fresh = true;
                }
            }
            self.need(1.0)?;
            if fresh {
                self.header(columns)?;
                page_top = true;
            }
            self.draw_row(columns, row, (!(fresh || page_top), padding));
            fresh = false;
            page_top = false;
        }
        Ok(())
    }

    fn header(&mut self, columns: &[Column]) -> Result<(), RenderError> {
        let style = Style::SMALL_STRONG;
        if header_height(columns) > 2.0 {
            let mut x = self.left;
            for column in columns {
                let width = column.share * self.width;
                let line = self.setter.line(column.title, style)?;
                let at = if column.right { x + width - GUTTER - line.width } else { x };
                let y = baseline(self.y + 2.0, style);
                self.put(at, y, line, SECOND);
                x += width;
            }
            self.y += HEADER - 1.0;
        }
        self.mark(rule(self.left, self.y, self.left + self.width, self.y, 1.6, INK));
        self.y += 1.0;
        Ok(())
    }

    fn set_row(&mut self, columns: &[Column], row: &Row) -> Result<SetRow, RenderError> {
        let mut set = SetRow { cells: Vec::new(), links: Vec::new() };
        for (cell, column) in row.iter().zip(columns) {
            let mut lines = Vec::new();
            for (text, style) in &cell.pieces {
                let width = column.share * self.width - GUTTER;
                let set = self.setter.set(text, *style, Some(width))?;
                lines.extend(set.into_iter().map(|line| (line, *style)));
            }
            set.cells.push(lines);
            set.links.push(cell.page_of.clone());
        }
        Ok(set)
    }

    fn draw_row(&mut self, columns: &[Column], row: SetRow, (ruled, padding): (bool, f32)) {
        let height = row.height(padding);
        if ruled {
            self.mark(rule(self.left, self.y, self.left + self.width, self.y, 0.8, HAIR));
        }
        let mut x = self.left;
        for ((cell, link), column) in row.cells.into_iter().zip(row.links).zip(columns) {
            let width = column.share * self.width;
            let mut top = self.y + padding;
            for (line, style) in cell {
                let at = if column.right { x + width - GUTTER - line.width } else { x };
                self.put(at, baseline(top, style), line, INK);
                top += style.leading;
            }
            if let Some(target) = link {
                let y = baseline(self.y + padding, Style::TEXT);
                let area = Rect { x, y: self.y, width, height };
                self.mark(Mark::Link { area, target: target.clone() });
                self.mark(Mark::PageOf { right: x + width - GUTTER, y, target });
            }
            x += width;
        }
        self.y += height;
    }
}

fn header_height(columns: &[Column]) -> f32 {
    if columns.iter().all(|c| c.title.is_empty()) { 1.0 } else { HEADER }
}
