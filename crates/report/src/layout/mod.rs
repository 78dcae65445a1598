//! Layout: the view model becomes pages of marks. All pages are laid out before any is numbered.

mod attempts;
mod closing;
mod first;
mod flow;
mod grid;
mod sheets;
mod table;
mod verdict;

use crate::draw::{Mark, PAGE_HEIGHT, Paper, SECOND, rule};
use crate::setting::{Setter, Style};
use crate::{Handover, RenderError};

pub(crate) use flow::{Flow, LEFT, RIGHT, baseline};
pub(crate) use table::{Cell, Column, Row};

/// Digests that are printed.
pub(crate) struct Digests {
    /// SHA-256 of `report.json`, hex.
    pub(crate) report: String,
    /// SHA-256 of `entries.jsonl`, hex.
    pub(crate) entries: String,
}

impl Digests {
    /// The first twelve digits of the report's digest in groups of four.
    pub(crate) fn short(&self) -> String {
        grouped(self.report.get(..12).unwrap_or_default())
    }
}

/// A small count as a number of the layout.
fn count(n: usize) -> f32 {
    f32::from(u16::try_from(n).unwrap_or(u16::MAX))
}

/// Hex digits in groups of four.
pub(crate) fn grouped(hex: &str) -> String {
    let mut out = String::new();
    for (i, sign) in hex.chars().enumerate() {
        if i > 0 && i % 4 == 0 {
            out.push(' ');
        }
        out.push(sign);
    }
    out
}

/// Lays out all pages.
pub(crate) fn lay_out(
    report: &Handover,
    digests: &Digests,
    setter: &mut Setter,
) -> Result<Paper, RenderError> {
    let mut flow = Flow::new(setter, margin_line(report));
    first::first_page(&mut flow, report)?;
    verdict::verdict_page(&mut flow, report)?;
    closing::cautions(&mut flow, report)?;
    attempts::attempts(&mut flow, report)?;
    sheets::sheets(&mut flow, report)?;
    closing::records(&mut flow, report)?;
    closing::how_to_verify(&mut flow, report, digests)?;
    let paper = flow.finish();
    number_pages(paper, digests, setter)
}

/// What runs up the left margin of each page: the entries that were known.
fn margin_line(report: &Handover) -> String {
    let heads: Vec<String> = report
        .evidence
        .heads
        .iter()
        .map(|h| format!("{}-{:04}", h.installation, h.number))
        .collect();
    let shown = heads.iter().take(12).cloned().collect::<Vec<_>>().join(" · ");
    let more = heads.len().saturating_sub(12);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("entries to {shown}{rest}")
}

/// Writes the foot of each page and the page references, now that all pages are known.
fn number_pages(
    mut paper: Paper,
    digests: &Digests,
    setter: &mut Setter,
) -> Result<Paper, RenderError> {
    let total = paper.pages.len();
    let anchors = paper.anchors.clone();
    for (i, page) in paper.pages.iter_mut().enumerate() {
        for mark in &mut page.marks {
            if let Mark::PageOf { right, y, target } = mark {
                let number =
                    anchors.get(target).map_or(String::new(), |(p, _)| (p + 1).to_string());
                let line = setter.line(&number, Style::TEXT)?;
                let (x, y) = (*right - line.width, *y);
                *mark = Mark::Type { x, y, line, grey: 0.0, upright: false };
            }
        }
        let y = PAGE_HEIGHT - 50.0;
        page.marks.push(rule(LEFT, y, RIGHT, y, 1.0, 0.0));
        let right = format!("record {} · page {} of {total}", digests.short(), i + 1);
        let line = setter.line(&right, Style::SMALL)?;
        let x = RIGHT - line.width;
        page.marks.push(Mark::Type { x, y: y + 18.0, line, grey: 0.0, upright: false });
        let room = x - LEFT - 20.0;
        let left = setter.set(&page.foot, Style::SMALL, Some(room))?;
        for (line, dy) in left.into_iter().zip([18.0, 31.0]) {
            page.marks.push(Mark::Type { x: LEFT, y: y + dy, line, grey: SECOND, upright: false });
        }
    }
    Ok(paper)
}
