//! The steps of the first facet to be turned and of its light, so that anyone can redo them.

use quantity::significant;

use super::light::{Beam, Caught};
use super::measure::Measured;
use super::present::{DERIVED, milli};
use super::read::Survey;
use super::studs::{Stays, Studs};
use super::turns::Turns;
use super::work::{Plan, RULE};
use crate::Line;

const BENDT: &str = "P. Bendt and A. Rabl, Appl. Opt. 20 (1981) 674, from memory";

/// The lines; none where nothing beyond the errors was asked.
pub(super) fn lines(survey: &Survey, measured: &Measured<'_>, plan: &Plan<'_>) -> Vec<Line> {
    let mut lines = Vec::new();
    let (work, beam) = (&plan.work, survey.beam());
    if !work.jobs.is_empty() || !work.bolts.is_empty() {
        let steps = work.jobs.len() + work.bolts.len();
        let order = Line::new("–", "order of work", RULE, steps.to_string(), "jobs");
        lines.push(order.sourced("common practice, no source"));
    }
    let first = work.jobs.first();
    if let (Some(job), Some(studs)) = (first, &survey.studs)
        && let Some(turns) = &job.turns
    {
        lines.extend(turn_lines(studs, job.facet, turns));
    }
    // Light is shown for the first facet to be turned, or for the worst.
    let name = first.map(|job| job.facet.to_owned());
    let name = name.or_else(|| measured.worst().map(|(facet, _)| facet.row.facet.clone()));
    let shown = measured
        .facets
        .iter()
        .zip(&plan.light)
        .find(|(facet, _)| Some(&facet.row.facet) == name.as_ref());
    if let (Some((facet, Some(caught))), Some(beam)) = (shown, beam) {
        lines.extend(light_lines(beam, &facet.row.facet, caught));
    }
    lines
}

fn turn_lines(studs: &Studs, facet: &str, turns: &Turns) -> Vec<Line> {
    let mut lines = Vec::new();
    let tilt = "ε = (N_u, N_t)/N_n of the sum N of the unit vectors from the facet's middle to \
                the light and to the spot; N_u = N_r·cos h + N_z·sin h, N_n = N_z·cos h − N_r·sin h, \
                tan h = r/(2f)";
    for (symbol, meaning, value) in [
        ("ε_r", "tilt along the radius as the spot shows it", turns.now.r),
        ("ε_t", "tilt across as the spot shows it", turns.now.t),
        ("ε_r*", "tilt along the radius that sends sunlight to the aim point", turns.wanted.r),
        ("ε_t*", "tilt across that sends sunlight to the aim point", turns.wanted.t),
    ] {
        let symbol = format!("{symbol}({facet})");
        lines.push(Line::new(&symbol, meaning, tilt, milli(value), "mrad").sourced(DERIVED));
    }
    let stays = match studs.stays {
        Stays::Stud(fixed) => {
            let name = studs.names.get(fixed).map_or("", String::as_str);
            format!("less the same of {name}, which is fixed")
        }
        Stays::Centre => "the middle stays".to_owned(),
        Stays::LeastTurning => "less the middle one of the three, which is left alone".to_owned(),
    };
    for ((name, exact), (distance, bearing)) in
        studs.names.iter().zip(turns.exact).zip(studs.places)
    {
        lines.push(Line::new(
            &format!("w_{name}({facet})"),
            &format!("how far {name} has to go towards the focus"),
            &format!(
                "w = d·[(ε_r − ε_r*)·cos ψ + (ε_t − ε_t*)·sin ψ], {stays}; d = {} m, ψ = {}° and \
                 the facet's own turn of the studs",
                significant(distance, 5),
                significant(bearing.to_degrees(), 6)
            ),
            significant(1000.0 * exact, 6),
            "mm",
        ));
    }
    for (name, raised) in studs.names.iter().zip(turns.raised) {
        lines.push(Line::new(
            &format!("n_{name}({facet})"),
            &format!("turns of {name}, clockwise seen from behind the mirror is more than zero"),
            &format!(
                "w over the pitch of {} mm in 1/{} turns, such that the least tilt is left; {} is \
                 towards the focus",
                significant(1000.0 * studs.pitch, 5),
                studs.steps,
                studs.raises.words()
            ),
            studs.signed(raised),
            "turn",
        ));
    }
    for (axis, value) in [("x", turns.left.x), ("y", turns.left.y)] {
        lines.push(Line::new(
            &format!("left_{axis}({facet})"),
            "error left by the rounding",
            "ε less the slope of the turned studs less ε*, turned into x and y",
            milli(value),
            "mrad",
        ));
    }
    lines
}

fn light_lines(beam: &Beam, facet: &str, caught: &Caught) -> Vec<Line> {
    let of = |symbol: &str| format!("{symbol}({facet})");
    let millimetres = |value: f64| significant(1000.0 * value, 6);
    let share = "γ = ∬ over the aperture of the Gaussian about its middle, by quadrature of the \
                 exact inner integral";
    vec![
        Line::new(
            &of("P"),
            "light that the facet sends on its way",
            &format!(
                "P = ρ·G·A·cos(φ/2), ρ = {}, G = {} W/m², A = {} m²",
                significant(beam.reflectance, 5),
                significant(beam.irradiance, 5),
                significant(beam.area, 6)
            ),
            significant(caught.sent, 6),
            "W",
        ),
        Line::new(
            &of("σ_r"),
            "spread of its spot along the radius",
            &format!("σ_r = p·σ/cos φ in the focal plane, σ = {} mrad", milli(beam.sigma)),
            millimetres(caught.sigma.r),
            "mm",
        )
        .sourced(BENDT),
        Line::new(
            &of("σ_t"),
            "spread of its spot across",
            "σ_t = p·σ",
            millimetres(caught.sigma.t),
            "mm",
        )
        .sourced(BENDT),
        Line::new(
            &of("a_r"),
            "middle of its spot in sunlight, outward",
            "exact reflection with the tilt that the survey shows",
            millimetres(caught.lies.r),
            "mm",
        ),
        Line::new(
            &of("a_t"),
            "middle of its spot in sunlight, across",
            "the same",
            millimetres(caught.lies.t),
            "mm",
        ),
        Line::new(
            &of("γ*"),
            "share through the aperture from the aim point",
            share,
            significant(caught.aimed, 7),
            "1",
        ),
        Line::new(
            &of("γ"),
            "share through the aperture as it stands",
            share,
            significant(caught.now, 7),
            "1",
        ),
        Line::new(
            &of("L"),
            "light that its misalignment costs",
            "L = P·(γ* − γ)",
            significant(caught.lost(), 5),
            "W",
        ),
    ]
}
