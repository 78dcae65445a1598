//! Cautions and what is not covered, and the pages that close a report: corrections, instruments,
//! people, versions, and how to verify the file without this program.

use super::first::page_title;
use super::table::left;
use super::{Cell, Digests, Flow, Row};
use crate::model::CalibrationState;
use crate::setting::{Face, Style};
use crate::{Handover, RenderError};

/// Cautions that stand in every report.
const CAUTIONS: &[(&str, &str)] = &[
    (
        "Concentrated sun",
        "At and near the focus, light burns skin, eyes and steel within a second. Sunlight cannot \
         be padlocked: a stowed, covered or turned-away dish may be moved by wind or by a command. \
         Work in the focal zone only under a lockout that names the sun as an energy source.",
    ),
    (
        "Hydrogen and pressure",
        "The working gas is stored at high pressure; hydrogen burns with a flame that is hard to \
         see. Never tighten a joint under pressure. A gas-tight result holds for the circuit, the \
         gas and the day that were tested, and ends when the circuit is opened.",
    ),
    (
        "Voltage",
        "Grid, generator and the battery-backed supply are separate sources; the battery keeps the \
         drives able to move after the grid is off. Prove dead at the point of work.",
    ),
    (
        "Moving structure",
        "The dish may move at any time, also on its own (stow on wind, grid loss or gas alarm). Keep \
         out of its sweep unless the drives are locked and proved.",
    ),
];

pub(super) fn cautions(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    let head = format!("{}, {}", report.dish.position, report.site.name);
    let foot = "This report does not say that the dish is safe.";
    flow.running(&head, "Cautions", foot);
    flow.new_page()?;
    flow.outline(0, "Cautions, and what is not covered");
    page_title(flow, "Cautions")?;
    flow.paragraph(
        "This report does not say that the dish is safe. It says what was done and measured. \
         Local codes, the employer's procedures and licensed practice come before anything \
         printed here; locks protect, records inform.",
        Style::STRONG,
    )?;
    flow.y += 10.0;
    let mut rows: Vec<Row> =
        CAUTIONS.iter().map(|(name, text)| vec![Cell::strong(name), Cell::text(text)]).collect();
    let own = report.cautions.iter().filter(|c| !c.trim().is_empty());
    rows.extend(own.enumerate().map(|(i, text)| {
        let name = if i == 0 { "From the checklists" } else { "" };
        vec![Cell::strong(name), Cell::text(text)]
    }));
    flow.table(&[left("", 0.2), left("", 0.8)], &rows)?;
    flow.together(|flow| {
        flow.section("What this report does not cover", 40.0)?;
        flow.items(&report.not_covered)
    })
}

/// Corrections, instruments, people, versions.
pub(super) fn records(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    let head = format!("{}, {}", report.dish.position, report.site.name);
    flow.running(
        &head,
        "Records behind the report",
        "Corrections add entries; nothing is changed or deleted.",
    );
    flow.new_page()?;
    flow.outline(0, "Corrections, late and transcribed entries");
    corrections(flow, report)?;
    outlined(flow, "Instruments", 70.0)?;
    instruments(flow, report)?;
    outlined(flow, "People", 70.0)?;
    people(flow, report)?;
    outlined(flow, "Versions", 60.0)?;
    let rows: Vec<Row> = report
        .components
        .iter()
        .map(|c| vec![Cell::text(&c.name), Cell::text(&c.version), Cell::mono(&c.digest)])
        .collect();
    flow.table(
        &[left("what", 0.185), left("version", 0.08), left("SHA-256 of its content", 0.735)],
        &rows,
    )
}

fn outlined(flow: &mut Flow<'_>, title: &str, keep: f32) -> Result<(), RenderError> {
    flow.section(title, keep)?;
    flow.outline(0, title);
    Ok(())
}

fn corrections(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    flow.section("Corrections, late and transcribed entries", 70.0)?;
    if report.corrections.is_empty() {
        return flow.paragraph("None among the entries that this report covers.", Style::TEXT);
    }
    let columns = [
        left("kind", 0.13),
        left("about", 0.2),
        left("before, now", 0.2),
        left("reason", 0.17),
        left("who", 0.2),
        left("entry", 0.1),
    ];
    let rows: Vec<Row> = report
        .corrections
        .iter()
        .map(|c| {
            vec![
                Cell::strong(&c.kind),
                Cell::text(&c.subject),
                Cell::new(&c.before, Style::SMALL).and(&c.after, Style::TEXT),
                Cell::text(&c.reason),
                Cell::text(&c.who),
                Cell::mono(&c.entry),
            ]
        })
        .collect();
    flow.table(&columns, &rows)
}

