//! The judgements of settings, pick-up and points.

use quantity::significant;

use super::lines::Line;
use super::read::{Came, Point, Relay};
use super::values::Typed;
use crate::Verdict;

/// A judgement with its words.
#[derive(Debug, Clone)]
pub(super) struct Judgement {
    pub(super) verdict: Verdict,
    pub(super) words: String,
}

fn say(verdict: Verdict, words: impl Into<String>) -> Judgement {
    Judgement { verdict, words: words.into() }
}

/// Sums of typed decimals differ from them by this much at most.
const ROUNDING: f64 = 1e-9;

/// What a function is set to, by the first record that says so.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Set {
    pub(super) value: Option<Typed>,
    pub(super) time: Option<Typed>,
}

impl Relay {
    /// What the relay is set to for a line of the sheet.
    pub(super) fn set(&self, place: usize) -> Set {
        let of = || self.points.iter().filter(|point| point.line == place);
        Set {
            value: of().find_map(|point| point.set_value),
            time: of().find_map(|point| point.set_time),
        }
    }

    /// The set time that a trip is compared with.
    fn expected(&self, place: usize) -> Option<f64> {
        let line = self.lines.get(place)?;
        self.set(place).time.map(|time| time.value).or(line.set_time)
    }

    /// The latest that the machine may still be connected, beyond a line's threshold.
    pub(super) fn latest(&self, line: &Line) -> f64 {
        match (line.clearing, line.set_time) {
            (Some(clearing), _) => clearing,
            (None, Some(set)) => set + self.accuracy.of_time(set) + self.breaker.unwrap_or(0.0),
            (None, None) => f64::INFINITY,
        }
    }
}

/// The settings of a function against its line of the sheet.
pub(super) fn setting(relay: &Relay, place: usize, line: &Line) -> Judgement {
    let set = relay.set(place);
    let (Some(value), Some(time)) = (set.value, set.time) else {
        return say(Verdict::NotJudged, "setting not stated");
    };
    // Two records of one function that disagree are no setting.
    let differ = relay.points.iter().filter(|point| point.line == place).any(|point| {
        let off = |a: Option<Typed>, b: f64| {
            a.is_some_and(|a| (a.value - b).abs() > a.half_digit + ROUNDING)
        };
        off(point.set_value, value.value) || off(point.set_time, time.value)
    });
    if differ {
        return say(Verdict::Fail, "records give different settings of this function");
    }
    let unit = line.kind.unit();
    if (value.value - line.threshold).abs() > value.half_digit + ROUNDING {
        return say(
            Verdict::Fail,
            format!(
                "set to {} {unit}, sheet {} {unit}",
                significant(value.value, 5),
                significant(line.threshold, 5)
            ),
        );
    }
    if let Some(wanted) = line.set_time {
        if (time.value - wanted).abs() > time.half_digit + ROUNDING {
            return say(Verdict::Fail, format!("set to {} s, sheet {wanted} s", time.value));
        }
        return say(Verdict::Pass, "as the sheet");
    }
    let clears = time.value + relay.breaker.unwrap_or(0.0);
    let latest = relay.latest(line);
    if clears > latest + ROUNDING {
        return say(
            Verdict::Fail,
            format!("set time with breaker {} s, clearing time {latest} s", significant(clears, 5)),
        );
    }
    say(Verdict::Pass, "as the sheet")
}

/// The pick-up value against what the function is set to, or the sheet.
pub(super) fn pickup(relay: &Relay, point: &Point, line: &Line) -> Option<Judgement> {
    let found = point.pickup?;
    let wanted = relay.set(point.line).value.map_or(line.threshold, |typed| typed.value);
    let (off, allowed) = (found - wanted, relay.accuracy.of(line.kind));
    let verdict = if off.abs() <= allowed + ROUNDING { Verdict::Pass } else { Verdict::Fail };
    let unit = line.kind.unit();
    Some(say(
        verdict,
        format!(
            "picks up {} {unit} from its setting, ±{} {unit} allowed",
            significant(off, 3),
            significant(allowed, 3)
        ),
    ))
}

/// Lines of the sheet with their places.
type Lines<'a> = Vec<(usize, &'a Line)>;

