//! Tables whose columns are not known beforehand: as wide as what stands in them, in the largest
//! type that fits, with the head repeated on each page.

use super::flow::{BOTTOM, Flow, TOP, baseline};
use crate::RenderError;
use crate::draw::{HAIR, INK, SECOND, rule};
use crate::setting::{Face, SetLine, Style};

const GUTTER: f32 = 9.0;
/// Size and leading, the largest first.
const SIZES: [(f32, f32); 4] = [(11.5, 15.0), (10.5, 13.5), (9.5, 12.0), (8.5, 11.0)];
/// A table of more rows than these is set closer.
pub(crate) const LONG: usize = 40;

/// A column as set: how wide, and whether its texts are numbers.
struct Lane {
    width: f32,
    numbers: bool,
}

/// A row as set: the lines of each cell.
type SetRow = Vec<Vec<SetLine>>;

impl Flow<'_> {
    /// Sets a table of texts under their heads.
    pub(crate) fn grid(
        &mut self,
        heads: &[String],
        rows: &[Vec<String>],
    ) -> Result<(), RenderError> {
        let padding = if rows.len() > LONG { 1.2 } else { 3.5 };
        let lines = self.one_line_each(rows)?;
        let numbers: Vec<bool> = (0..heads.len()).map(|i| is_numbers(rows, i)).collect();
        let (style, lanes) = self.lanes(heads, &lines, &numbers)?;
        let head = self.set_cells(heads, &lanes, Style { face: Face::Strong, ..style })?;
        self.need(height(&head, style) + 3.0 * style.leading)?;
        self.grid_head(&head, &lanes, style);
        let mut first = true;
        for (texts, lines) in rows.iter().zip(lines) {
            let mut row = self.set_row_in(texts, lines, &lanes, style)?;
            let whole = height(&row, style) + 2.0 * padding;
            let page = BOTTOM - TOP - height(&head, style) - 8.0;
            if self.y + whole > BOTTOM && (whole <= page || self.y + 60.0 > BOTTOM) {
                self.new_page()?;
                self.grid_head(&head, &lanes, style);
                first = true;
            }
            // A row that no page could hold goes on over the next.
            while height(&row, style) + 2.0 * padding > BOTTOM - self.y && self.y + 60.0 <= BOTTOM {
                let rest = split(&mut row, style, BOTTOM - self.y - 2.0 * padding);
                self.grid_row(&row, &lanes, style, (padding, first));
                row = rest;
                self.new_page()?;
                self.grid_head(&head, &lanes, style);
                first = true;
            }
            self.grid_row(&row, &lanes, style, (padding, first));
            first = false;
        }
        Ok(())
    }

    /// Every cell as one line in the largest type.
    fn one_line_each(&mut self, rows: &[Vec<String>]) -> Result<Vec<Vec<SetLine>>, RenderError> {
        let style = Style::new(Face::Text, SIZES[0].0, SIZES[0].1);
        rows.iter()
            .map(|row| row.iter().map(|text| self.setter.line(text, style)).collect())
            .collect()
    }

    /// The largest type in which the table fits, with the width of each column. Where none fits,
    /// the widest columns of words are broken.
    fn lanes(
        &mut self,
        heads: &[String],
        lines: &[Vec<SetLine>],
        numbers: &[bool],
    ) -> Result<(Style, Vec<Lane>), RenderError> {
        let big = Style::new(Face::Strong, SIZES[0].0, SIZES[0].1);
        let mut wide = Vec::new();
        for (i, head) in heads.iter().enumerate() {
            // A head breaks between its words.
            let mut widest = 0.0_f32;
            for word in head.split_whitespace() {
                widest = widest.max(self.setter.line(word, big)?.width);
            }
            let body = lines.iter().filter_map(|row| row.get(i)).map(|line| line.width);
            wide.push(body.fold(widest, f32::max));
        }
        let room = self.width - GUTTER * super::count(heads.len());
        let sum: f32 = wide.iter().sum();
        let fits = |(size, _): &(f32, f32)| sum * size / SIZES[0].0 <= room;
        let (size, leading) = SIZES.into_iter().find(fits).unwrap_or(SIZES[3]);
        for width in &mut wide {
            *width *= size / SIZES[0].0;
        }
        let sum: f32 = wide.iter().sum();
        if sum > room {
            narrow(&mut wide, numbers, room);
        } else {
            let more = (room - sum) / super::count(wide.len().max(1));
            for width in &mut wide {
                *width += more;
            }
        }
        let lanes = wide
            .into_iter()
            .zip(numbers)
            .map(|(width, numbers)| Lane { width: width + GUTTER, numbers: *numbers })
            .collect();
        Ok((Style::new(Face::Text, size, leading), lanes))
    }

    fn set_cells(
        &mut self,
        texts: &[String],
        lanes: &[Lane],
        style: Style,
    ) -> Result<SetRow, RenderError> {
        texts
            .iter()
            .zip(lanes)
            .map(|(text, lane)| self.setter.set(text, style, Some(lane.width - GUTTER + 0.5)))
            .collect()
    }

    /// The cells of a row; what was set as one line and fits stays so.
    fn set_row_in(
        &mut self,
        texts: &[String],
        lines: Vec<SetLine>,
        lanes: &[Lane],
        style: Style,
    ) -> Result<SetRow, RenderError> {
        let mut row = Vec::new();
        for ((text, line), lane) in texts.iter().zip(lines).zip(lanes) {
            let line = line.at_size(style.size);
            let room = lane.width - GUTTER + 0.5;
            row.push(if line.width <= room && !text.contains('\n') {
                vec![line]
            } else {
                self.setter.set(text, style, Some(room))?
            });
        }
        Ok(row)
    }

    fn grid_head(&mut self, head: &SetRow, lanes: &[Lane], style: Style) {
        let top = self.y;
        let tall = height(head, style);
        let mut x = self.left;
        for (cell, lane) in head.iter().zip(lanes) {
            // Heads stand on the rule below them.
            let lines = super::count(cell.len());
            let mut y = top + tall - lines * style.leading;
            for line in cell {
                let at = if lane.numbers { x + lane.width - GUTTER - line.width } else { x };
                self.put(at, baseline(y, style), line.clone(), SECOND);
                y += style.leading;
            }
            x += lane.width;
        }
        self.y = top + tall + 3.0;
        self.mark(rule(self.left, self.y, self.left + self.width, self.y, 1.6, INK));
        self.y += 1.0;
    }

    fn grid_row(&mut self, row: &SetRow, lanes: &[Lane], style: Style, how: (f32, bool)) {
        let (padding, first) = how;
        if !first {
            self.mark(rule(self.left, self.y, self.left + self.width, self.y, 0.5, HAIR));
        }
        let mut x = self.left;
        for (cell, lane) in row.iter().zip(lanes) {
            let mut y = self.y + padding;
            for line in cell {
                let at = if lane.numbers { x + lane.width - GUTTER - line.width } else { x };
                self.put(at, baseline(y, style), line.clone(), INK);
                y += style.leading;
            }
            x += lane.width;
        }
        self.y += height(row, style) + 2.0 * padding;
    }
}

