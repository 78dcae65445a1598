//! What a crew should be warned of before it turns anything.

use super::crew::sums;
use super::light;
use super::measure::Measured;
use super::read::Survey;
use super::studs::Studs;
use super::work::{Job, Plan};
use crate::Flag;
use crate::steps::flag;

/// The warnings about turning and about light.
pub(super) fn flags(survey: &Survey, measured: &Measured<'_>, plan: &Plan<'_>) -> Vec<Flag> {
    let mut flags = Vec::new();
    if let Some(studs) = &survey.studs {
        flags.extend(of_turning(survey, studs, plan));
    }
    if survey.plans_work() {
        flags.extend(of_order(survey, measured, plan));
    }
    flags.extend(of_light(survey, plan));
    flags
}

fn names(jobs: &[&Job<'_>]) -> String {
    jobs.iter().map(|job| job.facet).collect::<Vec<_>>().join(", ")
}

fn of_turning(survey: &Survey, studs: &Studs, plan: &Plan<'_>) -> Vec<Flag> {
    let jobs = &plan.work.jobs;
    let mut flags = Vec::new();
    if jobs.is_empty() {
        return flags;
    }
    flags.push(flag(
        "look_at_the_spot",
        "Look at the first facet's spot while it is turned: it has to move as the list says. If it \
         goes the other way, stop: thread, naming of the studs or the side from which they are \
         seen is not as the design says. After each facet look at its spot again, and lock its nuts."
            .to_owned(),
    ));
    let beyond: Vec<&Job<'_>> = jobs
        .iter()
        .filter(|job| {
            let left = job.turns.as_ref().map(|turns| turns.left.larger());
            left.zip(survey.axis.as_ref()).is_some_and(|(left, axis)| left > axis.edge)
        })
        .collect();
    if !beyond.is_empty() {
        flags.push(flag(
            "step_too_coarse",
            format!(
                "With 1/{} of a turn as the smallest step these stay beyond the limit: {}. Turn \
                 finer, by the spot.",
                studs.steps,
                names(&beyond)
            ),
        ));
    }
    if let Some(travel) = studs.travel {
        let far: Vec<&Job<'_>> = jobs
            .iter()
            .filter(|job| job.turns.as_ref().is_some_and(|turns| turns.farthest > travel))
            .collect();
        if !far.is_empty() {
            flags.push(flag(
                "travel",
                format!(
                    "A stud that stands in the middle of its thread does not go as far as these \
                     need, {} mm each way: {}. Look at the thread first; the facet may be mounted \
                     wrongly.",
                    quantity::significant(1000.0 * travel, 3),
                    names(&far)
                ),
            ));
        }
    }
    flags
}

fn of_order(survey: &Survey, measured: &Measured<'_>, plan: &Plan<'_>) -> Vec<Flag> {
    let work = &plan.work;
    let mut flags = Vec::new();
    let unknown: Vec<&Job<'_>> = work.jobs.iter().filter(|job| !job.rack_known).collect();
    if let Some(first) = unknown.first() {
        let mut racks: Vec<&str> = unknown.iter().map(|job| job.rack).collect();
        racks.sort_unstable();
        racks.dedup();
        flags.push(flag(
            "rack_unknown",
            format!(
                "Whether these racks moved as a whole can't be said from this survey: {}. Check \
                 that before a facet is turned, {} first.",
                racks.join(", "),
                first.facet
            ),
        ));
    }
    if survey.axis.is_none() && survey.worth_turning.is_none() {
        flags.push(flag(
            "nothing_to_go_by",
            "Neither a limit for each axis nor the smallest error worth turning for is given, so \
             that no facet is listed as work."
                .to_owned(),
        ));
    }
    let above = measured.all.zip(survey.rms.as_ref()).is_some_and(|(all, rms)| all.rms > rms.edge);
    if above && work.jobs.is_empty() && work.bolts.is_empty() {
        flags.push(flag(
            "rms_without_work",
            "The RMS is above its limit, and no facet is beyond what is worth turning for: give a \
             smaller worth_turning to get a list."
                .to_owned(),
        ));
    }
    flags
}

fn of_light(survey: &Survey, plan: &Plan<'_>) -> Vec<Flag> {
    if let Some(light::Read::Lacks(lacks)) = &survey.light {
        return vec![flag(
            "light_incomplete",
            format!(
                "What misalignment costs is not worked out; this is missing: {}.",
                lacks.join("; ")
            ),
        )];
    }
    let sums = sums(plan);
    if sums.better == 0 {
        return Vec::new();
    }
    vec![flag(
        "better_off_aim",
        format!(
            "{} of {} facets send more light through the aperture as they stand than from their aim \
             points, and count as gains. Aim points spread the light on purpose: more light is no \
             reason to leave a facet off its own.",
            sums.better, sums.facets
        ),
    )]
}
