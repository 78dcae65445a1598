//! The facets of a dish, where each sends its light.

use acceptance::Sheet;
use logbook::Surroundings;
use logbook::document::{RecordDoc, SurveyGiven};
use logbook::events::RowState;
use logbook::source::{Asks, Calculated, Checklist, DishDesign, InputFrom, Step};
use quantity::Dimension;
use report::figure::{FacetMap, MapFacet, MapRack, MapState};
use serde::Serialize;
use ts_rs::TS;

use super::asks::limit_value;
use super::eye::{Eye, count, label};
use super::steps::sheets_of;
use super::verdict::{SheetFinding, SheetView, noticed};
use crate::error::{AppError, Result};
use crate::handover::in_unit;

/// A survey of facets.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct AlignmentView {
    pub(crate) position: String,
    pub(crate) label: String,
    /// The step's title, such as "As found".
    pub(crate) state: String,
    pub(crate) racks: Vec<RackView>,
    pub(crate) facets: Vec<Facet>,
    pub(crate) map_svg: String,
    pub(crate) counts: FacetCounts,
    pub(crate) limit: String,
    pub(crate) findings: Vec<SheetFinding>,
    pub(crate) sheet: Option<SheetView>,
    /// Why there is no sheet, where the calculation could not be done with what is entered.
    pub(crate) sheet_why_not: String,
}

/// A rack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct RackView {
    pub(crate) id: String,
    pub(crate) moved: bool,
    pub(crate) sentence: String,
}

/// A facet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Facet {
    pub(crate) facet: String,
    pub(crate) rack: String,
    pub(crate) state: FacetState,
    /// Milliradian to the right; empty when not measured.
    pub(crate) x: String,
    /// Milliradian up; empty when not measured.
    pub(crate) y: String,
    pub(crate) out: bool,
}

/// What is known of a facet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
pub(crate) enum FacetState {
    Measured,
    Within,
    NotMeasured,
    Masked,
}

/// How many facets are what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FacetCounts {
    pub(crate) measured: u32,
    pub(crate) of: u32,
    pub(crate) out: u32,
    pub(crate) unmeasured: u32,
}

impl Eye<'_> {
    /// The facets of a survey step of the latest attempt, with what the calculation that takes the
    /// survey makes of them.
    pub(crate) fn alignment(&self, typed: &str, step: &str) -> Result<AlignmentView> {
        let (_, record) = self.logbook.record(typed)?;
        let checklist = self.source.checklist_of(&record)?;
        let criteria = self.source.criteria_of(&record)?;
        let number = record.latest().map_or(0, |attempt| attempt.number);
        let around = Surroundings::of(self.source.shelf, &record, number)?;
        let step = checklist.step(step).ok_or_else(|| no_survey(step))?;
        let Asks::Survey(asked) = &step.asks else { return Err(no_survey(&step.id)) };
        let lines = around.lines(&record, asked)?;
        let given = current_survey(&record, &checklist, number, &step.id);
        let judging = judged_by(&checklist, &step.id);
        let sheets = sheets_of(&record, &checklist, &criteria, &around);
        let sheet = judging.and_then(|(step, _)| {
            sheets.sheets.iter().find(|one| one.step == step.id).map(|one| &one.sheet)
        });
        let rows = Rows::of(sheet);
        let facets: Vec<Facet> = lines.iter().map(|line| facet(line, given, &rows)).collect();
        let racks = racks(&facets, sheet);
        let limit = judging.and_then(|(_, calculated)| {
            let from = calculated.inputs.get("limits.axis.value")?;
            let InputFrom::Limit(id) = from else { return None };
            Some(limit_value(&criteria, id))
        });
        let dish = self.dish(&record.position)?;
        let design = around.design.as_ref().map(|(_, design)| design);
        let shown =
            judging.zip(sheet).map(|((step, _), sheet)| SheetView::of(&step.id, sheet, design));
        let drawn = shown.as_ref().filter(|_| rows.any()).and_then(SheetView::first_svg);
        Ok(AlignmentView {
            label: label(&dish),
            position: dish.position.clone(),
            state: step.title.clone(),
            map_svg: drawn
                .or_else(|| design.map(|design| blank(&dish.position, design)))
                .unwrap_or_default(),
            counts: counts(&facets),
            limit: limit.unwrap_or_default(),
            findings: sheet
                .map(|one| one.findings.iter().map(noticed).collect())
                .unwrap_or_default(),
            sheet_why_not: judging.map(|(step, _)| sheets.why_not(&step.id)).unwrap_or_default(),
            sheet: shown,
            racks,
            facets,
        })
    }
}

fn no_survey(step: &str) -> AppError {
    AppError::new(
        "record.no_survey",
        format!("Step \"{step}\" of this record is no survey of facets."),
        "Load the record again and choose one of its steps.",
    )
}

