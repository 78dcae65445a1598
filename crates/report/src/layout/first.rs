//! The first page: state of the dish, exceptions, then proofs in the order of the work.

use super::table::{left, right};
use super::{Cell, Column, Flow, RIGHT, Row, baseline};
use crate::draw::INK;
use crate::figure::{Cut, dish_face};
use crate::layout::grouped;
use crate::setting::{Face, Style};
use crate::{Handover, RenderError};

const FACE_SCALE: f32 = 1.03;
/// Width of the list of serials below the face.
const SERIALS: f32 = 286.0;

pub(super) fn first_page(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    let site = [&report.site.name, &report.site.place, &report.site.cluster];
    let site: Vec<&str> = site.into_iter().map(String::as_str).filter(|s| !s.is_empty()).collect();
    flow.running(
        &site.join(", "),
        &report.identity.kind,
        "Anyone can check this file: its last page says how, without this program.",
    );
    flow.new_page()?;
    flow.outline(0, &format!("{}: state of the dish", report.dish.position));
    state(flow, report)?;
    exceptions(flow, report)?;
    proofs(flow, report)
}

fn state(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    let top = flow.y;
    let whole = flow.width;
    let face = dish_face(&report.dish.position, &report.proofs, &report.face, Cut::Large);
    let x = RIGHT - 300.0 * FACE_SCALE + 8.0;
    for mark in face.place(flow.setter, x, top - 8.0, FACE_SCALE)? {
        flow.mark(mark);
    }
    let face_end = top - 8.0 + face.height() * FACE_SCALE;
    flow.width = 322.0;
    let title = Style::new(Face::Title, 42.0, 34.0);
    let line = flow.setter.line(&report.dish.position, title)?;
    flow.put(flow.left - 2.0, top + 29.0, line, INK);
    flow.y = top + 44.0;
    flow.paragraph(&report.headline, Style::new(Face::Text, 17.0, 22.0))?;
    flow.y += 12.0;
    flow.close_table(&[left("", 0.32), left("", 0.68)], &fact_rows(report))?;
    let facts_end = flow.y;
    let from = std::mem::replace(&mut flow.left, RIGHT - SERIALS);
    (flow.y, flow.width) = (face_end + 10.0, SERIALS);
    let serials = serials(report);
    flow.close_table(&[left("", 0.3), left("", 0.28), left("", 0.42)], &serials)?;
    (flow.y, flow.left, flow.width) = (flow.y.max(facts_end), from, whole);
    Ok(())
}

fn fact_rows(report: &Handover) -> Vec<Row> {
    let mut rows = vec![
        vec![
            Cell::text("Issued"),
            Cell::text(&report.identity.issued).and(&report.identity.issued_by, Style::SMALL),
        ],
        vec![Cell::text("Knowledge"), knowledge(report)],
    ];
    let criteria = &report.criteria;
    let digest = grouped(criteria.digest.get(..8).unwrap_or(&criteria.digest));
    rows.push(vec![
        Cell::text("Criteria"),
        Cell::text(&format!("{}, revision {}", criteria.name, criteria.revision))
            .and(&digest, Style::MONO),
    ]);
    if !report.dish.design.is_empty() {
        rows.push(vec![Cell::text("Type"), Cell::text(&report.dish.design)]);
    }
    for fact in &report.facts {
        rows.push(vec![Cell::text(&fact.name), Cell::text(&fact.value)]);
    }
    rows.push(vec![Cell::text("Locks known"), Cell::text(&report.face.locks_sentence)]);
    rows
}

/// What is fitted, below the face.
fn serials(report: &Handover) -> Vec<Row> {
    let row = |fitted: &crate::model::FittedSerial| {
        vec![
            Cell::text(&fitted.slot),
            Cell::mono(&fitted.serial),
            Cell::new(&fitted.note, Style::SMALL),
        ]
    };
    report.dish.serials.iter().map(row).collect()
}

/// How old the knowledge is, and who has not been heard from.
pub(super) fn knowledge(report: &Handover) -> Cell {
    let silent: Vec<String> = report
        .knowledge
        .not_heard_from
        .iter()
        .map(|n| format!("{}, since {}", n.installation, n.since))
        .collect();
    let silent = if silent.is_empty() {
        "Every admitted tablet has been heard from.".to_owned()
    } else {
        format!("Not heard from: {}.", silent.join("; "))
    };
    Cell::text(&report.knowledge.as_known).and(&silent, Style::SMALL_STRONG)
}

fn exceptions(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    flow.section("Exceptions", 50.0)?;
    if report.exceptions.is_empty() {
        return flow
            .paragraph("None recorded in the entries that this report covers.", Style::TEXT);
    }
    let rows: Vec<Row> = report
        .exceptions
        .iter()
        .map(|e| vec![Cell::strong(&e.subject), Cell::text(&e.text), Cell::text(&e.reference)])
        .collect();
    flow.table(&[left("", 0.13), left("", 0.71), right("", 0.16)], &rows)
}

fn proofs(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    flow.section("Proofs, in the order of the work", 80.0)?;
    let columns: [Column; 7] = [
        left("proof", 0.135),
        left("state", 0.125),
        left("result", 0.305),
        left("limit", 0.165),
        left("accepted", 0.125),
        right("attempt", 0.085),
        right("page", 0.06),
    ];
    let rows: Vec<Row> = report
        .proofs
        .iter()
        .map(|p| {
            vec![
                Cell::strong(p.name()),
                Cell::text(p.state.word()),
                Cell::text(&p.result).and(&p.people, Style::SMALL),
                Cell::text(&p.limit),
                Cell::text(&p.accepted),
                Cell::text(&p.attempt),
                if p.turn_to.is_empty() { Cell::default() } else { Cell::page_of(&p.turn_to) },
            ]
        })
        .collect();
    flow.close_table(&columns, &rows)
}

/// Draws a title of a page of its own and leaves room below it.
pub(super) fn page_title(flow: &mut Flow<'_>, title: &str) -> Result<(), RenderError> {
    let style = Style::new(Face::Title, 26.0, 34.0);
    for line in flow.setter.set(title, style, Some(flow.width))? {
        let y = baseline(flow.y, style);
        flow.put(flow.left, y, line, INK);
        flow.y += style.leading;
    }
    flow.y += 6.0;
    Ok(())
}
