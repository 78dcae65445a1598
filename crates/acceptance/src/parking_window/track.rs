//! The sun over the job: sampled while it is up, every nearest approach refined, every passage of
//! the margin found by halving. A window of more than a week is looked through by `long` first.

use quantity::Angle;
use solar_positioning::Error;

use super::input::Job;
use super::long::{self, Long};
use crate::sun::{Span, Sun, separation, up};

/// Seconds between two samples. The angle to a fixed axis has one smallest and one largest value a
/// day, so between two samples it turns at most once.
const STEP: f64 = 300.0;
/// Seconds to which moments are found.
pub(super) const FINE: f64 = 0.25;
/// How long after the planned end the margin is followed, in seconds.
pub(super) const AFTER: f64 = 86_400.0;
/// Seconds of the longest job that is sampled throughout: a week.
const WEEK: f64 = 168.0 * 3600.0;

/// The sun at a moment, with its angle to the mirror axis.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Point {
    /// Unix seconds.
    pub(crate) at: f64,
    pub(crate) sun: Sun,
    /// To the sun as seen.
    pub(crate) apparent: Angle,
    /// To the sun without air.
    pub(crate) geometric: Angle,
}

/// One of the two angles of a point, in radians.
type Measure = fn(&Point) -> f64;

impl Point {
    const fn apparent_radians(&self) -> f64 {
        self.apparent.radians()
    }

    const fn geometric_radians(&self) -> f64 {
        self.geometric.radians()
    }

    /// The angle that counts: the smaller of the two, which differ by half a degree at the horizon
    /// and by nothing overhead. The air of the day is not known beforehand.
    pub(crate) fn angle(&self) -> Angle {
        Angle::from_radians(self.apparent.radians().min(self.geometric.radians()))
    }
}

/// The sun from its rise, or the beginning, to its setting, or the end.
#[derive(Debug, Clone)]
pub(crate) struct Arc {
    pub(crate) span: Span,
    pub(crate) points: Vec<Point>,
}

/// What is found about a job.
#[derive(Debug)]
pub(crate) struct Found {
    /// The window judged: padding, job, padding, in Unix seconds.
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) planned_end: f64,
    /// In a long window, those of the day of the nearest approach alone.
    pub(crate) arcs: Vec<Arc>,
    /// The nearest approach in the window; none while the sun is down all the time.
    pub(crate) nearest: Option<Point>,
    /// Times in the window when the sun is nearer than the margin; in a long window the first alone.
    pub(crate) broken: Vec<(f64, f64)>,
    /// First time after the planned end, within a day, that the sun is nearer than the margin.
    pub(crate) after: Option<f64>,
    /// The sun at the planned start.
    pub(crate) start: Point,
    /// First sunrise at or after the beginning of the window, within a day of its end.
    pub(crate) rise: Option<f64>,
    /// Day by day, in a window of more than a week.
    pub(crate) long: Option<Long>,
}

/// Looks for everything about a job.
pub(crate) fn find(job: &Job) -> Result<Found, Error> {
    let (from, to) = job.window.padded();
    let planned_end = job.window.planned_end();
    let look = Look { job };
    let later = look.arcs(planned_end, planned_end + AFTER)?;
    let mut found = Found {
        from,
        to,
        planned_end,
        arcs: Vec::new(),
        nearest: None,
        broken: Vec::new(),
        after: look.broken(&later)?.first().map(|(begin, _)| *begin),
        start: look.at(job.window.start.unix())?,
        rise: None,
        long: None,
    };
    if job.window.length > WEEK {
        long::find(&look, &mut found)?;
        return Ok(found);
    }
    found.arcs = look.arcs(from, to)?;
    found.nearest = nearest(&found.arcs);
    found.broken = look.broken(&found.arcs)?;
    found.rise = up(&job.place.observer, from, to + AFTER, job.delta_t)?
        .iter()
        .find(|span| span.rises)
        .map(|span| span.from);
    Ok(found)
}

/// The point of the smallest angle.
pub(super) fn nearest(arcs: &[Arc]) -> Option<Point> {
    arcs.iter()
        .flat_map(|arc| &arc.points)
        .copied()
        .min_by(|a, b| a.angle().radians().total_cmp(&b.angle().radians()))
}