/// The survey that counts for an attempt.
fn current_survey<'r>(
    record: &'r RecordDoc,
    checklist: &Checklist,
    number: u32,
    step: &str,
) -> Option<&'r SurveyGiven> {
    logbook::judge::attempts_for(record, checklist, number, step)
        .find_map(|attempt| attempt.surveys.get(step)?.current())
}

/// The calculation that takes a survey.
fn judged_by<'c>(checklist: &'c Checklist, survey: &str) -> Option<(&'c Step, &'c Calculated)> {
    checklist.calculations().find(|(_, calculated)| {
        calculated.inputs.values().any(|from| matches!(from, InputFrom::Survey(of) if of == survey))
    })
}

/// Rows of the sheet's table of facets, by name and column.
struct Rows<'s>(Option<&'s acceptance::Table>);

impl<'s> Rows<'s> {
    fn of(sheet: Option<&'s Sheet>) -> Self {
        Self(sheet.and_then(|sheet| table(sheet, "facets")))
    }

    fn any(&self) -> bool {
        self.0.is_some_and(|table| !table.rows.is_empty())
    }

    fn cell(&self, facet: &str, column: &str) -> &'s str {
        self.0.map_or("", |table| cell(table, facet, column))
    }
}

fn table<'s>(sheet: &'s Sheet, name: &str) -> Option<&'s acceptance::Table> {
    sheet.tables.iter().find(|table| table.name == name)
}

fn cell<'s>(table: &'s acceptance::Table, row: &str, column: &str) -> &'s str {
    let at = table.columns.iter().position(|one| one == column);
    let row = table.rows.iter().find(|cells| cells.first().is_some_and(|first| first == row));
    at.zip(row).and_then(|(at, row)| row.get(at)).map_or("", String::as_str)
}

fn facet(line: &str, given: Option<&SurveyGiven>, rows: &Rows<'_>) -> Facet {
    let state = given.map_or(RowState::NotMeasured, |given| {
        given.row(line).map_or_else(|| given.others.state(), |row| row.state)
    });
    Facet {
        facet: line.to_owned(),
        rack: line.split('/').next().unwrap_or_default().to_owned(),
        state: match state {
            RowState::Measured => FacetState::Measured,
            RowState::Within => FacetState::Within,
            RowState::NotMeasured => FacetState::NotMeasured,
            RowState::Masked => FacetState::Masked,
        },
        x: rows.cell(line, "x mrad").to_owned(),
        y: rows.cell(line, "y mrad").to_owned(),
        out: !rows.cell(line, "out").is_empty(),
    }
}

fn racks(facets: &[Facet], sheet: Option<&Sheet>) -> Vec<RackView> {
    let mut ids: Vec<&str> = facets.iter().map(|facet| facet.rack.as_str()).collect();
    ids.dedup();
    let found = sheet.and_then(|sheet| table(sheet, "racks"));
    ids.into_iter()
        .map(|id| RackView {
            id: id.to_owned(),
            moved: found.is_some_and(|table| !cell(table, id, "moved").is_empty()),
            sentence: sheet
                .and_then(|sheet| sheet.findings.iter().find(|one| one.place == id))
                .map(|one| one.sentence.clone())
                .unwrap_or_default(),
        })
        .collect()
}

fn counts(facets: &[Facet]) -> FacetCounts {
    let of = |state| count(facets.iter().filter(|one| one.state == state).count());
    FacetCounts {
        measured: of(FacetState::Measured),
        of: count(facets.len()),
        out: count(facets.iter().filter(|one| one.out).count()),
        unmeasured: of(FacetState::NotMeasured),
    }
}

/// The map before anything is measured.
fn blank(position: &str, design: &DishDesign) -> String {
    let racks = design
        .racks
        .iter()
        .map(|rack| MapRack {
            id: rack.id.clone(),
            from: number(&rack.from_bearing, Dimension::Angle, "°"),
            to: number(&rack.to_bearing, Dimension::Angle, "°"),
            moved: false,
        })
        .collect();
    let facets = design
        .facets
        .iter()
        .map(|facet| MapFacet {
            id: facet.id.clone(),
            rack: facet.rack.clone(),
            radius: number(&facet.radius, Dimension::Length, "m"),
            bearing: number(&facet.bearing, Dimension::Angle, "°"),
            state: MapState::NotMeasured,
            error: None,
        })
        .collect();
    let map = FacetMap { name: position.to_owned(), racks, facets, chosen: None };
    report::figure::facet_map(&map).to_svg()
}

/// A figure of the design in a unit: where something is drawn, not what is judged.
fn number(typed: &str, dimension: Dimension, unit: &str) -> f32 {
    let shown = in_unit(typed, dimension, unit, 4);
    shown.and_then(|number| number.parse().ok()).unwrap_or(0.0)
}
