//! Verdict marks: solid disc, ring with a cross, dashed ring with a bar. On a 32-unit grid.

use super::drawing::{Drawing, Shape, Tone, circle, polyline};
use crate::model::SheetMark;

/// The mark of a result; `None` where a value was computed without a limit.
pub(crate) fn verdict_mark(mark: SheetMark) -> Option<Drawing> {
    let stroke = |path, dash| Shape::Stroke { path, width: 3.0, dash, tone: Tone::Ink };
    let (shapes, name) = match mark {
        SheetMark::Within => {
            (vec![Shape::Fill { path: circle(16.0, 16.0, 14.0), tone: Tone::Ink }], "within")
        }
        SheetMark::Outside => (
            vec![
                stroke(circle(16.0, 16.0, 12.5), None),
                stroke(polyline(&[(10.5, 10.5), (21.5, 21.5)], false), None),
                stroke(polyline(&[(21.5, 10.5), (10.5, 21.5)], false), None),
            ],
            "outside",
        ),
        SheetMark::NotJudged => (
            vec![
                stroke(circle(16.0, 16.0, 12.5), Some([5.0, 2.854])),
                stroke(polyline(&[(9.5, 16.0), (22.5, 16.0)], false), None),
            ],
            "not judged",
        ),
        SheetMark::Computed => return None,
    };
    Some(Drawing { view: [0.0, 0.0, 32.0, 32.0], shapes, name: name.to_owned() })
}
