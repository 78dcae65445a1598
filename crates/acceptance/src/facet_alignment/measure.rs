//! From shifts on the board to the error of each facet, and to the figures of racks and dish.

use std::collections::BTreeMap;

use quantity::Decimal;

use super::fit::{Fit, Tilted, fit};
use super::geometry::{Bench, Pair, Polar, Ray};
use super::input::FacetState;
use super::read::{Reading, Row, Survey};

/// A facet with its error, in rad.
#[derive(Debug, Clone)]
pub(super) struct Facet<'s> {
    pub(super) row: &'s Row,
    pub(super) ray: Ray,
    pub(super) error: Option<Errored>,
}

/// The error of a measured facet.
#[derive(Debug, Clone)]
pub(super) struct Errored {
    /// The shifts as typed.
    pub(super) typed: Reading,
    /// Shift on the board less where the spot of a correctly set facet lies, m.
    pub(super) shift: Polar,
    /// Tilt of the normal less its aim, radial and across, rad.
    pub(super) polar: Polar,
    /// The same in x and y.
    pub(super) tilt: Pair,
    /// Standard uncertainty of the two, where the doubt of a reading is known.
    pub(super) doubt: Option<Pair>,
    /// Outside the limit of one axis; false where there is no limit.
    pub(super) out: bool,
    /// By the quick rule, rad.
    pub(super) quick: Option<f64>,
}

/// Means and RMS of a group of facets, rad.
#[derive(Debug, Clone, Copy)]
pub(super) struct Group {
    pub(super) count: usize,
    pub(super) mean: Pair,
    pub(super) rms_x: f64,
    pub(super) rms_y: f64,
    pub(super) rms: f64,
}

/// A rack.
#[derive(Debug, Clone)]
pub(super) struct Rack {
    pub(super) name: String,
    pub(super) facets: usize,
    /// Facets that are out on one axis.
    pub(super) out: usize,
    /// None where nothing is measured, or where facets stand without a number as within.
    pub(super) group: Option<Group>,
    pub(super) fit: Option<Fit>,
    /// Moved as a whole; none where it can't be said.
    pub(super) moved: Option<bool>,
    /// Mean of the quick rule, rad.
    pub(super) quick: Option<f64>,
}

/// Everything that was worked out.
#[derive(Debug, Clone)]
pub(super) struct Measured<'s> {
    pub(super) facets: Vec<Facet<'s>>,
    pub(super) racks: Vec<Rack>,
    /// Four quarters by bearing, with names.
    pub(super) quarters: Vec<(&'static str, Option<Group>)>,
    /// All measured facets; none where any stands without a number.
    pub(super) all: Option<Group>,
    /// Standard uncertainty of the RMS, rad.
    pub(super) rms_doubt: Option<f64>,
    pub(super) counts: Counts,
}

/// How many facets are in each state.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Counts {
    pub(super) facets: usize,
    pub(super) measured: usize,
    pub(super) within: usize,
    pub(super) unmeasured: usize,
    pub(super) masked: usize,
    pub(super) out: usize,
}

impl Measured<'_> {
    /// The measured facet with the largest error on one axis.
    pub(super) fn worst(&self) -> Option<(&Facet<'_>, &Errored)> {
        self.facets
            .iter()
            .filter_map(|facet| facet.error.as_ref().map(|error| (facet, error)))
            .fold(None, |worst, next| match worst {
                Some((_, error)) if error.tilt.larger() >= next.1.tilt.larger() => worst,
                _ => Some(next),
            })
    }

    /// Names of the facets in a state.
    pub(super) fn names(&self, state: FacetState) -> Vec<&str> {
        let of_state = self.facets.iter().filter(|facet| facet.row.state == state);
        of_state.map(|facet| facet.row.facet.as_str()).collect()
    }

    /// Facets that are out and whose rack did not move as a whole.
    pub(super) fn out_elsewhere(&self) -> usize {
        let moved = self.racks.iter().filter(|rack| rack.moved == Some(true));
        self.counts.out - moved.map(|rack| rack.out).sum::<usize>()
    }
}

/// Works everything out.
pub(super) fn measure(survey: &Survey) -> Measured<'_> {
    let facets: Vec<_> = survey.rows.iter().map(|row| facet(survey, row)).collect();
    let counts = counts(&facets);
    let complete = counts.within == 0;
    let all = group(facets.iter()).filter(|_| complete);
    let rms_doubt = all.and_then(|group| doubt_of_rms(survey, &facets, &group));
    Measured {
        racks: racks(survey, &facets),
        quarters: quarters(&facets),
        all,
        rms_doubt,
        counts,
        facets,
    }
}

fn facet<'s>(survey: &Survey, row: &'s Row) -> Facet<'s> {
    let ray = survey.bench.ray(row.spot);
    let error = row.reading.as_ref().map(|reading| errored(survey, row, &ray, reading));
    Facet { row, ray, error }
}

