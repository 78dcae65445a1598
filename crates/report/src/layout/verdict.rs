//! The verdict page: what is being signed, on what conditions, and the places for signatures.

use super::first::{knowledge, page_title};
use super::table::left;
use super::{Cell, Flow, Row, baseline};
use crate::draw::{HAIR, INK, Mark, Rect, rule};
use crate::setting::{Face, Style};
use crate::{Handover, RenderError};

pub(super) fn verdict_page(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    let head = format!("{}, {}", report.dish.position, report.site.name);
    let foot = "This report does not say that the dish is safe.";
    flow.running(&head, "Verdict and signatures", foot);
    flow.new_page()?;
    flow.outline(0, "Verdict and signatures");
    page_title(flow, &report.verdict.title)?;
    flow.paragraph(&report.verdict.sentence, Style::new(Face::Text, 15.0, 20.0))?;
    flow.section("Conditions", 30.0)?;
    if report.verdict.conditions.is_empty() {
        flow.paragraph("None.", Style::TEXT)?;
    } else {
        flow.items(&report.verdict.conditions)?;
    }
    flow.section("Scope", 40.0)?;
    flow.items(&report.scope)?;
    flow.section("What the signers had before them", 60.0)?;
    let criteria = &report.criteria;
    let rows: Vec<Row> = vec![
        vec![Cell::text("Seen"), Cell::text(&report.verdict.seen)],
        vec![Cell::text("Knowledge"), knowledge(report)],
        vec![
            Cell::text("Criteria"),
            Cell::text(&format!("{}, revision {}", criteria.name, criteria.revision))
                .and(&criteria.source, Style::SMALL),
        ],
    ];
    flow.table(&[left("", 0.2), left("", 0.8)], &rows)?;
    flow.section("Signatures", 110.0)?;
    flow.paragraph(
        "Each signature covers all pages and the embedded data as they stood when it was made. \
         An empty place has not been signed.",
        Style::TEXT,
    )?;
    flow.y += 14.0;
    for place in &report.signature_places {
        flow.together(|flow| signature(flow, place))?;
    }
    Ok(())
}

fn signature(flow: &mut Flow<'_>, place: &crate::model::SignaturePlace) -> Result<(), RenderError> {
    const HEIGHT: f32 = 84.0;
    flow.need(HEIGHT + 14.0)?;
    let (top, left, width) = (flow.y, flow.left, flow.width);
    flow.mark(rule(left, top, left + width, top, 1.6, INK));
    flow.y = top + 6.0;
    flow.text_in(&place.role, Style::new(Face::Strong, 14.0, 19.0), left, 230.0)?;
    flow.text_in(&place.expected, Style::TEXT, left, 230.0)?;
    flow.text_in(&place.meaning, Style::SMALL, left, 230.0)?;
    let low = flow.y;
    let area = Rect { x: left + 250.0, y: top + 6.0, width: width - 250.0, height: HEIGHT - 10.0 };
    let line = area.y + area.height;
    flow.mark(rule(area.x, line, left + width, line, 0.8, HAIR));
    let style = Style::SMALL;
    let caption = flow.setter.line("signature", style)?;
    flow.put(area.x, baseline(line + 1.0, style), caption, HAIR);
    let tip = format!("{}: {}", place.role, place.meaning);
    flow.mark(Mark::Field { area, name: place.field.clone(), tip });
    flow.y = low.max(top + HEIGHT) + 18.0;
    Ok(())
}
