//! The sheet.

use quantity::{Speed, significant};

use super::CALCULATION;
use super::input::{Air, R_AIR, Stand, Wind};
use super::model::{Averaging, Profile, beaufort, durst, same};
use crate::doubt::{Part, first_order};
use crate::draw::{Propagated, propagate};
use crate::form::Form;
use crate::steps::{flag, outcome, step};
use crate::{Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Verdict};

const DURST: &str = "C. S. Durst, Meteorol. Mag. 89 (1960) 181, curve in the commentary of ASCE 7: 3 s \
                     and 45 s from its printed example, other points from memory";
const TRIALS: u32 = 20_000;
const SEED: u64 = 1;

/// The two factors between reading and limit.
#[derive(Clone, Copy)]
struct Factors {
    height: f64,
    averaging: f64,
}

fn factors(wind: &Wind) -> Factors {
    let Wind { from, to, .. } = wind;
    Factors {
        height: wind.profile.map_or(1.0, |profile| profile.ratio(from.height, to.height)),
        averaging: wind.averaging.ratio(from.averaging, to.averaging).unwrap_or(f64::NAN),
    }
}

pub(super) fn sheet(form: Form, wind: &Wind) -> Sheet {
    let both = factors(wind);
    let speed = wind.speed * both.height * both.averaging;
    let parts = parts(wind, both);
    let budget =
        parts.as_ref().map(|parts| first_order(parts, "m/s", |values| model(wind, values)));
    let spread = parts.as_ref().filter(|_| wind.doubt_profile.is_some()).map(|parts| {
        propagate(TRIALS, SEED, |draw| {
            let drawn: Vec<_> =
                parts.iter().map(|part| part.value + part.standard * draw.normal()).collect();
            model(wind, &drawn)
        })
    });
    let standard = budget.as_ref().map(|budget| budget.standard);
    let judged = wind
        .limit
        .as_ref()
        .map(|limit| limit.judge(Speed::from_metres_per_second(speed), standard));
    let place = format!("at {}", said(wind.to));
    let reason = match &judged {
        Some(judged) => format!("Wind speed {place}: {}.", judged.sentence),
        None => format!("{} m/s {place}; no limit is given.", significant(speed, 4)),
    };
    let reason =
        format!("{reason} Read: {} m/s at {}.", significant(wind.speed, 4), said(wind.from));
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason,
        results: results(wind, both, speed, standard),
        working: working(wind, both, speed, spread),
        doubt: budget.as_ref().map(|budget| budget.lines.clone()).unwrap_or_default(),
        combined: budget.as_ref().map(|budget| budget.combined("speed")),
        rule: judged.map(|judged| judged.rule),
        validity: validity(wind),
        sources: sources(wind),
        flags: flags(wind, both),
        figure: figure(wind, both),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn said(stand: Stand) -> String {
    let time = if stand.averaging < 120.0 {
        format!("{} s", significant(stand.averaging, 3))
    } else {
        format!("{} min", significant(stand.averaging / 60.0, 3))
    };
    format!("{} m, averaged over {time}", significant(stand.height, 3))
}

/// Reading, profile and averaging factor with their doubts; none where the reading's is not stated.
fn parts(wind: &Wind, both: Factors) -> Option<Vec<Part>> {
    let stated = wind.doubt_speed.as_ref()?;
    let part = |source: &str, statement: &str, value, standard, unit| Part {
        source: source.to_owned(),
        statement: statement.to_owned(),
        value,
        standard,
        unit,
    };
    let mut parts =
        vec![part("wind instrument", &stated.text, wind.speed, stated.of(wind.speed), "m/s")];
    let averaging = wind.doubt_averaging.as_ref();
    let standard = averaging.map_or(0.0, |stated| stated.of(both.averaging));
    let words = averaging.map_or("not stated", |stated| stated.text.as_str());
    parts.push(part("averaging factor", words, both.averaging, standard, "1"));
    if let (Some(profile), Some(stated)) = (wind.profile, &wind.doubt_profile) {
        let value = profile.parameter();
        let (source, unit) = match profile {
            Profile::Power(_) => ("exponent", "1"),
            Profile::Logarithmic(..) => ("roughness length", "m"),
        };
        parts.push(part(source, &stated.text, value, stated.of(value), unit));
    }
    Some(parts)
}

fn model(wind: &Wind, values: &[f64]) -> f64 {
    let at = |place: usize| values.get(place).copied();
    let profile = wind.profile.map(|profile| match (profile, at(2)) {
        // A draw of the roughness far out would leave the law: it stays above a thousandth.
        (Profile::Logarithmic(z0, _), Some(drawn)) => profile.with(drawn.max(1e-3 * z0)),
        (_, Some(drawn)) => profile.with(drawn),
        (_, None) => profile,
    });
    let height = profile.map_or(1.0, |p| p.ratio(wind.from.height, wind.to.height));
    at(0).unwrap_or(f64::NAN) * height * at(1).unwrap_or(f64::NAN)
}

/// The ten-minute mean at 10 m, where it can be had.
fn at_ten_metres(wind: &Wind, both: Factors) -> Option<f64> {
    let to = wind.speed * both.height * both.averaging;
    let stands = [(wind.speed, wind.from), (to, wind.to)];
    let (speed, stand, factor) = stands
        .iter()
        .find_map(|(v, stand)| same(stand.averaging, 600.0).then_some((*v, *stand, 1.0)))
        .or_else(|| {
            let (v, stand) = stands.first()?;
            matches!(wind.averaging, Averaging::Durst)
                .then(|| Some((*v, *stand, Averaging::Durst.ratio(stand.averaging, 600.0)?)))?
        })?;
    if same(stand.height, 10.0) {
        return Some(speed * factor);
    }
    Some(speed * factor * wind.profile?.ratio(stand.height, 10.0))
}

fn results(wind: &Wind, both: Factors, speed: f64, standard: Option<f64>) -> Vec<Outcome> {
    let meaning = format!("wind speed at {}", said(wind.to));
    let value = outcome("speed", &meaning, speed, "m/s");
    let mut results = vec![match standard {
        Some(u) => value.within(significant(u, 3)),
        None => value,
    }];
    let factor = both.height * both.averaging;
    results.push(outcome("factor", "speed there over reading", factor, "1"));
    if let Some(limit) = &wind.limit {
        let there = limit.value.metres_per_second() / factor;
        let meaning = format!("what the instrument shows at the limit, at {}", said(wind.from));
        results.push(outcome("limit_at_instrument", &meaning, there, "m/s"));
    }
    if let Some(air) = wind.air {
        let q = 0.5 * air.density() * speed * speed;
        results.push(outcome("pressure", "wind pressure there", q, "Pa"));
    }
    if let Some(mean) = at_ten_metres(wind, both) {
        let meaning = "Beaufort number of the ten-minute mean at 10 m";
        results.push(Outcome::new("beaufort", meaning, beaufort(mean).to_string(), "1"));
    }
    results
}

fn working(wind: &Wind, both: Factors, speed: f64, spread: Option<Propagated>) -> Vec<Line> {
    let Wind { from, to, .. } = wind;
    let mut w = vec![
        step("v₁", "wind speed as read", "as typed", wind.speed, "m/s"),
        step("z₁", "height of the instrument", "as typed", from.height, "m"),
        step("t₁", "averaging time of the instrument", "as typed", from.averaging, "s"),
        step("z₂", "height of the limit", "as typed", to.height, "m"),
        step("t₂", "averaging time of the limit", "as typed", to.averaging, "s"),
    ];
    let height = "factor of the height";
    match wind.profile {
        Some(Profile::Power(exponent)) => {
            w.push(step("α", "exponent", "as typed", exponent, "1"));
            w.push(step("H", height, "H = (z₂/z₁)^α", both.height, "1"));
        }
        Some(Profile::Logarithmic(z0, d)) => {
            w.push(step("z₀", "roughness length", "as typed", z0, "m"));
            w.push(step("d", "displacement height", "as typed, or none", d, "m"));
            let formula = "H = ln((z₂ − d)/z₀)/ln((z₁ − d)/z₀)";
            w.push(step("H", height, formula, both.height, "1"));
        }
        None => w.push(step("H", height, "the heights are the same", both.height, "1")),
    }
    let averaging = "factor of the averaging time";
    match wind.averaging {
        _ if same(from.averaging, to.averaging) => {
            w.push(step("F", averaging, "the times are the same", both.averaging, "1"));
        }
        Averaging::Durst => {
            for (symbol, seconds) in [("D(t₁)", from.averaging), ("D(t₂)", to.averaging)] {
                let meaning = "largest mean over that time, of the hourly mean";
                let formula = "Durst's curve, between points by line over ln t";
                let value = durst(seconds).unwrap_or(f64::NAN);
                w.push(step(symbol, meaning, formula, value, "1").sourced(DURST));
            }
            w.push(step("F", averaging, "F = D(t₂)/D(t₁)", both.averaging, "1"));
        }
        Averaging::Factor(factor) => {
            if let Some((peak, intensity)) = wind.gust {
                w.push(step("g", "peak factor", "as typed", peak, "1"));
                w.push(step("I", "turbulence intensity", "as typed", intensity, "1"));
                w.push(step("G", "gust factor", "G = 1 + g·I", factor, "1"));
            } else {
                w.push(step("G", "gust factor", "as typed", factor, "1"));
            }
            let formula = if to.averaging < from.averaging { "F = G" } else { "F = 1/G" };
            w.push(step("F", averaging, formula, both.averaging, "1"));
        }
        Averaging::Same => {}
    }
    w.push(step("v₂", "wind speed at the limit's height and time", "v₂ = v₁·H·F", speed, "m/s"));
    if let Some(spread) = spread {
        let formula = format!(
            "{} draws (ChaCha8, seed {SEED}), mean {} m/s, standard deviation {} m/s",
            spread.trials,
            significant(spread.mean, 5),
            significant(spread.standard, 3)
        );
        let source = "JCGM 101:2008, 7.7";
        for (symbol, meaning, value) in [
            ("v₂(2.5 %)", "2.5 % of the draws are below", spread.low),
            ("v₂(97.5 %)", "2.5 % of the draws are above", spread.high),
        ] {
            w.push(step(symbol, meaning, &formula, value, "m/s").sourced(source));
        }
    }
    if let Some(air) = wind.air {
        if let Air::From(_, pascals, kelvins) = air {
            w.push(step("p", "barometer reading", "as typed", pascals, "Pa"));
            w.push(step("T", "air temperature", "in kelvin", kelvins, "K"));
            let meaning = "gas constant of dry air";
            w.push(step("R_a", meaning, "constant", R_AIR, "J/(kg·K)").sourced("ISO 2533:1975"));
            w.push(step("ρ", "density of the air", "ρ = p/(R_a·T)", air.density(), "kg/m³"));
        } else {
            w.push(step("ρ", "density of the air", "as typed", air.density(), "kg/m³"));
        }
        let q = 0.5 * air.density() * speed * speed;
        w.push(step("q", "wind pressure", "q = ½·ρ·v₂²", q, "Pa"));
    }
    if let Some(mean) = at_ten_metres(wind, both) {
        let meaning = "ten-minute mean at 10 m";
        w.push(step("v₁₀", meaning, "by the same factors", mean, "m/s"));
    }
    w
}

fn flags(wind: &Wind, both: Factors) -> Vec<Flag> {
    let mut flags = Vec::new();
    if (both.averaging - 1.0).abs() > 0.05 {
        flags.push(flag(
            "averaging_matters",
            format!(
                "The same wind is {} times as fast averaged over {} s as over {} s: a limit without \
                 its averaging time says little.",
                significant(both.averaging.max(1.0 / both.averaging), 3),
                significant(wind.from.averaging.min(wind.to.averaging), 3),
                significant(wind.from.averaging.max(wind.to.averaging), 3)
            ),
        ));
    }
    if matches!(wind.averaging, Averaging::Durst) && !same(wind.from.averaging, wind.to.averaging) {
        flags.push(flag(
            "curve_of_open_country",
            "Durst's curve is for strong wind over open country at 10 m. Rough ground, hills, \
             thunderstorms and tropical cyclones have larger gust factors.",
        ));
    }
    if wind.profile.is_some() && !same(wind.from.height, wind.to.height) {
        flags.push(flag(
            "profile_of_its_averaging",
            "Exponent and roughness hold for the terrain and for their own averaging time: gusts \
             change less with height than means.",
        ));
        let ratio = (wind.to.height / wind.from.height).max(wind.from.height / wind.to.height);
        if ratio > 5.0 {
            flags.push(flag(
                "far_from_the_instrument",
                "The two heights are more than a factor of five apart: the profile carries far.",
            ));
        }
    }
    if at_ten_metres(wind, both).is_none() {
        flags.push(flag(
            "no_beaufort",
            "No Beaufort number: it belongs to the ten-minute mean at 10 m, which these inputs do not \
             give.",
        ));
    }
    flags
}

fn validity(wind: &Wind) -> String {
    let profile = match wind.profile {
        Some(Profile::Power(_)) => {
            "Power law over even ground of one kind, strong wind, to some 200 m"
        }
        Some(Profile::Logarithmic(..)) => {
            "Logarithmic law over even ground of one roughness, strong wind, to some 100 m"
        }
        None => "One height",
    };
    format!(
        "{profile}; not in the lee of buildings, over crests, in calm or in thunderstorm. The factor \
         of averaging time speaks of the largest mean in an hour, not of one moment's reading."
    )
}

fn sources(wind: &Wind) -> Vec<String> {
    let mut sources = vec![match wind.profile {
        Some(Profile::Logarithmic(..)) => {
            "logarithmic wind profile of the neutral surface layer".to_owned()
        }
        _ => "power law of wind speed with height, as in IEC 61400-1 and ASCE 7".to_owned(),
    }];
    if matches!(wind.averaging, Averaging::Durst) {
        sources.push(DURST.to_owned());
    }
    sources.push("Beaufort numbers: WMO-No. 8, lower bounds, read in two tables".to_owned());
    sources
}

/// Speed over height in the reading's and the limit's averaging time.
fn figure(wind: &Wind, both: Factors) -> Option<Figure> {
    let profile = wind.profile?;
    let top = 1.2 * wind.from.height.max(wind.to.height).max(10.0);
    let bottom = 0.5 * wind.from.height.min(wind.to.height);
    let line = |factor: f64| -> Vec<Point> {
        (0..=40_u32)
            .map(|n| bottom + (top - bottom) * f64::from(n) / 40.0)
            .map(|z| (wind.speed * factor * profile.ratio(wind.from.height, z), z))
            .filter(|(v, _)| v.is_finite() && *v >= 0.0)
            .map(|(v, z)| Point::of(v, z))
            .collect()
    };
    let there = wind.speed * both.height * both.averaging;
    let mut series = vec![
        Series::new("as_read", "in the averaging time of the reading", Drawn::Thin, line(1.0)),
        Series::new(
            "converted",
            "in the averaging time of the limit",
            Drawn::Thick,
            line(both.averaging),
        ),
        Series::new(
            "points",
            "reading, and the same wind at the limit's height and time",
            Drawn::Points,
            vec![Point::of(wind.speed, wind.from.height), Point::of(there, wind.to.height)],
        ),
    ];
    if let Some(limit) = &wind.limit {
        let v = limit.value.metres_per_second();
        let at = vec![Point::of(v, wind.to.height)];
        series.push(Series::new("limit", "limit at its height", Drawn::Crosses, at));
    }
    Some(Figure::lines("Wind over height", "wind speed in m/s", "height in m", series))
}
