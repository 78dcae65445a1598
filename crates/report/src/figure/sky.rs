//! The sky over a job: rim = horizon, middle = overhead, north up, east right, elevation by equal
//! steps from rim to middle.
//!
//! Heavy line = the sun over the job, dotted = its way through the rest of the day, ring = the
//! mirror axis, dashed = the angle kept free round it as it truly lies on the sky, number = the
//! nearest approach, at its moment.

use libm::{acosf, asinf, atan2f, cosf, hypotf, sinf};

use super::drawing::{Anchor, Drawing, Shape, Tone, circle, polyline};
use crate::setting::Face;

/// A sky with a parked dish under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sky {
    /// What it shows, in words, for those who don't see it.
    pub name: String,
    /// Where the mirror axis points.
    pub axis: SkyPlace,
    /// The angle kept free round the axis, in degrees.
    pub margin: f32,
    /// What is written at the circle, such as "30° free".
    pub margin_label: String,
    /// The sun over the job: a line from each rise or beginning to each setting or end.
    pub sun: Vec<Vec<SkyPlace>>,
    /// The sun through the day, beyond the job; may be empty.
    pub day: Vec<SkyPlace>,
    /// The sun at the beginning of the job, if it is up.
    pub begins: Option<SkyMark>,
    /// The sun at the end of the job, or where it sets.
    pub ends: Option<SkyMark>,
    /// The sun where it comes nearest to the axis, with the angle as a label, such as "67°".
    pub nearest: Option<SkyMark>,
}

/// A place on the sky, in degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkyPlace {
    /// Clockwise from true north.
    pub azimuth: f32,
    /// Above the level horizon.
    pub elevation: f32,
}

/// A place with what is written at it, such as the time.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyMark {
    /// Where.
    pub place: SkyPlace,
    /// What is written.
    pub label: String,
}

const RIM: f32 = 171.0;
const VIEW: [f32; 4] = [-214.0, -206.0, 428.0, 412.0];
/// Points of the circle kept free, and of a line across the sky.
const STEPS: [u16; 2] = [180, 32];
const DISC: f32 = 9.5;

/// Draws the sky.
#[must_use]
pub fn sky(sky: &Sky) -> Drawing {
    let mut shapes = Vec::new();
    ground(&mut shapes);
    let mut above = Vec::new();
    above.push(line(&points(&sky.day), 1.8, Some([1.8, 3.6]), Tone::Ink));
    let kept = small_circle(sky.axis, sky.margin);
    above.push(Shape::Stroke {
        path: polyline(&points(&kept), true),
        width: 2.6,
        dash: Some([8.0, 5.0]),
        tone: Tone::Stop,
    });
    for part in &sky.sun {
        above.push(line(&points(part), 5.0, None, Tone::Ink));
    }
    if let Some(nearest) = &sky.nearest {
        above.push(line(&points(&across(sky.axis, nearest.place)), 2.0, None, Tone::Ink));
    }
    shapes.push(Shape::Clip { path: circle(0.0, 0.0, RIM), inner: above });
    shapes.push(stroke(circle(0.0, 0.0, RIM), 2.0));
    let mut labels = Labels::default();
    quarters(&mut shapes, &mut labels);
    let (x, y) = on_page(sky.axis);
    labels.taken.push([x - 13.0, y - 13.0, 26.0, 26.0]);
    let marks = [(&sky.ends, 7.0, Tone::Ground), (&sky.begins, DISC, Tone::Caution)];
    for (mark, r, _) in &marks {
        if let Some(mark) = mark {
            let (x, y) = on_page(mark.place);
            labels.taken.push([x - r - 1.0, y - r - 1.0, 2.0 * r + 2.0, 2.0 * r + 2.0]);
        }
    }
    labels.lines.extend(sky.sun.iter().flat_map(|part| filled(&points(part))));
    axis(&mut shapes, sky.axis);
    for (mark, r, tone) in marks {
        if let Some(mark) = mark {
            let (x, y) = on_page(mark.place);
            shapes.push(Shape::Fill { path: circle(x, y, r), tone });
            shapes.push(stroke(circle(x, y, r), 2.0));
        }
    }
    if let Some(nearest) = &sky.nearest {
        number(&mut shapes, &mut labels, sky.axis, nearest);
        labels.lines.extend(filled(&points(&across(sky.axis, nearest.place))));
    }
    labels.lines.extend((0_u16..360).map(|a| {
        let place = SkyPlace { azimuth: f32::from(a), elevation: 0.0 };
        on_page(place)
    }));
    let texts = [&sky.begins, &sky.ends];
    for mark in texts.into_iter().flatten() {
        labels.put(&mut shapes, on_page(mark.place), 18.0, Face::Strong, &mark.label);
    }
    labels.put(&mut shapes, on_page(sky.axis), 17.0, Face::Text, &sky.margin_label);
    Drawing { view: VIEW, shapes, name: sky.name.clone() }
}

