//! What is to be done, in order: racks that moved before their facets, then rack by rack.

use std::collections::BTreeMap;

use super::geometry::Bench;
use super::light::Caught;
use super::measure::{Errored, Facet, Measured};
use super::read::Survey;
use super::turns::{Turns, tilt_now, turns};

/// The order of work, in words.
pub(super) const RULE: &str = "racks that moved as a whole come first, at their bolts; none of their facets is turned before \
     the rack is fixed and surveyed again. Then rack by rack, the rack with the worst facet first, \
     so that nobody climbs back and forth and each rack can be surveyed as left in one session; on \
     a rack the worst facet first. Worst is the larger of the two axes";

/// Everything that is to be done.
#[derive(Debug, Clone, Default)]
pub(super) struct Work<'s> {
    /// Racks that moved.
    pub(super) bolts: Vec<Bolts<'s>>,
    /// Facets that can be turned, in order.
    pub(super) jobs: Vec<Job<'s>>,
    /// RMS with every facet where its turns leave it, rad; none where not every facet of the dish
    /// has a number, or a rack moved.
    pub(super) rms_after: Option<f64>,
}

/// A rack to be fixed at its bolts.
#[derive(Debug, Clone)]
pub(super) struct Bolts<'s> {
    pub(super) rack: &'s str,
    /// Its facets that are beyond what is worth turning, by name: they wait.
    pub(super) waiting: Vec<Waiting<'s>>,
    /// Light that its facets lose, W.
    pub(super) worth: Option<f64>,
}

/// A facet that waits for its rack.
#[derive(Debug, Clone)]
pub(super) struct Waiting<'s> {
    pub(super) facet: &'s str,
    /// Its larger error, rad.
    pub(super) error: f64,
}

/// A facet to be turned.
#[derive(Debug, Clone)]
pub(super) struct Job<'s> {
    pub(super) facet: &'s str,
    pub(super) rack: &'s str,
    /// Its larger error, rad.
    pub(super) error: f64,
    /// Whether it can be said that its rack did not move.
    pub(super) rack_known: bool,
    /// None where the studs are not described.
    pub(super) turns: Option<Turns>,
    /// Light that the turning gains, W.
    pub(super) worth: Option<f64>,
}

/// What is worked out beyond the errors.
#[derive(Debug, Clone)]
pub(super) struct Plan<'s> {
    /// Light of each facet, in the order of the facets; none where it isn't measured or not known.
    pub(super) light: Vec<Option<Caught>>,
    pub(super) work: Work<'s>,
}

/// Works it out.
pub(super) fn plan<'s>(survey: &'s Survey, measured: &Measured<'s>) -> Plan<'s> {
    let light = light(survey, &measured.facets);
    let work = if survey.plans_work() { work(survey, measured, &light) } else { Work::default() };
    Plan { light, work }
}

fn light(survey: &Survey, facets: &[Facet<'_>]) -> Vec<Option<Caught>> {
    let sun = Bench::focal_plane(survey.bench.focal_length);
    let of = |facet: &Facet<'_>| {
        let beam = survey.beam()?;
        let (row, error) = (facet.row, facet.error.as_ref()?);
        let lies = sun.lands(row.spot, tilt_now(survey, row, error.typed.shift));
        Some(beam.caught(sun.focal_length, row.spot, row.spot.to_polar(row.aim), lies))
    };
    facets.iter().map(of).collect()
}

