//! The times between which the sun is above the level horizon, and its passages of the meridian.

use solar_positioning::{Error, Horizon, SolarEvents};

use super::{Observer, degrees, julian, rim, unix};

/// A time during which the sun is up, in Unix seconds, and whether it rises and sets at its ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// The sun rises at the beginning; else it was up before.
    pub(crate) rises: bool,
    /// The sun sets at the end; else it is still up.
    pub(crate) sets: bool,
}

/// The spans of sun between two Unix times, in order. The sun is up while its upper edge is above
/// the level horizon, refraction of 34′ included.
pub(crate) fn up(
    observer: &Observer,
    from: f64,
    to: f64,
    delta_t: f64,
) -> Result<Vec<Span>, Error> {
    let events = SolarEvents::new();
    let (location, end) = (observer.location(), julian(to));
    let crossing = |rise: bool, after: f64| {
        let start = julian(after);
        let horizon = Horizon::SunriseSunset;
        let found = if start >= end {
            None
        } else if rise {
            events.next_rise_from_julian(start, end, location, delta_t, horizon)?
        } else {
            events.next_set_from_julian(start, end, location, delta_t, horizon)?
        };
        Ok::<_, Error>(found.map(unix))
    };
    let at_start = observer.sun(from, delta_t)?.geometric.elevation;
    let mut spans = Vec::new();
    let (mut at, mut rises) = (from, false);
    if degrees(at_start) < rim() {
        match crossing(true, from)? {
            Some(rise) => (at, rises) = (rise, true),
            None => return Ok(spans),
        }
    }
    loop {
        let Some(set) = crossing(false, at)? else {
            spans.push(Span { from: at, to, rises, sets: false });
            return Ok(spans);
        };
        spans.push(Span { from: at, to: set, rises, sets: true });
        match crossing(true, set)? {
            Some(rise) => (at, rises) = (rise, true),
            None => return Ok(spans),
        }
    }
}

/// The passages of the meridian between two Unix times, in order.
pub(crate) fn transits(
    observer: &Observer,
    from: f64,
    to: f64,
    delta_t: f64,
) -> Result<Vec<f64>, Error> {
    let (mut found, mut after) = (Vec::new(), julian(from));
    while after < julian(to) {
        let longitude = degrees(observer.longitude);
        let next =
            SolarEvents::new().next_transit_from_julian(after, julian(to), longitude, delta_t)?;
        let Some(transit) = next else { break };
        found.push(unix(transit));
        after = transit;
    }
    Ok(found)
}

/// The first rising of the sun between two Unix times.
pub(crate) fn first_rise(
    observer: &Observer,
    from: f64,
    to: f64,
    delta_t: f64,
) -> Result<Option<f64>, Error> {
    let (location, horizon) = (observer.location(), Horizon::SunriseSunset);
    let events = SolarEvents::new();
    // Day by day: within a long time that begins at night the next rise is near its beginning.
    let mut after = from;
    while after < to {
        let until = (after + 86_400.0).min(to);
        let (start, end) = (julian(after), julian(until));
        let rise = events.next_rise_from_julian(start, end, location, delta_t, horizon)?;
        if rise.is_some() {
            return Ok(rise.map(unix));
        }
        after = until;
    }
    Ok(None)
}
