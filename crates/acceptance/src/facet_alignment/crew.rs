//! The lists for the crew: what to do in order, and what each rack costs in light.

use std::collections::BTreeMap;

use super::judge::signed_mrad;
use super::light::Caught;
use super::measure::Measured;
use super::read::Survey;
use super::studs::Studs;
use super::tables::table;
use super::turns::Turns;
use super::work::{Bolts, Job, Plan};
use crate::Table;

/// The list of what is to be done; none where nothing is.
pub(super) fn work_table(
    survey: &Survey,
    measured: &Measured<'_>,
    plan: &Plan<'_>,
) -> Option<Table> {
    let work = &plan.work;
    if work.bolts.is_empty() && work.jobs.is_empty() {
        return None;
    }
    let mut list = List { survey, rows: Vec::new(), number: 0, gained: 0.0 };
    for bolts in &work.bolts {
        let rack = measured.racks.iter().find(|rack| rack.name == bolts.rack);
        let tilt = rack.and_then(|rack| rack.fit.as_ref()).map(|fit| fit.tilt);
        list.bolts(bolts, tilt);
    }
    for job in &work.jobs {
        list.job(job);
    }
    let columns = columns(survey);
    let columns: Vec<&str> = columns.iter().map(String::as_str).collect();
    let title = match survey.studs {
        Some(_) => {
            "Order of work. In is clockwise (+), out counter-clockwise (-), seen from behind the \
             mirror; mm is towards the focus; the spot moves as seen from the focus"
        }
        None => "Order of work",
    };
    Some(table("work", title, &columns, list.rows))
}

fn columns(survey: &Survey) -> Vec<String> {
    let mut columns: Vec<String> =
        ["no", "rack", "facet", "error mrad", "to do"].map(str::to_owned).into();
    if let Some(studs) = &survey.studs {
        let both = |name: &String| [format!("{name} turns"), format!("{name} mm")];
        columns.extend(studs.names.iter().flat_map(both));
        let rest = ["left x mrad", "left y mrad", "spot right mm", "spot up mm"];
        columns.extend(rest.map(str::to_owned));
    }
    if survey.beam().is_some() {
        columns.extend(["gains W", "so far W"].map(str::to_owned));
    }
    columns
}

struct List<'s> {
    survey: &'s Survey,
    rows: Vec<Vec<String>>,
    number: usize,
    gained: f64,
}

impl List<'_> {
    fn bolts(&mut self, bolts: &Bolts<'_>, tilt: Option<f64>) {
        let first = "bolts of the rack, then survey it again";
        let error = tilt.map_or_else(String::new, |tilt| signed_mrad(tilt, self.axis()));
        self.number += 1;
        self.push(self.number.to_string(), [bolts.rack, "", &error, first], None, bolts.worth);
        for facet in &bolts.waiting {
            let error = signed_mrad(facet.error, self.axis());
            let cells = [bolts.rack, facet.facet, &error, "not before the rack is fixed"];
            self.push(String::new(), cells, None, None);
        }
    }

    fn job(&mut self, job: &Job<'_>) {
        let error = signed_mrad(job.error, self.axis());
        let turned = self.survey.studs.as_ref().zip(job.turns.as_ref());
        let call = match turned {
            Some((studs, turns)) => studs.call(turns.raised),
            None => "set to its aim point".to_owned(),
        };
        self.number += 1;
        let cells = [job.rack, job.facet, &error, &call];
        self.push(self.number.to_string(), cells, turned, job.worth);
    }

    const fn axis(&self) -> Option<&super::read::Edge> {
        self.survey.axis.as_ref()
    }

    fn push(
        &mut self,
        number: String,
        cells: [&str; 4],
        turned: Option<(&Studs, &Turns)>,
        worth: Option<f64>,
    ) {
        let mut row = vec![number];
        row.extend(cells.map(str::to_owned));
        if self.survey.studs.is_some() {
            match turned {
                Some((studs, turns)) => row.extend(turn_cells(studs, turns)),
                None => row.extend(core::iter::repeat_n(String::new(), 10)),
            }
        }
        if self.survey.beam().is_some() {
            let watts = |watts: f64| unsigned_zero(format!("{watts:.1}"));
            self.gained += worth.unwrap_or(0.0);
            row.push(worth.map(watts).unwrap_or_default());
            row.push(worth.map(|_| watts(self.gained)).unwrap_or_default());
        }
        self.rows.push(row);
    }
}

fn turn_cells(studs: &Studs, turns: &Turns) -> Vec<String> {
    let mut cells = Vec::new();
    for raised in turns.raised {
        cells.push(studs.signed(raised));
        cells.push(unsigned_zero(format!("{:.3}", 1000.0 * studs.lift(raised))));
    }
    cells.push(signed_mrad(turns.left.x, None));
    cells.push(signed_mrad(turns.left.y, None));
    cells.push(unsigned_zero(format!("{:.1}", 1000.0 * turns.moves.x)));
    cells.push(unsigned_zero(format!("{:.1}", 1000.0 * turns.moves.y)));
    cells
}

/// Drops the sign of a number that rounds to zero.
pub(super) fn unsigned_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}

/// Sums of light, W.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sums {
    pub(super) facets: usize,
    pub(super) aimed: f64,
    pub(super) now: f64,
    /// Facets that send more light through the aperture than they would from their aim points.
    pub(super) better: usize,
}

impl Sums {
    fn add(&mut self, caught: &Caught) {
        self.facets += 1;
        self.aimed += caught.sent * caught.aimed;
        self.now += caught.sent * caught.now;
        self.better += usize::from(caught.lost() < 0.0);
    }

    pub(super) fn lost(&self) -> f64 {
        self.aimed - self.now
    }
}

/// Sums over all facets that were measured.
pub(super) fn sums(plan: &Plan<'_>) -> Sums {
    let mut sums = Sums::default();
    plan.light.iter().flatten().for_each(|caught| sums.add(caught));
    sums
}

/// What each rack costs; none where the light is not known.
pub(super) fn light_table(
    survey: &Survey,
    measured: &Measured<'_>,
    plan: &Plan<'_>,
) -> Option<Table> {
    let beam = survey.beam()?;
    let mut by_rack: BTreeMap<&str, Sums> = BTreeMap::new();
    for (facet, caught) in measured.facets.iter().zip(&plan.light) {
        let sums = by_rack.entry(&facet.row.rack).or_default();
        if let Some(caught) = caught {
            sums.add(caught);
        }
    }
    let kilowatts = |watts: f64| unsigned_zero(format!("{:.3}", watts / 1000.0));
    let mut columns = vec!["rack", "measured", "aimed kW", "caught kW", "lost kW"];
    columns.extend(beam.efficiency.map(|_| "lost electric kW"));
    let rows = by_rack.into_iter().map(|(rack, sums)| {
        let mut row = vec![rack.to_owned(), sums.facets.to_string()];
        row.extend([sums.aimed, sums.now, sums.lost()].map(kilowatts));
        row.extend(beam.efficiency.map(|efficiency| kilowatts(sums.lost() * efficiency)));
        row
    });
    let title = "Light through the aperture from each rack, with every facet on its aim point and \
                 as it stands";
    Some(table("light_racks", title, &columns, rows.collect()))
}