fn instruments(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    let columns = [
        left("instrument", 0.11),
        left("what", 0.26),
        left("accuracy", 0.15),
        left("certificate", 0.22),
        left("due, state when used", 0.26),
    ];
    let rows: Vec<Row> = report
        .instruments
        .iter()
        .map(|i| {
            let state = match i.state {
                CalibrationState::InDate | CalibrationState::NotNeeded => Style::SMALL,
                CalibrationState::OutOfDate | CalibrationState::Unknown => Style::SMALL_STRONG,
            };
            vec![
                Cell::mono(&i.id),
                Cell::text(&i.description),
                Cell::text(&i.accuracy),
                Cell::text(&i.certificate),
                Cell::text(&i.due).and(&i.state_text, state),
            ]
        })
        .collect();
    flow.table(&columns, &rows)
}

fn people(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    let columns = [
        left("name", 0.24),
        left("role", 0.2),
        left("did", 0.28),
        left("qualification then", 0.28),
    ];
    let rows: Vec<Row> = report
        .people
        .iter()
        .map(|p| {
            vec![
                Cell::strong(&p.name).and(&p.id, Style::SMALL),
                Cell::text(&p.role),
                Cell::text(&p.did),
                Cell::text(&p.qualification),
            ]
        })
        .collect();
    flow.table(&columns, &rows)
}

/// How to verify the file with standard tools.
pub(super) fn how_to_verify(
    flow: &mut Flow<'_>,
    report: &Handover,
    digests: &Digests,
) -> Result<(), RenderError> {
    let head = format!("{}, {}", report.dish.position, report.site.name);
    flow.running(
        &head,
        "How to verify this file",
        "No network and no copy of the program is needed.",
    );
    flow.new_page()?;
    flow.outline(0, "How to verify this file");
    page_title(flow, "How to verify this file")?;
    flow.paragraph(
        "Everything below works without a network and without the program that made this file.",
        Style::TEXT,
    )?;
    flow.section("Digests and heads", 80.0)?;
    let mut rows: Vec<Row> = vec![
        vec![Cell::text("report.json"), Cell::mono(&digests.report)],
        vec![
            Cell::text("entries.jsonl")
                .and(&format!("{} entries", report.evidence.entries), Style::SMALL),
            Cell::mono(&digests.entries),
        ],
        vec![Cell::text("Site authority's key"), Cell::mono(&report.site.authority)],
        vec![Cell::text("Report"), Cell::mono(&report.identity.report_id)],
    ];
    for head in &report.evidence.heads {
        let name = format!("Head of {}, entry {}", head.installation, head.number);
        rows.push(vec![
            Cell::text(&name),
            Cell::mono(&head.id).and(&format!("chain {}", head.chain), Style::SMALL),
        ]);
    }
    flow.table(&[left("", 0.25), left("", 0.75)], &rows)?;
    if !report.evidence.note.is_empty() {
        flow.y += 6.0;
        flow.paragraph(&report.evidence.note, Style::TEXT)?;
    }
    flow.section("By hand", 60.0)?;
    for (text, command) in STEPS {
        flow.together(|flow| {
            flow.paragraph(text, Style::TEXT)?;
            flow.y += 2.0;
            let (x, width) = (flow.left + 16.0, flow.width - 16.0);
            flow.text_in(command, Style::new(Face::Mono, 11.5, 17.0), x, width)?;
            flow.y += 8.0;
            Ok(())
        })?;
    }
    flow.paragraph(NOTE, Style::TEXT)
}

const STEPS: &[(&str, &str)] = &[
    (
        "1. Take the two embedded files out, and compare their digests with those above.",
        "pdfdetach -saveall FILE.pdf && sha256sum report.json entries.jsonl",
    ),
    ("2. Check the signatures. Each must be valid.", "pdfsig -nocert FILE.pdf"),
    (
        "3. Ask the site, by a way that you trust, for the fingerprint of its authority's key, and \
         compare it with the one above. The same comes out of its certificate:",
        "openssl x509 -in authority.pem -noout -pubkey | openssl pkey -pubin -outform DER | sha256sum",
    ),
    (
        "4. Each line of entries.jsonl is an entry. Its id is the digest of its header; the header \
         names the entry before it. The id of each chain's last entry is its head above.",
        "tail -n 1 entries.jsonl | jq -j .header | sha256sum",
    ),
    (
        "5. With the program, everything at once, including pages changed after signing:",
        "dishwright check FILE.pdf",
    ),
];

const NOTE: &str = "A signature covers the file as it stood when it was made. A file can be added \
    to afterwards, and some readers show what was added without saying so. Step 2 must therefore \
    say of the last signature that the total document is signed; for what stands between two \
    signatures, use a reader that compares what was added, or step 5.";