/// Puts everything in order.
fn work<'s>(survey: &'s Survey, measured: &Measured<'s>, light: &[Option<Caught>]) -> Work<'s> {
    let mut work = Work::default();
    let mut by_rack: BTreeMap<&str, Vec<Job<'s>>> = BTreeMap::new();
    for (facet, caught) in measured.facets.iter().zip(light) {
        let Some(error) = &facet.error else { continue };
        let rack = measured.racks.iter().find(|rack| rack.name == facet.row.rack);
        let moved = rack.and_then(|rack| rack.moved);
        if moved == Some(true) {
            wait(survey, &mut work, facet, error, caught.as_ref());
        } else if worth_turning(survey, error) {
            let job = job(survey, facet, error, (moved.is_some(), caught.as_ref()));
            by_rack.entry(&facet.row.rack).or_default().push(job);
        }
    }
    let mut racks: Vec<Vec<Job<'s>>> = by_rack.into_values().collect();
    for jobs in &mut racks {
        // The sort keeps the order of names where two are equal.
        jobs.sort_by(|a, b| b.error.total_cmp(&a.error));
    }
    let worst = |jobs: &Vec<Job<'_>>| jobs.first().map_or(0.0, |job| job.error);
    racks.sort_by(|a, b| worst(b).total_cmp(&worst(a)));
    work.bolts.sort_by(|a, b| worst_waiting(b).total_cmp(&worst_waiting(a)));
    for bolts in &mut work.bolts {
        bolts.waiting.sort_by(|a, b| b.error.total_cmp(&a.error));
    }
    work.jobs = racks.into_iter().flatten().collect();
    work.rms_after = rms_after(survey, measured, &work);
    work
}

fn worst_waiting(bolts: &Bolts<'_>) -> f64 {
    bolts.waiting.iter().map(|facet| facet.error).fold(0.0, f64::max)
}

fn worth_turning(survey: &Survey, error: &Errored) -> bool {
    error.out || survey.worth_turning.is_some_and(|least| error.tilt.larger() > least)
}

fn wait<'s>(
    survey: &Survey,
    work: &mut Work<'s>,
    facet: &Facet<'s>,
    error: &Errored,
    caught: Option<&Caught>,
) {
    let rack = facet.row.rack.as_str();
    if !work.bolts.iter().any(|bolts| bolts.rack == rack) {
        let worth = survey.beam().map(|_| 0.0);
        work.bolts.push(Bolts { rack, waiting: Vec::new(), worth });
    }
    let Some(bolts) = work.bolts.iter_mut().find(|bolts| bolts.rack == rack) else { return };
    if let (Some(worth), Some(caught)) = (&mut bolts.worth, caught) {
        *worth += caught.lost();
    }
    if worth_turning(survey, error) {
        bolts.waiting.push(Waiting { facet: &facet.row.facet, error: error.tilt.larger() });
    }
}

fn job<'s>(
    survey: &Survey,
    facet: &Facet<'s>,
    error: &Errored,
    (rack_known, caught): (bool, Option<&Caught>),
) -> Job<'s> {
    let row = facet.row;
    let studs = survey.studs.as_ref();
    let turns = studs.map(|studs| turns(survey, studs, row, error.typed.shift));
    let worth = survey.beam().zip(caught).map(|(beam, caught)| match &turns {
        Some(turns) => caught.sent * (beam.share(caught.sigma, turns.in_sun) - caught.now),
        None => caught.lost(),
    });
    Job { facet: &row.facet, rack: &row.rack, error: error.tilt.larger(), rack_known, turns, worth }
}

fn rms_after(survey: &Survey, measured: &Measured<'_>, work: &Work<'_>) -> Option<f64> {
    survey.studs.as_ref()?;
    let all = measured.all.as_ref()?;
    if !work.bolts.is_empty() || measured.counts.unmeasured > 0 || work.jobs.is_empty() {
        return None;
    }
    let mut squares = 0.0;
    for (facet, error) in measured.facets.iter().filter_map(|f| Some((f, f.error.as_ref()?))) {
        let job = work.jobs.iter().find(|job| job.facet == facet.row.facet);
        let left = job.and_then(|job| job.turns.as_ref()).map_or(error.tilt, |turns| turns.left);
        squares += left.x * left.x + left.y * left.y;
    }
    let count = f64::from(u32::try_from(all.count).unwrap_or(u32::MAX));
    Some(libm::sqrt(squares / count))
}