/// What labels must not run over: boxes of marks and of other labels, and points of the sun's line.
#[derive(Default)]
struct Labels {
    /// Left, top, width, height.
    taken: Vec<[f32; 4]>,
    lines: Vec<(f32, f32)>,
}

impl Labels {
    /// How badly a box lies: over the edge of the view, over another, over the line.
    fn cost(&self, [x, y, w, h]: [f32; 4]) -> f32 {
        let outside = (VIEW[0] + 2.0 - x).max(x + w - VIEW[0] - VIEW[2] + 2.0).max(0.0)
            + (VIEW[1] + 2.0 - y).max(y + h - VIEW[1] - VIEW[3] + 2.0).max(0.0);
        let shared: f32 = self
            .taken
            .iter()
            .map(|[a, b, c, d]| {
                let across = (x + w).min(a + c) - x.max(*a);
                let down = (y + h).min(b + d) - y.max(*b);
                across.max(0.0) * down.max(0.0)
            })
            .sum();
        let inside = |(px, py): &&(f32, f32)| *px > x && *px < x + w && *py > y && *py < y + h;
        let crossed = self.lines.iter().filter(inside).count();
        100.0 * outside + shared + 3.0 * f32::from(u16::try_from(crossed).unwrap_or(u16::MAX))
    }

    /// Writes a text beside a point, where it lies best.
    fn put(&mut self, shapes: &mut Vec<Shape>, at: (f32, f32), size: f32, face: Face, text: &str) {
        let (w, h) = (width(size, text), 0.78 * size);
        let mut places = Vec::new();
        for gap in [14.0, 22.0, 34.0] {
            // Below, above, right, left, then the corners.
            for (dx, dy) in [
                (0.0, 1.0),
                (0.0, -1.0),
                (1.0, 0.0),
                (-1.0, 0.0),
                (0.8, -0.8),
                (-0.8, -0.8),
                (0.8, 0.8),
                (-0.8, 0.8),
            ] {
                let (cx, cy) = (at.0 + dx * (gap + w / 2.0), at.1 + dy * (gap + h / 2.0));
                places.push([cx - w / 2.0, cy - h / 2.0, w, h]);
            }
        }
        if let Some(best) = self.best(&places) {
            let (x, y) = (best[0] + w / 2.0, best[1] + h);
            shapes.push(label(x, y, size, face, Anchor::Middle, text));
        }
    }

    /// Takes the best of some boxes, the first of equals.
    fn best(&mut self, places: &[[f32; 4]]) -> Option<[f32; 4]> {
        let best = places.iter().min_by(|a, b| self.cost(**a).total_cmp(&self.cost(**b))).copied();
        self.taken.extend(best);
        best
    }
}

/// About how wide a text is.
fn width(size: f32, text: &str) -> f32 {
    0.58 * size * f32::from(u16::try_from(text.chars().count()).unwrap_or(u16::MAX))
}

/// Points along a line, close enough that no label slips between two.
fn filled(points: &[(f32, f32)]) -> Vec<(f32, f32)> {
    let parts = points.iter().zip(points.iter().skip(1));
    parts
        .flat_map(|(a, b)| {
            (0_u8..8).map(move |step| {
                let t = f32::from(step) / 8.0;
                (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1))
            })
        })
        .collect()
}

