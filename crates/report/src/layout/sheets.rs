//! Calculation sheets: verdict, readings, formula, values, figure, doubt, rule and source.

use super::grid::LONG;
use super::table::{left, right};
use super::{Cell, Flow, Row};
use crate::figure::{drawing, verdict_mark};
use crate::model::{Fact, Figure, Sheet, SheetTable};
use crate::setting::{Face, Style};
use crate::{Handover, RenderError};

/// So many formulas stand in a block of their own.
const MOST_FORMULAS: usize = 8;

pub(super) fn sheets(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    for (i, sheet) in report.sheets.iter().enumerate() {
        flow.running(&sheet.subject, "Calculation sheet", &sheet.foot);
        flow.new_page()?;
        if i == 0 {
            flow.outline(0, "Calculation sheets");
        }
        flow.outline(1, &sheet.subject);
        verdict(flow, sheet)?;
        findings(flow, sheet)?;
        flags(flow, sheet)?;
        inputs(flow, sheet)?;
        formula(flow, sheet)?;
        working(flow, sheet)?;
        for figure in &sheet.figures {
            flow.together(|flow| shown(flow, figure))?;
        }
        // What stands side by side stays together where a page can hold it.
        flow.together(|flow| doubt_and_rule(flow, sheet))?;
        let (long, short): (Vec<_>, Vec<_>) =
            sheet.tables.iter().partition(|table| table.rows.len() > LONG);
        for table in short {
            listed(flow, table)?;
        }
        if long.is_empty() {
            continue;
        }
        flow.running(&sheet.subject, "Calculation sheet, its lists", &sheet.foot);
        flow.new_page()?;
        for table in long {
            listed(flow, table)?;
        }
    }
    Ok(())
}

/// A figure with its heading, and how to read it where paper can't be asked.
fn shown(flow: &mut Flow<'_>, figure: &Figure) -> Result<(), RenderError> {
    let drawing = drawing(figure)?;
    let (scale, how) = match figure {
        Figure::Lines(_) | Figure::Bars(_) => (1.0, ""),
        Figure::Plane(_) => (
            1.0,
            "The darker, the higher. Lines run along equal values; some have their value written in.",
        ),
        Figure::FacetMap(_) => (
            0.85,
            "Seen from the focus, up is up. Each pin shows where its facet sends the light, longer \
             for a larger error. Filled: beyond the limit; hatched: not measured; crossed: masked; \
             a dash: within, without a number. An arc outside marks a rack that moved as a whole.",
        ),
        Figure::Sky(_) => (
            0.8,
            "Rim: horizon; middle: overhead; north is up, east is right. Heavy line: the sun over \
             the job. Ring with a dot: the mirror axis. Dashed: the angle to keep free round it. \
             Disc: the sun at the start. The number: the nearest approach.",
        ),
    };
    flow.section(figure.title(), drawing.height() * scale)?;
    flow.drawing(&drawing, scale)?;
    if !how.is_empty() {
        flow.y += 4.0;
        flow.paragraph(how, Style::SMALL)?;
    }
    Ok(())
}

fn listed(flow: &mut Flow<'_>, table: &SheetTable) -> Result<(), RenderError> {
    flow.section(&table.title, 70.0)?;
    flow.paragraph(&table.note, Style::SMALL)?;
    flow.gap(4.0);
    flow.grid(&table.columns, &table.rows)
}

fn findings(flow: &mut Flow<'_>, sheet: &Sheet) -> Result<(), RenderError> {
    if sheet.findings.is_empty() {
        return Ok(());
    }
    flow.section("Found by the calculation", 50.0)?;
    let rows: Vec<Row> = sheet
        .findings
        .iter()
        .map(|found| vec![Cell::strong(&found.place), Cell::text(&found.text)])
        .collect();
    flow.table(&[left("", 0.12), left("", 0.88)], &rows)
}

fn verdict(flow: &mut Flow<'_>, sheet: &Sheet) -> Result<(), RenderError> {
    let top = flow.y;
    let mut x = flow.left;
    if let Some(mark) = verdict_mark(sheet.mark) {
        for mark in mark.place(flow.setter, x + 2.0, top, 1.45)? {
            flow.mark(mark);
        }
        x += 68.0;
    }
    let room = flow.left + flow.width - x;
    flow.text_in(&sheet.verdict, Style::new(Face::Title, 29.0, 37.0), x, room)?;
    flow.text_in(&sheet.reason, Style::new(Face::Text, 14.5, 19.0), x, room)?;
    flow.y = flow.y.max(top + 54.0) + 6.0;
    flow.paragraph(&sheet.calculation, Style::SMALL)
}

fn flags(flow: &mut Flow<'_>, sheet: &Sheet) -> Result<(), RenderError> {
    if sheet.flags.is_empty() {
        return Ok(());
    }
    flow.section("To note", 30.0)?;
    flow.items(&sheet.flags)
}

