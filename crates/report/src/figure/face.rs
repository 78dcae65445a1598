//! The dish face: a ring of sectors, one for each required proof, seen from the front. Angles run
//! clockwise from 12 o'clock; the unit circle is scaled to 102 units.

use libm::{asinf, cosf, sinf};

use super::drawing::{Anchor, Drawing, Shape, Tone, circle, polyline};
use crate::draw::Seg;
use crate::model::{Face as FaceModel, FaceHold, HoldState, Proof, ProofState, TickClass};
use crate::setting::Face;

const TURN: f32 = core::f32::consts::TAU;

/// How finely the face is drawn, as type has optical sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cut {
    /// Under 96 px.
    Small,
    /// 96 to 319 px.
    Medium,
    /// 320 px and more, and paper: with hold points and labels.
    Large,
}

struct Measure {
    outer: f32,
    inner: f32,
    gap: f32,
    outline: f32,
    hatch: [f32; 2],
    dots: [f32; 2],
    bars: u8,
    rim: Option<f32>,
    tick_start: f32,
    ticks: [[f32; 2]; 3],
    tick_step: f32,
    lock: [f32; 2],
    aperture: f32,
}

impl Cut {
    fn measure(self) -> Measure {
        match self {
            Self::Small => Measure {
                outer: 84.0,
                inner: 48.0,
                gap: 5.0,
                outline: 4.0,
                hatch: [11.0, 5.2],
                dots: [12.5, 3.7],
                bars: 3,
                rim: None,
                tick_start: 88.0,
                ticks: [[16.0, 9.0], [13.0, 6.0], [9.0, 5.0]],
                tick_step: 6.2,
                lock: [33.0, 48.0],
                aperture: 9.0,
            },
            Self::Medium => Measure {
                outer: 80.0,
                inner: 43.0,
                gap: 3.4,
                outline: 2.4,
                hatch: [7.0, 3.1],
                dots: [8.2, 2.3],
                bars: 3,
                rim: Some(84.0),
                tick_start: 86.0,
                ticks: [[14.0, 5.0], [10.0, 3.4], [6.0, 2.8]],
                tick_step: 6.2,
                lock: [25.0, 34.0],
                aperture: 7.0,
            },
            Self::Large => Measure {
                outer: 80.0,
                inner: 46.0,
                gap: 2.4,
                outline: 1.3,
                hatch: [4.2, 1.7],
                dots: [5.0, 1.35],
                bars: 6,
                rim: Some(84.5),
                tick_start: 86.0,
                ticks: [[11.0, 3.4], [8.0, 2.4], [5.0, 1.8]],
                tick_step: 4.2,
                lock: [17.0, 21.0],
                aperture: 5.5,
            },
        }
    }
}

/// Draws the face of a dish. `name` is the dish position, for the accessible name.
#[must_use]
pub fn dish_face(name: &str, proofs: &[Proof], face: &FaceModel, cut: Cut) -> Drawing {
    let m = cut.measure();
    let mut shapes = Vec::new();
    if let Some(r) = m.rim {
        shapes.push(stroke(circle(0.0, 0.0, r), 1.0));
    }
    let step = TURN / count(proofs.len().max(1));
    for (i, proof) in proofs.iter().enumerate() {
        let from = count(i) * step;
        let mut inner = Vec::new();
        sector(&mut inner, &m, proof.state, from, from + step, cut);
        ticks(&mut inner, &m, face, &proof.requirement, from + step / 2.0, cut);
        if cut == Cut::Large {
            label(&mut inner, proof, from + step / 2.0);
        }
        let name = format!("{}, {}", proof.name(), proof.state.word());
        put(&mut shapes, cut, &proof.requirement, name, inner);
    }
    if cut == Cut::Large {
        for hold in &face.holds {
            if let Some(i) = proofs.iter().position(|p| p.requirement == hold.after) {
                let mut inner = Vec::new();
                hold_point(&mut inner, &m, hold, (count(i) + 1.0) * step);
                let state = if hold.state == HoldState::Held { "held" } else { "released" };
                let name = format!("hold {}, {state}", hold.number);
                put(&mut shapes, cut, &format!("hold-{}", hold.number), name, inner);
            }
        }
    }
    let mut inner = Vec::new();
    focus(&mut inner, &m, face.locks);
    put(&mut shapes, cut, "locks", locks_known(face.locks), inner);
    let stand = proofs.iter().filter(|p| p.state == ProofState::Stands).count();
    let view = if cut == Cut::Large {
        [-150.0, -124.0, 300.0, 248.0]
    } else {
        [-102.0, -102.0, 204.0, 204.0]
    };
    let locks = locks_known(face.locks);
    let name = format!("{name}: {stand} of {} proofs stand, {locks}", proofs.len());
    Drawing { view, shapes, name }
}

/// What the focus says in words. None known is no count: it must not sound like a clearance.
fn locks_known(locks: u32) -> String {
    match locks {
        0 => "no lock known here".to_owned(),
        1 => "1 lock known".to_owned(),
        more => format!("{more} locks known"),
    }
}

