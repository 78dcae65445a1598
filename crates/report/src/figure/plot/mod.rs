//! What figures over two axes share: scales and their numbers, the frame, lines and marks, and the
//! names of what is drawn.

mod axis;
mod curve;
mod frame;
mod names;
mod words;

pub(super) use axis::{Axis, Range};
pub(super) use curve::{Curve, draw};
pub(super) use frame::{Frame, Titles, label};
pub(super) use names::{Placed, below, ends, notes};
pub(super) use words::{narrow, width, wrap};

/// Width of every figure, in its own unit.
pub(super) const WIDTH: f32 = 654.0;
/// Where the frame ends at the right; labels of line ends stand beyond it.
pub(super) const RIGHT: f32 = 500.0;
/// Size of all type.
pub(super) const SIZE: f32 = 12.5;