fn inputs(flow: &mut Flow<'_>, sheet: &Sheet) -> Result<(), RenderError> {
    if sheet.inputs.is_empty() {
        return given(flow, sheet);
    }
    flow.section("What was read", 70.0)?;
    // Numbers stand below each other; counts of series and tables take more room.
    let columns = if sheet.inputs.iter().any(|input| is_long(&input.value)) {
        [
            left("reading", 0.23),
            left("as typed", 0.29),
            left("instrument, calibration", 0.2),
            left("at", 0.17),
            left("entry", 0.11),
        ]
    } else {
        [
            left("reading", 0.27),
            right("as typed", 0.18),
            left("instrument, calibration then", 0.27),
            left("at", 0.17),
            left("entry", 0.11),
        ]
    };
    let rows: Vec<Row> = sheet
        .inputs
        .iter()
        .map(|i| {
            vec![
                Cell::text(&i.name),
                // A number is what is looked for; of series and tables the counts are enough.
                Cell::new(&i.value, if is_long(&i.value) { Style::SMALL } else { Style::STRONG }),
                Cell::text(&i.instrument),
                Cell::text(&i.at),
                Cell::mono(&i.entry),
            ]
        })
        .collect();
    flow.table(&columns, &rows)?;
    given(flow, sheet)
}

/// Two pairs a row: what is given takes little room.
fn given(flow: &mut Flow<'_>, sheet: &Sheet) -> Result<(), RenderError> {
    if sheet.given.is_empty() {
        return Ok(());
    }
    flow.section("What was given", 60.0)?;
    // A long text has a row of its own below the short ones.
    let (short, long): (Vec<&Fact>, Vec<&Fact>) =
        sheet.given.iter().partition(|fact| !is_long(&fact.value));
    let cells = |fact: &Fact| [Cell::new(&fact.name, Style::SMALL), Cell::text(&fact.value)];
    let rows: Vec<Row> =
        short.chunks(2).map(|pair| pair.iter().flat_map(|fact| cells(fact)).collect()).collect();
    flow.table(&[left("", 0.28), left("", 0.22), left("", 0.28), left("", 0.22)], &rows)?;
    let rows: Vec<Row> = long.iter().map(|fact| cells(fact).into()).collect();
    flow.table(&[left("", 0.28), left("", 0.72)], &rows)
}

fn is_long(text: &str) -> bool {
    text.chars().count() > 26
}

fn formula(flow: &mut Flow<'_>, sheet: &Sheet) -> Result<(), RenderError> {
    // Of many, each stands with its value below.
    if sheet.formula.is_empty() || sheet.formula.len() > MOST_FORMULAS {
        return Ok(());
    }
    flow.section("Formula", 30.0)?;
    for text in &sheet.formula {
        let (x, width) = (flow.left + 14.0, flow.width - 14.0);
        flow.text_in(text, Style::new(Face::Slant, 16.0, 23.0), x, width)?;
    }
    Ok(())
}

fn working(flow: &mut Flow<'_>, sheet: &Sheet) -> Result<(), RenderError> {
    if sheet.working.is_empty() {
        return Ok(());
    }
    flow.section("Values", 70.0)?;
    let columns =
        [left("symbol", 0.1), left("what", 0.28), left("from", 0.34), right("value", 0.28)];
    let rows: Vec<Row> = sheet
        .working
        .iter()
        .map(|w| {
            let value = format!("{} {}", w.value, w.unit);
            vec![
                Cell::new(&w.symbol, Style::SLANT),
                Cell::text(&w.meaning).and(&w.source, Style::SMALL),
                Cell::text(&w.formula),
                Cell::text(value.trim_end()),
            ]
        })
        .collect();
    flow.table(&columns, &rows)
}

fn doubt_and_rule(flow: &mut Flow<'_>, sheet: &Sheet) -> Result<(), RenderError> {
    let rule = |flow: &mut Flow<'_>| {
        flow.section("Rule and source", 40.0)?;
        let limit = match (sheet.limit.is_empty(), sheet.limit_source.is_empty()) {
            (true, _) => String::new(),
            (false, true) => format!("Limit: {}.", sheet.limit),
            (false, false) => format!("Limit: {}. {}", sheet.limit, sheet.limit_source),
        };
        let validity = if sheet.validity.is_empty() {
            String::new()
        } else {
            format!("Valid: {}", sheet.validity)
        };
        for text in [&sheet.rule, &limit, &validity].into_iter().chain(&sheet.sources) {
            flow.paragraph(text, Style::TEXT)?;
            if !text.is_empty() {
                flow.y += 3.0;
            }
        }
        Ok(())
    };
    if sheet.doubt.is_empty() {
        return rule(flow);
    }
    let doubt = |flow: &mut Flow<'_>| {
        flow.section("Doubt", 60.0)?;
        let mut rows: Vec<Row> = sheet
            .doubt
            .iter()
            .map(|d| vec![Cell::text(&d.source).and(&d.share, Style::SMALL), Cell::text(&d.size)])
            .collect();
        if !sheet.doubt_total.is_empty() {
            let (name, value) =
                sheet.doubt_total.rsplit_once(": ").unwrap_or((&sheet.doubt_total, ""));
            rows.push(vec![Cell::strong(name), Cell::strong(value)]);
        }
        flow.table(&[left("", 0.7), right("", 0.3)], &rows)
    };
    flow.columns(24.0, doubt, rule)
}