/// Adds shapes; in the large cut as a place that can be touched. Smaller faces stand in rows and
/// plans that are touched as a whole.
fn put(shapes: &mut Vec<Shape>, cut: Cut, id: &str, label: String, inner: Vec<Shape>) {
    if cut == Cut::Large {
        shapes.push(Shape::Target { id: id.to_owned(), label, inner });
    } else {
        shapes.extend(inner);
    }
}

/// A small count as a number of the drawing.
pub(super) fn count(n: usize) -> f32 {
    f32::from(u16::try_from(n).unwrap_or(u16::MAX))
}

pub(super) fn at(r: f32, a: f32) -> (f32, f32) {
    (r * sinf(a), -r * cosf(a))
}

fn stroke(path: Vec<Seg>, width: f32) -> Shape {
    Shape::Stroke { path, width, dash: None, tone: Tone::Ink }
}

/// Continues a path along a circle from angle `a` to `b` in steps of at most a twelfth of a turn.
pub(super) fn arc(path: &mut Vec<Seg>, r: f32, a: f32, b: f32) {
    let steps: u8 = 3;
    let d = (b - a) / f32::from(steps);
    let k = 4.0 / 3.0 * libm::tanf(d / 4.0) * r;
    for i in 0..steps {
        let (from, to) = (a + d * f32::from(i), a + d * f32::from(i + 1));
        let ((x0, y0), (x1, y1)) = (at(r, from), at(r, to));
        path.push(Seg::Curve([
            x0 + k * cosf(from),
            y0 + k * sinf(from),
            x1 - k * cosf(to),
            y1 - k * sinf(to),
            x1,
            y1,
        ]));
    }
}

/// A ring sector whose edges keep a parallel gap to the neighbours.
pub(super) fn ring(inner: f32, outer: f32, gap: f32, from: f32, to: f32) -> Vec<Seg> {
    let (di, d_o) = (asinf(gap / (2.0 * inner)), asinf(gap / (2.0 * outer)));
    let (x, y) = at(outer, from + d_o);
    let mut path = vec![Seg::Move(x, y)];
    arc(&mut path, outer, from + d_o, to - d_o);
    let (x, y) = at(inner, to - di);
    path.push(Seg::Line(x, y));
    arc(&mut path, inner, to - di, from + di);
    path.push(Seg::Close);
    path
}

fn sector(shapes: &mut Vec<Shape>, m: &Measure, state: ProofState, from: f32, to: f32, cut: Cut) {
    let full = ring(m.inner, m.outer, m.gap, from, to);
    let outline =
        |w: f32| stroke(ring(m.inner + w / 2.0, m.outer - w / 2.0, m.gap + w, from, to), w);
    let inside = |inner| Shape::Clip { path: full.clone(), inner };
    match state {
        ProofState::NotRequired => return,
        ProofState::Stands => {
            shapes.push(Shape::Fill { path: full, tone: Tone::Ink });
            return;
        }
        ProofState::UnderReview => {
            let edge = m.inner + 0.46 * (m.outer - m.inner);
            let path = ring(m.inner, edge, m.gap, from, to);
            shapes.push(Shape::Fill { path, tone: Tone::Ink });
        }
        ProofState::Voided => shapes.push(inside(hatch(m.hatch))),
        ProofState::Lapsed => {
            let step = (m.outer - m.inner) / f32::from(m.bars);
            let bars = (0..m.bars).map(|i| {
                let r = m.inner + (f32::from(i) + 0.25) * step;
                Shape::Fill { path: ring(r, r + step / 2.0, 0.0, from, to), tone: Tone::Ink }
            });
            shapes.push(inside(bars.collect()));
        }
        ProofState::Undecided => shapes.push(inside(dots(m.dots, from, to, m))),
        ProofState::Owed => {}
        ProofState::OwedWaiting => {
            let thin = if cut == Cut::Small { 1.0 } else { 0.75 };
            shapes.push(outline(m.outline * thin));
            return;
        }
    }
    shapes.push(outline(m.outline));
}

/// Straight hatch at 45°, in the same direction in every sector.
fn hatch([pitch, bar]: [f32; 2]) -> Vec<Shape> {
    let reach = 90.0;
    let step = pitch * core::f32::consts::SQRT_2;
    let mut lines = Vec::new();
    let mut c = -2.0 * reach;
    while c <= 2.0 * reach {
        let path = polyline(&[(c - reach, reach), (c + reach, -reach)], false);
        lines.push(stroke(path, bar));
        c += step;
    }
    lines
}