/// Where a place lies on the drawing.
fn on_page(place: SkyPlace) -> (f32, f32) {
    let r = RIM * (90.0 - place.elevation) / 90.0;
    let azimuth = place.azimuth.to_radians();
    (r * sinf(azimuth), -r * cosf(azimuth))
}

fn points(places: &[SkyPlace]) -> Vec<(f32, f32)> {
    places.iter().copied().map(on_page).collect()
}

/// A place as a vector: east, north, up.
fn vector(place: SkyPlace) -> [f32; 3] {
    let (a, e) = (place.azimuth.to_radians(), place.elevation.to_radians());
    [cosf(e) * sinf(a), cosf(e) * cosf(a), sinf(e)]
}

fn from_vector([east, north, up]: [f32; 3]) -> SkyPlace {
    SkyPlace {
        azimuth: atan2f(east, north).to_degrees(),
        elevation: asinf(up.clamp(-1.0, 1.0)).to_degrees(),
    }
}

/// All places at an angle from a place: a small circle of the sky.
fn small_circle(middle: SkyPlace, angle: f32) -> Vec<SkyPlace> {
    let (a, e) = (middle.azimuth.to_radians(), middle.elevation.to_radians());
    let axis = vector(middle);
    // Two directions across the axis: to the right along the horizon, and up.
    let right = [cosf(a), -sinf(a), 0.0];
    let up = [-sinf(e) * sinf(a), -sinf(e) * cosf(a), cosf(e)];
    let (near, far) = (cosf(angle.to_radians()), sinf(angle.to_radians()));
    (0..STEPS[0])
        .map(|step| {
            let turn = f32::from(step) / f32::from(STEPS[0]) * core::f32::consts::TAU;
            let (c, s) = (cosf(turn), sinf(turn));
            let part = |i: usize| near * axis[i] + far * (c * right[i] + s * up[i]);
            from_vector([part(0), part(1), part(2)])
        })
        .collect()
}

/// The shortest way across the sky from one place to another.
fn across(from: SkyPlace, to: SkyPlace) -> Vec<SkyPlace> {
    let (a, b) = (vector(from), vector(to));
    let dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let angle = acosf(dot.clamp(-1.0, 1.0));
    let size = sinf(angle);
    if size < 1e-3 {
        return vec![from, to];
    }
    (0..=STEPS[1])
        .map(|step| {
            let t = f32::from(step) / f32::from(STEPS[1]);
            let (p, q) = (sinf((1.0 - t) * angle) / size, sinf(t * angle) / size);
            from_vector([p * a[0] + q * b[0], p * a[1] + q * b[1], p * a[2] + q * b[2]])
        })
        .collect()
}

fn line(points: &[(f32, f32)], width: f32, dash: Option<[f32; 2]>, tone: Tone) -> Shape {
    Shape::Stroke { path: polyline(points, false), width, dash, tone }
}

fn stroke(path: Vec<crate::draw::Seg>, width: f32) -> Shape {
    Shape::Stroke { path, width, dash: None, tone: Tone::Ink }
}

fn label(x: f32, y: f32, size: f32, face: Face, anchor: Anchor, text: &str) -> Shape {
    Shape::Label { x, y, size, face, anchor, tone: Tone::Ink, text: text.to_owned() }
}

/// Rings at 30° and 60°, and the lines between the quarters.
fn ground(shapes: &mut Vec<Shape>) {
    shapes.push(Shape::Fill { path: circle(0.0, 0.0, RIM), tone: Tone::Ground });
    for part in [1.0, 2.0] {
        shapes.push(Shape::Stroke {
            path: circle(0.0, 0.0, RIM * part / 3.0),
            width: 1.0,
            dash: None,
            tone: Tone::Faint,
        });
    }
    for ends in [[(-RIM, 0.0), (RIM, 0.0)], [(0.0, -RIM), (0.0, RIM)]] {
        shapes.push(line(&ends, 1.0, None, Tone::Faint));
    }
}

