//! The figures of a survey: errors, what is to be turned, what is lost; and where the spots lie.

use quantity::significant;

use super::crew::sums;
use super::geometry::Pair;
use super::judge::{mrad, signed_mrad};
use super::measure::{Measured, masked_share};
use super::read::Survey;
use super::work::{Plan, Work};
use crate::Outcome;
use crate::sheet::{Axes, Drawn, Figure, Point, Series};

/// Every result.
pub(super) fn results(survey: &Survey, measured: &Measured<'_>, plan: &Plan<'_>) -> Vec<Outcome> {
    let mut out = angles(survey, measured);
    let counts = &measured.counts;
    let mut count = |name: &str, meaning: &str, value: usize| {
        out.push(Outcome::new(name, meaning, value.to_string(), ""));
    };
    if survey.axis.is_some() {
        count("out_of_limit", "measured facets beyond the limit on an axis", counts.out);
    }
    count("facets", "facets of the design", counts.facets);
    count("measured", "facets measured", counts.measured);
    count("unmeasured", "facets not measured", counts.unmeasured);
    count("masked", "facets masked", counts.masked);
    if measured.racks.iter().any(|rack| rack.moved.is_some()) {
        let moved = measured.racks.iter().filter(|rack| rack.moved == Some(true)).count();
        count("racks_moved", "racks that moved as a whole", moved);
        let elsewhere = measured.out_elsewhere();
        count("out_elsewhere", "facets out on racks that did not move as a whole", elsewhere);
    }
    if let Some(share) = masked_share(counts) {
        let share = share.round_dp(6).normalize().to_string();
        out.push(Outcome::new("masked_share", "share of the facets that is masked", share, "%"));
    }
    out.extend(of_work(survey, &plan.work));
    out.extend(of_light(survey, plan));
    out
}

fn of_work(survey: &Survey, work: &Work<'_>) -> Vec<Outcome> {
    let mut out = Vec::new();
    if !survey.plans_work() {
        return out;
    }
    let mut count = |name: &str, meaning: &str, value: usize| {
        out.push(Outcome::new(name, meaning, value.to_string(), ""));
    };
    let waiting = work.bolts.iter().map(|bolts| bolts.waiting.len()).sum();
    count("to_turn", "facets to be turned", work.jobs.len());
    count("waiting", "facets not to be turned before their rack is fixed", waiting);
    if let Some(rms) = work.rms_after {
        let meaning = "RMS in two dimensions once every listed facet is turned as listed, with the \
                       rest as it is";
        out.push(Outcome::new("rms_after", meaning, mrad(rms, survey.rms.as_ref()), "mrad"));
    }
    out
}

fn of_light(survey: &Survey, plan: &Plan<'_>) -> Vec<Outcome> {
    let Some(beam) = survey.beam() else { return Vec::new() };
    let sums = sums(plan);
    if sums.facets == 0 {
        return Vec::new();
    }
    let kilowatts = |watts: f64| significant(watts / 1000.0, 4);
    let of = format!("over the {} facets measured", sums.facets);
    let mut out = vec![
        Outcome::new(
            "light_aimed",
            &format!("light through the aperture with every facet on its aim point, {of}"),
            kilowatts(sums.aimed),
            "kW",
        ),
        Outcome::new(
            "light_lost",
            &format!("of that, light lost by misalignment, {of}"),
            kilowatts(sums.lost()),
            "kW",
        ),
        Outcome::new(
            "light_lost_share",
            "the same as a share",
            significant(100.0 * sums.lost() / sums.aimed, 4),
            "%",
        ),
    ];
    if let Some(efficiency) = beam.efficiency {
        let meaning = "electric power lost by misalignment, at the efficiency given";
        let value = kilowatts(sums.lost() * efficiency);
        out.push(Outcome::new("electric_lost", meaning, value, "kW"));
    }
    out
}

/// Where the spots lie in sunlight against the aperture, for the eye.
pub(super) fn spots(survey: &Survey, measured: &Measured<'_>, plan: &Plan<'_>) -> Option<Figure> {
    let beam = survey.beam()?;
    let millimetres = |pair: Pair| Point::of(1000.0 * pair.x, 1000.0 * pair.y);
    let lit: Vec<_> = measured
        .facets
        .iter()
        .zip(&plan.light)
        .filter_map(|(facet, caught)| Some((facet.row, caught.as_ref()?)))
        .collect();
    let mut aims: Vec<Point> = lit.iter().map(|(row, _)| millimetres(row.aim)).collect();
    aims.dedup();
    let spots =
        lit.iter().map(|(row, caught)| millimetres(row.spot.to_pair(caught.lies))).collect();
    let ring = (0..=ROUND).map(|part| {
        let turned = 2.0 * core::f64::consts::PI * f64::from(part) / f64::from(ROUND);
        millimetres(Pair { x: beam.radius * libm::sin(turned), y: beam.radius * libm::cos(turned) })
    });
    let series = vec![
        Series::new("aperture", "aperture of the receiver", Drawn::Dashed, ring.collect()),
        Series::new("aims", "aim points", Drawn::Crosses, aims),
        Series::new("spots", "middle of each facet's spot in sunlight", Drawn::Points, spots),
    ];
    let figure = Figure::lines(
        "Where the light goes in the focal plane, seen from the focus",
        "right in mm",
        "up in mm",
        series,
    );
    Some(Figure { axes: Some(Axes::Equal), ..figure })
}

/// Corners of the ring that stands for the aperture.
const ROUND: u8 = 72;

fn angles(survey: &Survey, measured: &Measured<'_>) -> Vec<Outcome> {
    let mut out = Vec::new();
    let axis = survey.axis.as_ref();
    // Facets without a number can be worse than the worst of the rest, unless that is out already.
    let certain = measured.counts.within == 0 || measured.counts.out > 0;
    if let (Some((facet, error)), true) = (measured.worst(), certain) {
        let meaning = format!("largest error on one axis, at {}", facet.row.facet);
        let mut worst =
            Outcome::new("axis_worst", &meaning, mrad(error.tilt.larger(), axis), "mrad");
        worst.standard_uncertainty = error.doubt.map(|doubt| {
            let along_x = error.tilt.x.abs() >= error.tilt.y.abs();
            significant(1000.0 * if along_x { doubt.x } else { doubt.y }, 2)
        });
        out.push(worst);
        let name = facet.row.facet.clone();
        out.push(Outcome::new("worst_facet", "facet of the largest error", name, ""));
        if let Some(quick) = error.quick {
            let meaning = "the worst facet by the quick rule d/(2L), for comparison only";
            out.push(Outcome::new("quick_worst", meaning, mrad(quick, None), "mrad"));
        }
    }
    let Some(all) = &measured.all else { return out };
    let mut rms =
        Outcome::new("rms", "RMS in two dimensions", mrad(all.rms, survey.rms.as_ref()), "mrad");
    rms.standard_uncertainty = measured.rms_doubt.map(|u| significant(1000.0 * u, 2));
    out.push(rms);
    for (name, meaning, value) in [
        ("rms_x", "RMS along x", all.rms_x),
        ("rms_y", "RMS along y", all.rms_y),
        ("mean_x", "mean along x", all.mean.x),
        ("mean_y", "mean along y", all.mean.y),
    ] {
        out.push(Outcome::new(name, meaning, signed_mrad(value, None), "mrad"));
    }
    out
}