fn errored(survey: &Survey, row: &Row, ray: &Ray, reading: &Reading) -> Errored {
    let spot = row.spot;
    let read = spot.to_polar(reading.shift);
    let shift = Polar { r: read.r - ray.meets, t: read.t };
    let per = ray.tilt_of_shift();
    let aim = spot.to_polar(row.aim);
    let aim_per = Bench::focal_plane(survey.bench.focal_length).ray(spot).tilt_of_shift();
    let polar =
        Polar { r: shift.r * per.r - aim.r * aim_per.r, t: shift.t * per.t - aim.t * aim_per.t };
    let tilt = spot.to_pair(polar);
    let doubt = survey.doubt.as_ref().map(|doubt| {
        let (u, sin, cos) = (doubt.standard, libm::sin(spot.bearing), libm::cos(spot.bearing));
        Pair {
            x: u * libm::hypot(per.r * sin, per.t * cos),
            y: u * libm::hypot(per.r * cos, per.t * sin),
        }
    });
    let out = survey.axis.as_ref().is_some_and(|limit| {
        let spare = |value: f64, u: f64| value.abs() > limit.edge - limit.guard * u;
        let u = doubt.unwrap_or(Pair { x: 0.0, y: 0.0 });
        spare(tilt.x, u.x) || spare(tilt.y, u.y)
    });
    let off = spot.to_pair(shift).minus(row.aim);
    let quick = survey.quick_distance.map(|distance| off.size() / (2.0 * distance));
    Errored { typed: reading.clone(), shift, polar, tilt, doubt, out, quick }
}

fn counts(facets: &[Facet<'_>]) -> Counts {
    let in_state = |state| facets.iter().filter(|facet| facet.row.state == state).count();
    Counts {
        facets: facets.len(),
        measured: in_state(FacetState::Measured),
        within: in_state(FacetState::Within),
        unmeasured: in_state(FacetState::NotMeasured),
        masked: in_state(FacetState::Masked),
        out: facets.iter().filter(|f| f.error.as_ref().is_some_and(|e| e.out)).count(),
    }
}

/// A count as a number to compute with.
fn number(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

fn group<'f>(facets: impl Iterator<Item = &'f Facet<'f>>) -> Option<Group> {
    let (mut count, mut sum, mut squares) = (0, Pair { x: 0.0, y: 0.0 }, Pair { x: 0.0, y: 0.0 });
    for error in facets.filter_map(|facet| facet.error.as_ref()) {
        let Pair { x, y } = error.tilt;
        count += 1;
        sum = Pair { x: sum.x + x, y: sum.y + y };
        squares = Pair { x: squares.x + x * x, y: squares.y + y * y };
    }
    let n = number(count);
    (count > 0).then(|| Group {
        count,
        mean: Pair { x: sum.x / n, y: sum.y / n },
        rms_x: libm::sqrt(squares.x / n),
        rms_y: libm::sqrt(squares.y / n),
        rms: libm::sqrt((squares.x + squares.y) / n),
    })
}

/// The doubt that independent readings leave in the RMS: u² = Σ(δ·u(δ))²/(n·RMS)².
fn doubt_of_rms(survey: &Survey, facets: &[Facet<'_>], group: &Group) -> Option<f64> {
    let u = survey.doubt.as_ref()?.standard;
    let mut sum = 0.0;
    for facet in facets {
        if let Some(error) = &facet.error {
            let per = facet.ray.tilt_of_shift();
            let (r, t) = (error.polar.r * per.r * u, error.polar.t * per.t * u);
            sum += r * r + t * t;
        }
    }
    (group.rms > 0.0).then(|| libm::sqrt(sum) / (number(group.count) * group.rms))
}

fn racks(survey: &Survey, facets: &[Facet<'_>]) -> Vec<Rack> {
    let mut by_rack: BTreeMap<&str, Vec<&Facet<'_>>> = BTreeMap::new();
    for facet in facets {
        by_rack.entry(&facet.row.rack).or_default().push(facet);
    }
    by_rack.into_iter().map(|(name, facets)| rack(survey, name, &facets)).collect()
}

fn rack(survey: &Survey, name: &str, facets: &[&Facet<'_>]) -> Rack {
    let complete = facets.iter().all(|facet| facet.row.state != FacetState::Within);
    let errors: Vec<_> = facets.iter().filter_map(|f| Some((f.row, f.error.as_ref()?))).collect();
    let tilted: Vec<_> =
        errors.iter().map(|(row, error)| Tilted { spot: row.spot, tilt: error.polar }).collect();
    // A facet without a number would leave only the odd ones to fit, which says nothing.
    let fit = if complete { fit(survey.bench.focal_length, &tilted) } else { None };
    let moved = match (&fit, &survey.axis, survey.rack_share) {
        (Some(fit), Some(axis), Some(share)) => {
            Some(fit.explained >= share && fit.tilt > axis.edge)
        }
        _ => None,
    };
    let quick: Vec<f64> = errors.iter().filter_map(|(_, error)| error.quick).collect();
    Rack {
        name: name.to_owned(),
        facets: facets.len(),
        out: errors.iter().filter(|(_, error)| error.out).count(),
        group: group(facets.iter().copied()).filter(|_| complete),
        fit,
        moved,
        quick: (!quick.is_empty()).then(|| quick.iter().sum::<f64>() / number(quick.len())),
    }
}

fn quarters(facets: &[Facet<'_>]) -> Vec<(&'static str, Option<Group>)> {
    let names = ["upper right", "lower right", "lower left", "upper left"];
    let quarter = |facet: &Facet<'_>| {
        let turned = facet.row.spot.bearing / core::f64::consts::FRAC_PI_2;
        (0..3).find(|i| turned < f64::from(i + 1)).unwrap_or(3)
    };
    (0..4)
        .zip(names)
        .map(|(i, name)| {
            let of_quarter = || facets.iter().filter(move |facet| quarter(facet) == i);
            let complete = of_quarter().all(|facet| facet.row.state != FacetState::Within);
            (name, group(of_quarter()).filter(|_| complete))
        })
        .collect()
}

/// The share of masked facets in percent, exact.
pub(super) fn masked_share(counts: &Counts) -> Option<Decimal> {
    let count = |n: usize| Decimal::from(u32::try_from(n).unwrap_or(u32::MAX));
    (count(counts.masked) * Decimal::ONE_HUNDRED).checked_div(count(counts.facets))
}
