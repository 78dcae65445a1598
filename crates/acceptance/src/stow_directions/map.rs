//! The smallest angle for every direction of the map, and exactly for those that matter.

use solar_positioning::Error;

use super::input::Wanted;
use crate::parking_window::{Found, Job, find as follow};
use crate::sun::{
    Direction, RATE, SunPath, Vector, bound_of_step, from_degrees, of_chord, to_line, vector,
};

/// Seconds between two samples of the sun, and the window in seconds up to which they are so; and
/// beyond it.
const FINE: f64 = 112.5;
const FINE_UP_TO: f64 = 8.5 * 86_400.0;
const COARSE: f64 = 450.0;
/// Pieces of the sun's path that are passed over together where they are too far; an even number.
const BLOCK: usize = 8;

/// A direction followed as `parking-window` does.
#[derive(Debug)]
pub(super) struct Followed {
    pub(super) name: String,
    pub(super) job: Job,
    pub(super) found: Found,
}

/// A cell of the map.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    /// In radians.
    pub(super) angle: f64,
    /// Unix seconds.
    pub(super) at: f64,
}

/// What is found over the window.
#[derive(Debug)]
pub(super) struct Chart {
    /// By elevation, then azimuth; none while the sun is down all the time.
    pub(super) rows: Vec<Vec<Option<Cell>>>,
    /// Seconds between two samples of the sun.
    pub(super) step: f64,
    /// The best cell's direction, followed.
    pub(super) best: Option<Followed>,
    pub(super) proposed: Option<Followed>,
    pub(super) candidates: Vec<Followed>,
}

impl Chart {
    /// By how much the angle of a cell may differ from the true one, in radians.
    pub(super) fn bound(&self, angle: f64) -> f64 {
        bound_of_step(self.step, angle)
    }

    /// Whether a cell keeps the margin for certain.
    pub(super) fn keeps(&self, cell: Option<Cell>, margin: f64) -> bool {
        cell.is_none_or(|cell| cell.angle - self.bound(cell.angle) >= margin)
    }
}

/// Looks for everything.
pub(super) fn find(wanted: &Wanted) -> Result<Chart, Error> {
    let job = &wanted.job;
    let (from, to) = job.window.padded();
    let step = if to - from <= FINE_UP_TO { FINE } else { COARSE };
    let path = SunPath::between(&job.place.observer, from, to, job.delta_t)?;
    let sky = Sky::sample(&path, from, to, step);
    let cell = |azimuth: f64, elevation: f64| {
        let direction =
            Direction { azimuth: from_degrees(azimuth), elevation: from_degrees(elevation) };
        sky.nearest(vector(direction))
    };
    let rows: Vec<Vec<Option<Cell>>> = wanted
        .elevations
        .degrees()
        .map(|elevation| {
            wanted.azimuths.degrees().map(|azimuth| cell(azimuth, elevation)).collect()
        })
        .collect();
    let followed = |name: &str, axis: Direction| {
        let job = Job { axis, ..job.clone() };
        Ok::<_, Error>(Followed { name: name.to_owned(), found: follow(&job)?, job })
    };
    let best = best(&rows).map(|(row, column)| {
        let axis = Direction {
            azimuth: from_degrees(wanted.azimuths.nth(column)),
            elevation: from_degrees(wanted.elevations.nth(row)),
        };
        followed("best of the map", axis)
    });
    let proposed = wanted.proposed.map(|axis| followed("proposed", axis));
    let candidates = wanted.candidates.iter().map(|(name, axis)| followed(name, *axis));
    Ok(Chart {
        best: best.transpose()?,
        proposed: proposed.transpose()?,
        candidates: candidates.collect::<Result<_, _>>()?,
        rows,
        step,
    })
}

/// Row and column of the largest angle, the first of several.
pub(super) fn best(rows: &[Vec<Option<Cell>>]) -> Option<(usize, usize)> {
    let mut best: Option<(f64, (usize, usize))> = None;
    for (row, cells) in rows.iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            let Some(cell) = cell else { continue };
            if best.is_none_or(|(angle, _)| cell.angle > angle) {
                best = Some((cell.angle, (row, column)));
            }
        }
    }
    best.map(|(_, place)| place)
}

/// A piece of the sun's path, from a sample to the next.
#[derive(Debug, Clone, Copy)]
struct Piece {
    from: f64,
    to: f64,
    geometric: [Vector; 2],
    apparent: [Vector; 2],
}

/// The sun's path over a window, while the sun is up.
struct Sky {
    /// Pieces that follow each other without a night, with a direction in their middle.
    blocks: Vec<(Vector, Vec<Piece>)>,
    /// How far a direction within a block may be from that of its middle piece, in radians.
    reach: f64,
}

impl Sky {
    fn sample(path: &SunPath, from: f64, to: f64, step: f64) -> Self {
        let mut pieces = Vec::new();
        let mut at = from;
        let mut one = path.sight(at);
        while at < to {
            let next = (at + step).min(to);
            let other = path.sight(next);
            let mut piece = Piece {
                from: at,
                to: next,
                geometric: [one.geometric, other.geometric],
                apparent: [one.apparent, other.apparent],
            };
            match (one.up(), other.up()) {
                (true, true) => pieces.push(piece),
                (true, false) => {
                    let edge = path.edge(at, next);
                    let sight = path.sight(edge);
                    piece.to = edge;
                    piece.geometric[1] = sight.geometric;
                    piece.apparent[1] = sight.apparent;
                    pieces.push(piece);
                }
                (false, true) => {
                    let edge = path.edge(next, at);
                    let sight = path.sight(edge);
                    piece.from = edge;
                    piece.geometric[0] = sight.geometric;
                    piece.apparent[0] = sight.apparent;
                    pieces.push(piece);
                }
                (false, false) => {}
            }
            (at, one) = (next, other);
        }
        #[expect(clippy::cast_precision_loss, reason = "a small number")]
        let reach = RATE * step * (BLOCK / 2) as f64 + path.most_lift();
        let blocks = pieces
            .chunk_by(|one: &Piece, other| other.from - one.to < 1.0)
            .flat_map(|day| day.chunks(BLOCK))
            .filter_map(|block| Some((block.get(block.len() / 2)?.geometric[0], block.to_vec())))
            .collect();
        Self { blocks, reach }
    }

    /// The smallest angle to an axis.
    fn nearest(&self, axis: Vector) -> Option<Cell> {
        let chord = |one: Vector| to_line(axis, one, one).0;
        let (mut least, mut when) = (f64::INFINITY, 0.0);
        for (middle, block) in &self.blocks {
            let chord = chord(*middle);
            if chord < least {
                (least, when) = (chord, block.first().map_or(0.0, |piece| piece.from));
            }
        }
        if self.blocks.is_empty() {
            return None;
        }
        let mut far = chord_of(of_chord(least) + self.reach);
        for (middle, block) in &self.blocks {
            if chord(*middle) > far {
                continue;
            }
            for piece in block {
                for [one, other] in [piece.geometric, piece.apparent] {
                    let (chord, share) = to_line(axis, one, other);
                    if chord <= least {
                        (least, when) = (chord, piece.from + share * (piece.to - piece.from));
                        far = chord_of(of_chord(least) + self.reach);
                    }
                }
            }
        }
        Some(Cell { angle: of_chord(least), at: when })
    }
}

/// The length of the difference of two vectors of length one, at most half a turn apart.
fn chord_of(angle: f64) -> f64 {
    2.0 * libm::sin(angle.min(core::f64::consts::PI) / 2.0)
}