fn quarters(shapes: &mut Vec<Shape>, labels: &mut Labels) {
    let beyond = RIM + 9.0;
    for (x, y, anchor, text) in [
        (0.0, -beyond, Anchor::Middle, "N"),
        (beyond, 6.2, Anchor::Start, "E"),
        (0.0, beyond + 13.0, Anchor::Middle, "S"),
        (-beyond, 6.2, Anchor::End, "W"),
    ] {
        shapes.push(label(x, y, 18.0, Face::Strong, anchor, text));
        let side = x.signum() * if x.abs() < 1.0 { 0.0 } else { 8.0 };
        labels.taken.push([x + side - 9.0, y - 14.0, 18.0, 15.0]);
    }
}

/// The ring with a dot where the mirror axis points.
fn axis(shapes: &mut Vec<Shape>, place: SkyPlace) {
    let (x, y) = on_page(place);
    shapes.push(Shape::Fill { path: circle(x, y, 11.0), tone: Tone::Ground });
    shapes.push(stroke(circle(x, y, 11.0), 2.4));
    shapes.push(Shape::Fill { path: circle(x, y, 3.2), tone: Tone::Ink });
}

/// The angle of the nearest approach, on the way from the axis to the sun; beside it where the way
/// is short.
fn number(shapes: &mut Vec<Shape>, labels: &mut Labels, from: SkyPlace, nearest: &SkyMark) {
    let (w, h) = (width(27.0, &nearest.label), 24.0);
    let way = points(&across(from, nearest.place));
    let length: f32 =
        way.iter().zip(way.iter().skip(1)).map(|(a, b)| hypotf(b.0 - a.0, b.1 - a.1)).sum();
    let at = |(x, y): (f32, f32)| [x - w / 2.0, y - h / 2.0, w, h];
    if length > w + 40.0 {
        // On the way, where it lies best, from the middle outwards.
        let middle = way.len() / 2;
        let order = [0, 2, -2, 4, -4, 6, -6].map(|by: isize| middle.saturating_add_signed(by));
        let places: Vec<_> = order.iter().filter_map(|i| way.get(*i)).map(|p| at(*p)).collect();
        if let Some(best) = labels.best(&places) {
            let [x, y, ..] = best;
            let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
            shapes.push(Shape::Fill { path: polyline(&corners, true), tone: Tone::Ground });
            let (x, y) = (x + w / 2.0, y + 21.5);
            shapes.push(label(x, y, 27.0, Face::Title, Anchor::Middle, &nearest.label));
        }
    } else {
        labels.put(shapes, on_page(from), 27.0, Face::Title, &nearest.label);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(azimuth: f32, elevation: f32) -> SkyPlace {
        SkyPlace { azimuth, elevation }
    }

    fn near(got: (f32, f32), expected: (f32, f32)) {
        assert!(
            (got.0 - expected.0).abs() < 1e-3 && (got.1 - expected.1).abs() < 1e-3,
            "{got:?} {expected:?}"
        );
    }

    #[test]
    fn north_is_up_and_east_is_right() {
        near(on_page(place(0.0, 0.0)), (0.0, -RIM));
        near(on_page(place(90.0, 0.0)), (RIM, 0.0));
        near(on_page(place(180.0, 45.0)), (0.0, RIM / 2.0));
        near(on_page(place(270.0, 60.0)), (-RIM / 3.0, 0.0));
        near(on_page(place(123.0, 90.0)), (0.0, 0.0));
    }

    /// Every point of the circle is at the angle from the axis, by the cosine rule of the sphere.
    #[test]
    fn the_circle_is_a_circle_of_the_sky() {
        for axis in [place(142.0, 52.0), place(180.0, 3.0), place(0.0, 90.0), place(300.0, 30.0)] {
            for angle in [5.0_f32, 30.0, 60.0] {
                let circle = small_circle(axis, angle);
                assert_eq!(circle.len(), usize::from(STEPS[0]));
                for point in circle {
                    let turn = (point.azimuth - axis.azimuth).to_radians();
                    let (e1, e2) = (axis.elevation.to_radians(), point.elevation.to_radians());
                    let cosine = sinf(e1) * sinf(e2) + cosf(e1) * cosf(e2) * cosf(turn);
                    let got = acosf(cosine).to_degrees();
                    assert!((got - angle).abs() < 0.02, "{axis:?} {angle}: {got}");
                }
            }
        }
    }

    /// The way across the sky begins and ends where it should, and its parts add up.
    #[test]
    fn the_way_is_the_shortest() {
        let way = across(place(180.0, 3.0), place(60.0, 20.0));
        near(on_page(way[0]), on_page(place(180.0, 3.0)));
        near(on_page(*way.last().unwrap()), on_page(place(60.0, 20.0)));
        let apart = |a: SkyPlace, b: SkyPlace| {
            let (a, b) = (vector(a), vector(b));
            acosf((a[0] * b[0] + a[1] * b[1] + a[2] * b[2]).min(1.0)).to_degrees()
        };
        let parts: f32 = way.windows(2).map(|two| apart(two[0], two[1])).sum();
        let whole = apart(place(180.0, 3.0), place(60.0, 20.0));
        assert!((parts - whole).abs() < 0.2, "{parts} {whole}");
    }

    fn job() -> Sky {
        Sky {
            name: "PC-09: sun nearest 66.8° at 13:00, least allowed 30°".to_owned(),
            axis: place(142.0, 52.0),
            margin: 30.0,
            margin_label: "30° free".to_owned(),
            sun: vec![vec![place(350.0, 59.0), place(300.0, 30.0), place(277.0, 0.0)]],
            day: vec![place(83.0, 0.0), place(40.0, 45.0), place(0.0, 59.5)],
            begins: Some(SkyMark { place: place(350.0, 59.0), label: "13:00".to_owned() }),
            ends: Some(SkyMark { place: place(277.0, 0.0), label: "18:25".to_owned() }),
            nearest: Some(SkyMark { place: place(350.0, 59.0), label: "67°".to_owned() }),
        }
    }

    /// On screen: the circle in the tone of a stop, the sun in that of caution, all by class.
    #[test]
    fn what_is_on_the_screen() {
        let svg = sky(&job()).to_svg();
        for part in
            ["aria-label=\"PC-09: sun nearest", ">67°<", ">30° free<", ">13:00<", ">18:25<", ">N<"]
        {
            assert!(svg.contains(part), "{part}");
        }
        assert!(svg.contains("class=\"stop line\"") && svg.contains("class=\"caution\""));
        let night = Sky { sun: vec![], begins: None, ends: None, nearest: None, ..job() };
        let svg = sky(&night).to_svg();
        assert!(!svg.contains("class=\"caution\"") && svg.contains(">30° free<"));
    }

    /// Labels stay within the view wherever sun and axis are.
    #[test]
    fn nothing_leaves_the_view() {
        for azimuth in (0_u16..360).step_by(15) {
            for elevation in [0.0_f32, 20.0, 60.0, 88.0] {
                let sun = place(f32::from(azimuth), elevation);
                for axis in [place(180.0, 3.0), place(0.0, 90.0), sun] {
                    let at = |label: &str| Some(SkyMark { place: sun, label: label.to_owned() });
                    let one = Sky {
                        axis,
                        begins: at("13:00"),
                        ends: at("18:25"),
                        nearest: at("104.3°"),
                        ..job()
                    };
                    for shape in sky(&one).shapes {
                        let Shape::Label { x, y, size, anchor, text, .. } = shape else { continue };
                        #[expect(clippy::cast_precision_loss, reason = "a label of a few signs")]
                        let width = 0.56 * size * text.chars().count() as f32;
                        let left = match anchor {
                            Anchor::Start => x,
                            Anchor::Middle => x - width / 2.0,
                            Anchor::End => x - width,
                        };
                        let fits = left >= VIEW[0] - 2.0
                            && left + width <= VIEW[0] + VIEW[2] + 2.0
                            && y - 0.7 * size >= VIEW[1]
                            && y <= VIEW[1] + VIEW[3];
                        assert!(fits, "{text} at {x} {y}, sun {sun:?}, axis {axis:?}");
                    }
                }
            }
        }
    }
}
