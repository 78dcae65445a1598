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

/// A column of words narrower than this is not broken.
const SHORT: f32 = 70.0;

/// A column as set: how wide, and whether its texts are numbers.
struct Lane {
    width: f32,
    numbers: bool,
}

/// How wide a column has to be, and how wide it is without a broken line.
struct Want {
    least: f32,
    whole: f32,
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
        let (style, lanes) = self.lanes(heads, rows, &lines, &numbers)?;
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

    /// The largest type in which the table fits with its columns of words broken where they are
    /// long, and the width of each column.
    fn lanes(
        &mut self,
        heads: &[String],
        rows: &[Vec<String>],
        lines: &[Vec<SetLine>],
        numbers: &[bool],
    ) -> Result<(Style, Vec<Lane>), RenderError> {
        let room = self.width - GUTTER * super::count(heads.len());
        let mut wants = Vec::new();
        for (i, head) in heads.iter().enumerate() {
            let mut least = self.widest_word(head, Face::Strong)?;
            let body = lines.iter().filter_map(|row| row.get(i)).map(|line| line.width);
            let whole = body.fold(least, f32::max);
            if numbers.get(i) == Some(&true) || whole < SHORT {
                least = whole;
            } else {
                for text in rows.iter().filter_map(|row| row.get(i)) {
                    least = least.max(self.widest_word(text, Face::Text)?);
                }
                // Room for a few words a line, where there are as many.
                least = least.max(whole.min(room / 5.0));
            }
            wants.push(Want { least, whole });
        }
        let sizes = if rows.len() > LONG { SIZES.get(2..) } else { SIZES.get(..) };
        let sizes = sizes.unwrap_or_default();
        let least: f32 = wants.iter().map(|want| want.least).sum();
        let fits = |(size, _): &&(f32, f32)| least * size / SIZES[0].0 <= room;
        let (size, leading) = *sizes.iter().find(fits).unwrap_or(&SIZES[3]);
        let by = size / SIZES[0].0;
        for want in &mut wants {
            want.least *= by;
            want.whole *= by;
        }
        let lanes = shared(&wants, room)
            .into_iter()
            .zip(numbers)
            .map(|(width, numbers)| Lane { width: width + GUTTER, numbers: *numbers })
            .collect();
        Ok((Style::new(Face::Text, size, leading), lanes))
    }

    /// The width of a text's longest word in the largest type.
    fn widest_word(&mut self, text: &str, face: Face) -> Result<f32, RenderError> {
        let style = Style::new(face, SIZES[0].0, SIZES[0].1);
        let longest = text.split_whitespace().max_by_key(|word| word.chars().count());
        Ok(self.setter.line(longest.unwrap_or_default(), style)?.width)
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

/// The width of each column: what it needs at least, then what it wants, the least demanding
/// first; what is left over goes to all alike.
fn shared(wants: &[Want], room: f32) -> Vec<f32> {
    let least: f32 = wants.iter().map(|want| want.least).sum();
    if least > room {
        return wants.iter().map(|want| want.least * room / least).collect();
    }
    // The width up to which columns get what they want, found by halving.
    let at = |cap: f32| -> Vec<f32> {
        wants.iter().map(|want| want.whole.min(want.least.max(cap))).collect()
    };
    let (mut low, mut high) = (0.0_f32, room);
    for _ in 0..24 {
        let middle = (low + high) / 2.0;
        if at(middle).iter().sum::<f32>() > room { high = middle } else { low = middle }
    }
    let mut widths = at(low);
    let rest = (room - widths.iter().sum::<f32>()) / super::count(widths.len().max(1));
    widths.iter_mut().for_each(|width| *width += rest);
    widths
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
        let want = |least, whole| Want { least, whole };
        let wants = [want(40.0, 40.0), want(50.0, 300.0), want(50.0, 500.0), want(60.0, 60.0)];
        let widths = shared(&wants, 500.0);
        for (width, expected) in widths.iter().zip([40.0, 200.0, 200.0, 60.0]) {
            assert!((width - expected).abs() < 0.1, "{widths:?}");
        }
        // More than enough is shared out, too little takes from all.
        assert!((shared(&wants[..1], 100.0)[0] - 100.0).abs() < 0.1);
        assert!((shared(&wants, 100.0).iter().sum::<f32>() - 100.0).abs() < 0.1);
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
