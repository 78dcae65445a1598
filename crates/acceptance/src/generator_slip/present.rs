//! The sheet.

use quantity::{RotationalSpeed, significant};

use super::CALCULATION;
use super::input::{Machine, RPM};
use crate::doubt::{Budget, Part, first_order};
use crate::form::Form;
use crate::steps::{curve, flag, outcome, step};
use crate::{Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Verdict};

const TEXTBOOK: &str = "textbook relations of the three-phase induction machine";
/// A larger slip means that speed, frequency or poles were misread; common practice, no source.
const LARGE: f64 = 0.15;

fn synchronous(frequency: f64, poles: f64) -> f64 {
    120.0 * frequency / poles
}

pub(super) fn sheet(form: Form, machine: &Machine) -> Sheet {
    let synchronous = synchronous(machine.frequency, machine.poles);
    let slip = (synchronous - machine.speed) / synchronous;
    let budget = doubt(machine);
    let doubt_of_slip = budget.as_ref().map(|budget| budget.standard);
    let judged = machine.limit.as_ref().zip(machine.peak).map(|(limit, peak)| {
        let standard =
            machine.doubt_speed.as_ref().map(|stated| stated.of(peak.radians_per_second()));
        limit.judge(peak, standard)
    });
    let state = state(slip);
    let mut reason = format!(
        "{} r/min at {} r/min synchronous: slip {} %, {state}.",
        significant(machine.speed, 5),
        significant(synchronous, 5),
        significant(100.0 * slip, 4)
    );
    if let Some(judged) = &judged {
        reason = format!("Peak speed {}. {reason}", judged.sentence);
    }
    Sheet {
        verdict: judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason,
        results: results(machine, synchronous, slip, doubt_of_slip),
        working: working(machine, synchronous, slip),
        doubt: budget.as_ref().map(|budget| budget.lines.clone()).unwrap_or_default(),
        combined: budget.as_ref().map(|budget| budget.combined("slip")),
        rule: judged.map(|judged| judged.rule),
        validity: "A three-phase induction machine without gear between its shaft and the place \
                   where the speed is read, in steady running, speed and frequency read together. \
                   Power, voltage and current without harmonics, equal in the three phases."
            .to_owned(),
        sources: vec![TEXTBOOK.to_owned()],
        flags: flags(machine, slip),
        figure: Some(figure(machine, synchronous)),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn state(slip: f64) -> &'static str {
    match slip {
        s if s < 0.0 => "it generates",
        s if s > 0.0 => "it runs as a motor",
        _ => "it does neither",
    }
}

fn doubt(machine: &Machine) -> Option<Budget> {
    let (speed, frequency) = (machine.doubt_speed.as_ref()?, machine.doubt_frequency.as_ref());
    let mut parts = vec![Part {
        source: "speed of the shaft".to_owned(),
        statement: speed.text.clone(),
        value: machine.speed,
        standard: speed.of(machine.speed * RPM) / RPM,
        unit: "r/min",
    }];
    if let Some(stated) = frequency {
        parts.push(Part {
            source: "frequency of the network".to_owned(),
            statement: stated.text.clone(),
            value: machine.frequency,
            standard: stated.of(machine.frequency),
            unit: "Hz",
        });
    }
    Some(first_order(&parts, "1", |values| {
        let speed = values.first().copied().unwrap_or(f64::NAN);
        let frequency = values.get(1).copied().unwrap_or(machine.frequency);
        1.0 - speed / synchronous(frequency, machine.poles)
    }))
}

fn results(machine: &Machine, synchronous: f64, slip: f64, doubt: Option<f64>) -> Vec<Outcome> {
    let of_slip = outcome("slip", "slip, negative when it generates", slip, "1");
    let mut results = vec![
        outcome("synchronous_speed", "synchronous speed", synchronous, "r/min"),
        match doubt {
            Some(u) => of_slip.within(significant(u, 3)),
            None => of_slip,
        },
        outcome(
            "rotor_frequency",
            "frequency of the rotor's currents",
            slip.abs() * machine.frequency,
            "Hz",
        ),
    ];
    let output = &machine.output;
    for (name, meaning, value, scale, unit) in [
        ("apparent_power", "apparent power", output.apparent, 1e3, "kVA"),
        ("reactive_power", "reactive power", output.reactive, 1e3, "kvar"),
        ("power_factor", "power factor", output.factor, 1.0, "1"),
        ("current", "line current", output.current, 1.0, "A"),
    ] {
        results.extend(value.map(|value| outcome(name, meaning, value / scale, unit)));
    }
    if let Some(peak) = machine.peak {
        let share = 100.0 * peak.radians_per_second() / RPM / synchronous;
        results.push(outcome("peak_share", "peak speed of the synchronous one", share, "%"));
    }
    results
}

fn working(machine: &Machine, synchronous: f64, slip: f64) -> Vec<Line> {
    let mut lines = vec![
        step("f", "frequency of the network", "as typed", machine.frequency, "Hz"),
        step("p", "number of poles", "as typed", machine.poles, "1"),
        step("n", "speed of the shaft", "as typed", machine.speed, "r/min"),
        step("n_s", "synchronous speed", "n_s = 120·f/p", synchronous, "r/min").sourced(TEXTBOOK),
        step("s", "slip", "s = (n_s − n)/n_s", slip, "1").sourced(TEXTBOOK),
    ];
    if let Some(rated) = machine.rated {
        let rated_slip = (synchronous - rated) / synchronous;
        lines.push(step("n_r", "rated speed", "as typed", rated, "r/min"));
        lines.push(step("s_r", "rated slip", "s_r = (n_s − n_r)/n_s", rated_slip, "1"));
        if rated_slip.abs() > 0.0 {
            let meaning = "slip of the rated one; roughly the share of the load below 1";
            lines.push(step("s/s_r", meaning, "s/s_r", (slip / rated_slip).abs(), "1"));
        }
    }
    lines.extend(machine.output.lines.clone());
    if let Some(peak) = machine.peak.map(RotationalSpeed::radians_per_second) {
        lines.push(step("n_max", "peak speed", "as typed", peak / RPM, "r/min"));
    }
    lines
}

fn flags(machine: &Machine, slip: f64) -> Vec<Flag> {
    let mut flags = Vec::new();
    if slip.abs() > LARGE {
        let nearest = (1..=12_u32)
            .map(|pairs| f64::from(2 * pairs))
            .min_by(|a, b| {
                let off =
                    |poles: f64| (synchronous(machine.frequency, poles) - machine.speed).abs();
                off(*a).total_cmp(&off(*b))
            })
            .unwrap_or(machine.poles);
        flags.push(flag(
            "large_slip",
            format!(
                "A slip of {} % is none of steady running: are frequency, poles and speed right? \
                 At {} Hz a speed of {} r/min is nearest to that of a machine with {nearest} \
                 poles.",
                significant(100.0 * slip, 3),
                significant(machine.frequency, 4),
                significant(machine.speed, 5)
            ),
        ));
    }
    if slip < 0.0 {
        flags.push(flag(
            "no_electrical_brake",
            "When the network is lost nothing electrical brakes the shaft any more: what stops it \
             from over-speed is the machine's own protection, which this sheet does not prove.",
        ));
        flags.push(flag(
            "self_excitation",
            "With capacitors at its terminals an induction generator can keep up its voltage \
             without the network.",
        ));
    }
    if let Some(mismatch) = machine.output.mismatch.filter(|m| m.abs() > 0.05) {
        flags.push(flag(
            "current_disagrees",
            format!(
                "The measured current differs by {} % from the one that power and voltage give.",
                significant(100.0 * mismatch, 3)
            ),
        ));
    }
    flags
}

/// Slip against speed, with the point of the reading.
fn figure(machine: &Machine, synchronous: f64) -> Figure {
    let low = machine.speed.min(0.95 * synchronous);
    let high = machine.speed.max(1.05 * synchronous);
    let percent = |speed: f64| 100.0 * (synchronous - speed) / synchronous;
    let mut series = vec![
        Series::new("slip", "slip", Drawn::Thin, curve(low, high, 2, percent)),
        Series::new(
            "reading",
            "as read",
            Drawn::Points,
            vec![Point::of(machine.speed, percent(machine.speed))],
        ),
        Series::new(
            "synchronous",
            "synchronous: above it generates, below it is a motor",
            Drawn::Dashed,
            vec![Point::of(synchronous, percent(low)), Point::of(synchronous, percent(high))],
        ),
    ];
    if let Some(rated) = machine.rated {
        let at = vec![Point::of(rated, percent(rated))];
        series.push(Series::new("rated", "rated", Drawn::Crosses, at));
    }
    Figure::lines("Slip against speed", "speed in r/min", "slip in %", series)
}