/// Dots on a grid turned by 45°, those near the sector only.
fn dots([pitch, r]: [f32; 2], from: f32, to: f32, m: &Measure) -> Vec<Shape> {
    let half = pitch * core::f32::consts::FRAC_1_SQRT_2;
    let (mx, my) = at((m.inner + m.outer) / 2.0, (from + to) / 2.0);
    let mut dots = Vec::new();
    let (mut y, mut odd) = (-half * 24.0, false);
    while y <= half * 24.0 {
        let mut x = -half * 48.0 + if odd { half } else { 0.0 };
        while x <= half * 48.0 {
            if (x - mx).abs() < 36.0 && (y - my).abs() < 36.0 {
                dots.push(Shape::Fill { path: circle(x, y, r), tone: Tone::Ink });
            }
            x += 2.0 * half;
        }
        y += half;
        odd = !odd;
    }
    dots
}

fn ticks(shapes: &mut Vec<Shape>, m: &Measure, face: &FaceModel, of: &str, mid: f32, cut: Cut) {
    let mut classes: Vec<TickClass> =
        face.ticks.iter().filter(|t| t.requirement == of).map(|t| t.class).collect();
    classes.sort();
    if cut == Cut::Small {
        classes.truncate(1);
    }
    let step = m.tick_step * TURN / 360.0;
    let first = mid - step * (count(classes.len()) - 1.0) / 2.0;
    for (i, class) in classes.into_iter().enumerate() {
        let ([length, width], tone) = match class {
            TickClass::A => (m.ticks[0], Tone::Stop),
            TickClass::B => (m.ticks[1], Tone::Ink),
            TickClass::C => (m.ticks[2], Tone::Ink),
        };
        let a = first + step * count(i);
        let path = polyline(&[at(m.tick_start, a), at(m.tick_start + length, a)], false);
        shapes.push(Shape::Stroke { path, width, dash: None, tone });
    }
}

fn hold_point(shapes: &mut Vec<Shape>, m: &Measure, hold: &FaceHold, a: f32) {
    let (x, y) = at(33.5, a);
    let d = 6.4;
    let diamond = polyline(&[(x, y - d), (x + d, y), (x, y + d), (x - d, y)], true);
    let strut = polyline(&[at(19.5, a), at(m.outer, a)], false);
    let held = hold.state == HoldState::Held;
    let dash = if held { Some([3.0, 2.2]) } else { None };
    shapes.push(Shape::Stroke { path: strut, width: 1.1, dash, tone: Tone::Ink });
    let tone = if held { Tone::Ground } else { Tone::Ink };
    shapes.push(Shape::Fill { path: diamond.clone(), tone });
    shapes.push(stroke(diamond, 1.1));
    shapes.push(Shape::Label {
        x,
        y: y + 2.7,
        size: 7.6,
        face: Face::Strong,
        anchor: Anchor::Middle,
        tone: if held { Tone::Ink } else { Tone::Ground },
        text: hold.number.to_string(),
    });
}

fn focus(shapes: &mut Vec<Shape>, m: &Measure, locks: u32) {
    if locks == 0 {
        let r = m.aperture;
        shapes.push(Shape::Fill { path: circle(0.0, 0.0, r), tone: Tone::Ground });
        shapes.push(stroke(circle(0.0, 0.0, r), (m.outline * 1.3).min(3.0)));
        return;
    }
    let [r, figure] = m.lock;
    let (cy, s) = (0.22 * r, r / 2.0);
    let mut shackle = vec![Seg::Move(-s, cy - 0.6 * r), Seg::Line(-s, cy - 0.95 * r)];
    let top = cy - 0.95 * r;
    let k = s * 0.552_285;
    shackle.push(Seg::Curve([-s, top - k, -k, top - s, 0.0, top - s]));
    shackle.push(Seg::Curve([k, top - s, s, top - k, s, top]));
    shackle.push(Seg::Line(s, cy - 0.6 * r));
    let path = shackle;
    shapes.push(Shape::Stroke { path, width: 0.24 * r, dash: None, tone: Tone::Stop });
    shapes.push(Shape::Fill { path: circle(0.0, cy, r), tone: Tone::Stop });
    shapes.push(Shape::Label {
        x: 0.0,
        y: cy + figure * 0.36,
        size: figure,
        face: Face::Strong,
        anchor: Anchor::Middle,
        tone: Tone::Ground,
        text: locks.to_string(),
    });
}

fn label(shapes: &mut Vec<Shape>, proof: &Proof, mid: f32) {
    let (x, y) = at(101.0, mid);
    let anchor = if x > 8.0 {
        Anchor::Start
    } else if x < -8.0 {
        Anchor::End
    } else {
        Anchor::Middle
    };
    // Two lines, centred on the point; pushed outwards at top and bottom.
    let y = y - 1.0 + 6.0 * (y / 101.0);
    let text = |dy: f32, size, face, tone, text: &str| Shape::Label {
        x,
        y: y + dy,
        size,
        face,
        anchor,
        tone,
        text: text.to_owned(),
    };
    shapes.push(text(0.0, 9.5, Face::Strong, Tone::Ink, proof.name()));
    shapes.push(text(10.2, 8.7, Face::Text, Tone::Second, proof.state.word()));
}
