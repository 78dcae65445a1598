//! A calculation sheet on a terminal: what it says first, then what somebody needs to redo it.

use std::io::Write as _;

use app::{Sheet, calc};

use crate::print::{LINE, wrapped};

/// Prints a sheet.
pub(crate) fn print(sheet: &Sheet) {
    say!("{}, version {}", sheet.title, sheet.version);
    say!("{}", word(sheet));
    paragraph("", &sheet.reason);
    paragraph("", calc::next_step(sheet));
    pairs(
        "Inputs, as typed",
        sheet.inputs.iter().map(|input| (input.meaning.clone(), input.typed.clone())).chain(
            sheet
                .missing
                .iter()
                .map(|gap| (gap.meaning.clone(), format!("missing ({})", gap.field))),
        ),
    );
    if !sheet.working.is_empty() {
        section("Working");
    }
    for line in &sheet.working {
        say!("  {:<10} {} {}   {}", line.symbol, line.value, line.unit, line.meaning);
        if !line.formula.is_empty() {
            paragraph(&" ".repeat(13), &line.formula);
        }
    }
    for table in &sheet.tables {
        section(&table.title);
        columns(&table.columns, &table.rows);
    }
    pairs(
        "Results",
        sheet.results.iter().map(|result| {
            let doubt = result.standard_uncertainty.as_ref().map(|u| format!(" (u = {u})"));
            let value = format!("{} {}{}", result.value, result.unit, doubt.unwrap_or_default());
            (result.meaning.clone(), value)
        }),
    );
    pairs(
        "Doubt",
        sheet.doubt.iter().map(|line| {
            let brings = format!("{} {}", line.contribution, line.contribution_unit);
            (line.source.clone(), format!("{brings}, {} % of the variance", line.share))
        }),
    );
    if let Some(all) = &sheet.combined {
        say!("  expanded, k = {}: {} {}", all.coverage_factor, all.expanded, all.unit);
    }
    if let Some(rule) = &sheet.rule {
        section("Rule");
        paragraph("  ", &rule.text);
        say!("  limit {}", rule.limit);
        if let Some(edge) = &rule.acceptance_limit {
            say!("  acceptance limit {edge}");
        }
        if let Some(source) = &rule.limit_source {
            paragraph("  ", &format!("source of the limit: {source}"));
        }
    }
    paragraphs("Noticed", sheet.findings.iter().map(|finding| finding.sentence.as_str()));
    paragraphs("Mind", sheet.flags.iter().map(|flag| flag.sentence.as_str()));
    paragraphs("Valid", [sheet.validity.as_str()]);
    paragraphs("Sources", sheet.sources.iter().map(String::as_str));
}

fn word(sheet: &Sheet) -> String {
    serde_json::to_value(sheet.verdict)
        .ok()
        .and_then(|value| value.as_str().map(|word| word.replace('_', " ")))
        .unwrap_or_default()
        .to_uppercase()
}

fn section(title: &str) {
    say!("\n{title}");
}

/// A paragraph, each line of it set in.
fn paragraph(indent: &str, text: &str) {
    for line in wrapped(text, LINE - indent.len()) {
        say!("{indent}{line}");
    }
}

fn paragraphs<'t>(title: &str, texts: impl IntoIterator<Item = &'t str>) {
    let mut texts = texts.into_iter().peekable();
    if texts.peek().is_some() {
        section(title);
    }
    for text in texts {
        paragraph("  ", text);
    }
}

/// Widest that the left of two columns gets.
const LEFT: usize = 44;

/// Lines of two columns; nothing when there are none.
fn pairs(title: &str, lines: impl Iterator<Item = (String, String)>) {
    let lines: Vec<_> = lines.collect();
    if lines.is_empty() {
        return;
    }
    section(title);
    let wide = lines.iter().map(|(left, _)| width(left)).max().unwrap_or(0).min(LEFT);
    for (left, right) in lines {
        say!("  {left}{}  {right}", " ".repeat(wide.saturating_sub(width(&left))));
    }
}

/// A table with its heads, each column as wide as its widest cell.
fn columns(heads: &[String], rows: &[Vec<String>]) {
    let widths: Vec<usize> = heads
        .iter()
        .enumerate()
        .map(|(column, head)| {
            let cells = rows.iter().filter_map(|row| row.get(column)).map(|cell| width(cell));
            cells.max().unwrap_or(0).max(width(head))
        })
        .collect();
    for row in std::iter::once(heads).chain(rows.iter().map(Vec::as_slice)) {
        let cells = row
            .iter()
            .zip(&widths)
            .map(|(cell, wide)| format!("{cell}{}", " ".repeat(wide.saturating_sub(width(cell)))));
        let line = cells.collect::<Vec<_>>().join("  ");
        say!("  {}", line.trim_end());
    }
}

fn width(text: &str) -> usize {
    text.chars().count()
}