/// The lines that an injected value is beyond, and those that it is within the accuracy of.
fn reached<'a>(relay: &'a Relay, point: &Point, value: f64) -> (Lines<'a>, Lines<'a>) {
    let own = relay.lines.get(point.line);
    let voltage = own.is_some_and(|line| line.kind.of_voltage());
    let active = |place: usize, line: &Line| {
        line.kind.of_voltage() == voltage && (!point.others_blocked || place == point.line)
    };
    let (mut beyond, mut near) = (Vec::new(), Vec::new());
    for (place, line) in relay.lines.iter().enumerate().filter(|(p, l)| active(*p, l)) {
        let by = line.kind.beyond(value, line.threshold);
        let accuracy = relay.accuracy.of(line.kind);
        if by > accuracy + ROUNDING {
            beyond.push((place, line));
        } else if by >= -accuracy - ROUNDING {
            near.push((place, line));
        }
    }
    (beyond, near)
}

/// Whether a point could show that its own function trips.
pub(super) fn shows_own(relay: &Relay, point: &Point) -> bool {
    let Some(value) = point.injected else { return false };
    matches!(point.came, Some(Came::Trip(_)))
        && reached(relay, point, value).0.iter().any(|(place, _)| *place == point.line)
}

/// A point: what was injected, and what came of it.
pub(super) fn point(relay: &Relay, point: &Point) -> Option<Judgement> {
    let value = point.injected?;
    let Some(came) = point.came else {
        return Some(say(Verdict::NotJudged, "neither trip nor time without a trip"));
    };
    let (beyond, near) = reached(relay, point, value);
    let latest = beyond.iter().map(|(_, line)| relay.latest(line)).fold(f64::INFINITY, f64::min);
    let breaker = relay.breaker.unwrap_or(0.0);
    if beyond.is_empty() {
        let names: Vec<_> = near.iter().map(|(_, line)| line.name.as_str()).collect();
        return Some(match came {
            _ if !near.is_empty() => say(
                Verdict::NotJudged,
                format!("within the accuracy of the threshold of {}", names.join(", ")),
            ),
            Came::Trip(_) => say(Verdict::Fail, "false trip: within every threshold"),
            Came::NoTrip(_) => say(Verdict::Pass, "no trip, and none required"),
        });
    }
    Some(match came {
        Came::NoTrip(held) if held + breaker >= latest - ROUNDING => say(
            Verdict::Fail,
            format!("no trip, and it had to be disconnected by {} s", significant(latest, 5)),
        ),
        Came::NoTrip(_) if point.must_not_trip => say(
            Verdict::Pass,
            format!("no trip, and none required before {} s", significant(latest, 5)),
        ),
        Came::NoTrip(_) => say(
            Verdict::NotJudged,
            format!(
                "no trip is required before {} s: the test ended too early to show one",
                significant(latest, 5)
            ),
        ),
        Came::Trip(time) => trip(relay, time, latest, &beyond, &near),
    })
}

fn trip(
    relay: &Relay,
    time: f64,
    latest: f64,
    beyond: &[(usize, &Line)],
    near: &[(usize, &Line)],
) -> Judgement {
    let cleared = time + relay.breaker.unwrap_or(0.0);
    if cleared > latest + ROUNDING {
        return say(
            Verdict::Fail,
            format!(
                "disconnected after {} s, by {} s required",
                significant(cleared, 5),
                significant(latest, 5)
            ),
        );
    }
    // Where the delay of one function is not known, nothing says that a trip came too early or
    // late.
    let shortest = |lines: &[&[(usize, &Line)]]| -> Option<f64> {
        let delays = lines.iter().flat_map(|some| some.iter());
        let delays: Option<Vec<f64>> = delays.map(|(place, _)| relay.expected(*place)).collect();
        delays?.into_iter().min_by(f64::total_cmp)
    };
    let fastest = shortest(&[beyond]);
    let earliest = shortest(&[beyond, near]);
    if let Some(set) = earliest
        && time < set - relay.accuracy.of_time(set) - ROUNDING
    {
        return say(
            Verdict::Fail,
            format!(
                "too early: {} s, set to {} s ± {} s",
                significant(time, 5),
                significant(set, 5),
                significant(relay.accuracy.of_time(set), 3)
            ),
        );
    }
    // Only at the relay's contact is a late trip the relay's alone.
    if let (Some(set), Some(_)) = (fastest, relay.breaker)
        && time > set + relay.accuracy.of_time(set) + ROUNDING
    {
        return say(
            Verdict::Fail,
            format!(
                "late for its setting: {} s, set to {} s ± {} s",
                significant(time, 5),
                significant(set, 5),
                significant(relay.accuracy.of_time(set), 3)
            ),
        );
    }
    say(
        Verdict::Pass,
        format!(
            "disconnected after {} s, by {} s required",
            significant(cleared, 5),
            significant(latest, 5)
        ),
    )
}