#[derive(Debug)]
pub(super) struct Look<'a> {
    pub(super) job: &'a Job,
}

impl Look<'_> {
    fn at(&self, unix: f64) -> Result<Point, Error> {
        let sun = self.job.place.observer.sun(unix, self.job.delta_t)?;
        let axis = self.job.axis;
        Ok(Point {
            at: unix,
            sun,
            apparent: separation(axis, sun.apparent),
            geometric: separation(axis, sun.geometric),
        })
    }

    /// The sun while it is up between two times: samples, ends, and nearest approaches refined.
    pub(super) fn arcs(&self, from: f64, to: f64) -> Result<Vec<Arc>, Error> {
        let spans = up(&self.job.place.observer, from, to, self.job.delta_t)?;
        spans.into_iter().map(|span| self.arc(span)).collect()
    }

    fn arc(&self, span: Span) -> Result<Arc, Error> {
        let mut samples = Vec::new();
        let mut at = span.from;
        while at < span.to {
            samples.push(self.at(at)?);
            at += STEP;
        }
        samples.push(self.at(span.to)?);
        let mut points = samples.clone();
        for measure in [Point::apparent_radians as Measure, Point::geometric_radians] {
            let angle = |index: usize| samples.get(index).map_or(f64::INFINITY, measure);
            for (index, sample) in samples.iter().enumerate() {
                let before = index.checked_sub(1).and_then(|i| samples.get(i));
                let here = measure(sample);
                if here <= before.map_or(f64::INFINITY, measure) && here <= angle(index + 1) {
                    let low = before.unwrap_or(sample).at;
                    let high = samples.get(index + 1).unwrap_or(sample).at;
                    points.push(self.turn(low, high, measure)?);
                }
            }
        }
        points.sort_by(|a, b| a.at.total_cmp(&b.at));
        Ok(Arc { span, points })
    }

    /// The smallest angle between two times, by the golden section.
    fn turn(&self, mut low: f64, mut high: f64, measure: Measure) -> Result<Point, Error> {
        // 2/(1 + √5), by which the golden section shortens.
        const SHARE: f64 = 0.618_033_988_749_895;
        let (mut left, mut right) =
            (self.at(high - SHARE * (high - low))?, self.at(low + SHARE * (high - low))?);
        while high - low > FINE {
            if measure(&left) <= measure(&right) {
                high = right.at;
                right = left;
                left = self.at(high - SHARE * (high - low))?;
            } else {
                low = left.at;
                left = right;
                right = self.at(low + SHARE * (high - low))?;
            }
        }
        self.at(f64::midpoint(low, high))
    }

    fn near(&self, point: &Point) -> bool {
        point.angle().radians() < self.job.margin.angle.radians()
    }

    /// The times at which the sun is nearer than the margin, joined where one ends as the next
    /// begins.
    pub(super) fn broken(&self, arcs: &[Arc]) -> Result<Vec<(f64, f64)>, Error> {
        let mut broken = Vec::new();
        for arc in arcs {
            let mut since = None;
            for (index, point) in arc.points.iter().enumerate() {
                let before = index.checked_sub(1).and_then(|i| arc.points.get(i));
                match (since, self.near(point)) {
                    (None, true) => {
                        let begin = before.map_or(Ok(point.at), |b| self.passage(b, point))?;
                        since = Some(begin);
                    }
                    (Some(begin), false) => {
                        let end = before.map_or(Ok(point.at), |b| self.passage(b, point))?;
                        broken.push((begin, end));
                        since = None;
                    }
                    (None, false) | (Some(_), true) => {}
                }
            }
            if let Some(begin) = since {
                broken.push((begin, arc.span.to));
            }
        }
        Ok(broken)
    }

    /// When the margin is passed between two points on either side of it: the end of the last
    /// halving that lies nearer to the sun.
    fn passage(&self, one: &Point, other: &Point) -> Result<f64, Error> {
        let (mut low, mut high) = (one.at, other.at);
        let low_near = self.near(one);
        while high - low > FINE {
            let middle = f64::midpoint(low, high);
            if self.near(&self.at(middle)?) == low_near {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(if low_near { low } else { high })
    }
}