/// Takes width from the columns of words, the widest first, until the table fits.
fn narrow(wide: &mut [f32], numbers: &[bool], room: f32) {
    let fixed: f32 =
        wide.iter().zip(numbers).filter(|(_, n)| **n).map(|(w, _)| *w).fold(0.0, |a, b| a + b);
    let words = numbers.iter().filter(|n| !**n).count();
    if words == 0 || fixed > 0.8 * room {
        let k = room / wide.iter().fold(0.0, |a, b| a + b);
        wide.iter_mut().for_each(|w| *w *= k);
        return;
    }
    // The width that no column of words passes, found by halving.
    let left = room - fixed;
    let taken = |cap: f32| {
        let all = wide.iter().zip(numbers).filter(|(_, n)| !**n);
        all.map(|(w, _)| w.min(cap)).fold(0.0, |a, b| a + b)
    };
    let (mut low, mut high) = (0.0_f32, left);
    for _ in 0..24 {
        let middle = (low + high) / 2.0;
        if taken(middle) > left { high = middle } else { low = middle }
    }
    for (width, _) in wide.iter_mut().zip(numbers).filter(|(_, n)| !**n) {
        *width = width.min(low);
    }
}

fn height(row: &SetRow, style: Style) -> f32 {
    let lines = row.iter().map(Vec::len).max().unwrap_or(0).max(1);
    super::count(lines) * style.leading
}

/// Leaves the lines that fit into a height, at least one, and gives back the rest.
fn split(row: &mut SetRow, style: Style, room: f32) -> SetRow {
    let mut lines = 1;
    while super::count(lines + 1) * style.leading <= room {
        lines += 1;
    }
    row.iter_mut().map(|cell| cell.split_off(lines.min(cell.len()))).collect()
}

/// Whether every text of a column is a number, or none.
fn is_numbers(rows: &[Vec<String>], column: usize) -> bool {
    let mut some = false;
    for text in rows.iter().filter_map(|row| row.get(column)).filter(|text| !text.is_empty()) {
        if text.replace('\u{2212}', "-").replace(',', ".").parse::<f32>().is_err() {
            return false;
        }
        some = true;
    }
    some
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_give_way_and_numbers_do_not() {
        let mut wide = [40.0, 300.0, 500.0, 60.0];
        narrow(&mut wide, &[true, false, false, false], 500.0);
        assert!((wide[0] - 40.0).abs() < 0.01 && (wide[3] - 60.0).abs() < 0.01, "{wide:?}");
        assert!((wide[1] - 200.0).abs() < 0.1 && (wide[2] - 200.0).abs() < 0.1, "{wide:?}");
    }

    #[test]
    fn a_column_of_numbers_may_have_gaps_but_no_words() {
        let rows = |texts: &[&str]| -> Vec<Vec<String>> {
            texts.iter().map(|text| vec![(*text).to_owned()]).collect()
        };
        assert!(is_numbers(&rows(&["1.20", "", "\u{2212}0.3", "0,6"]), 0));
        assert!(!is_numbers(&rows(&["1.20", "out"]), 0));
        assert!(!is_numbers(&rows(&["", ""]), 0));
    }
}
