//! A drawing as SVG text. Tones become classes, so that a screen theme colours them; the greys
//! written beside them serve where there is no style sheet.

use std::fmt::Write as _;

use super::drawing::{Anchor, Drawing, Shape, Tone};
use crate::draw::Seg;
use crate::setting::Face;

impl Drawing {
    /// Gives a complete `<svg>` element.
    #[must_use]
    pub fn to_svg(&self) -> String {
        let [x, y, w, h] = self.view;
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{} {} {} {}\" role=\"{}\" \
             aria-label=\"{}\">",
            num(x),
            num(y),
            num(w),
            num(h),
            // A picture hides its parts from those who don't see it; a group lets them through.
            if self.has_targets() { "group" } else { "img" },
            escape(&self.name)
        );
        let mut clips = 0;
        write_all(&mut out, &self.shapes, &mut clips);
        out.push_str("</svg>\n");
        out
    }
}

fn write_all(out: &mut String, shapes: &[Shape], clips: &mut u32) {
    for shape in shapes {
        match shape {
            Shape::Fill { path, tone } => {
                put(
                    out,
                    format_args!(
                        "<path class=\"{}\" fill=\"{}\" d=\"{}\"/>",
                        class(*tone),
                        colour(*tone),
                        path_data(path)
                    ),
                );
            }
            Shape::Stroke { path, width, dash, tone } => {
                let dash = dash.map_or(String::new(), |[on, off]| {
                    format!(" stroke-dasharray=\"{} {}\"", num(on), num(off))
                });
                put(
                    out,
                    format_args!(
                        "<path class=\"{} line\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{dash} d=\"{}\"/>",
                        class(*tone),
                        colour(*tone),
                        num(*width),
                        path_data(path)
                    ),
                );
            }
            Shape::Clip { path, inner } => {
                *clips += 1;
                let id = *clips;
                put(
                    out,
                    format_args!(
                        "<clipPath id=\"c{id}\"><path d=\"{}\"/></clipPath><g clip-path=\"url(#c{id})\">",
                        path_data(path)
                    ),
                );
                write_all(out, inner, clips);
                out.push_str("</g>");
            }
            Shape::Target { id, label, inner } => {
                put(
                    out,
                    format_args!(
                        "<g class=\"target\" data-id=\"{}\" role=\"button\" tabindex=\"0\" aria-label=\"{}\">",
                        escape(id),
                        escape(label)
                    ),
                );
                write_all(out, inner, clips);
                out.push_str("</g>");
            }
            Shape::Label { x, y, size, face, anchor, tone, text } => {
                let anchor = match anchor {
                    Anchor::Start => "start",
                    Anchor::Middle => "middle",
                    Anchor::End => "end",
                };
                put(
                    out,
                    format_args!(
                        "<text class=\"{}\" fill=\"{}\" x=\"{}\" y=\"{}\" font-size=\"{}\" \
                     font-weight=\"{}\" text-anchor=\"{anchor}\">{}</text>",
                        class(*tone),
                        colour(*tone),
                        num(*x),
                        num(*y),
                        num(*size),
                        weight(*face),
                        escape(text)
                    ),
                );
            }
        }
    }
}

fn put(out: &mut String, what: std::fmt::Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = out.write_fmt(what);
}

fn path_data(path: &[Seg]) -> String {
    let mut out = String::new();
    for seg in path {
        match *seg {
            Seg::Move(x, y) => put(&mut out, format_args!("M{} {}", num(x), num(y))),
            Seg::Line(x, y) => put(&mut out, format_args!("L{} {}", num(x), num(y))),
            Seg::Curve([a, b, c, d, e, f]) => put(
                &mut out,
                format_args!("C{} {} {} {} {} {}", num(a), num(b), num(c), num(d), num(e), num(f)),
            ),
            Seg::Close => out.push('Z'),
        }
    }
    out
}

fn weight(face: Face) -> u32 {
    match face {
        Face::Strong | Face::Title | Face::MonoStrong | Face::FallbackStrong => 700,
        Face::Text | Face::Slant | Face::Mono | Face::Fallback | Face::Signs => 400,
    }
}

fn class(tone: Tone) -> &'static str {
    match tone {
        Tone::Ink => "ink",
        Tone::Second => "ink2",
        Tone::Faint => "faint",
        Tone::Ground => "bg",
        Tone::Stop => "stop",
        Tone::Caution => "caution",
        Tone::Step(0) => "step0",
        Tone::Step(1) => "step1",
        Tone::Step(2) => "step2",
        Tone::Step(3) => "step3",
        Tone::Step(4) => "step4",
        Tone::Step(5) => "step5",
        Tone::Step(_) => "step6",
    }
}

fn colour(tone: Tone) -> &'static str {
    match tone {
        Tone::Ink | Tone::Stop => "#000000",
        Tone::Second | Tone::Caution => "#3b3a36",
        Tone::Faint => "#dad7cc",
        Tone::Ground => "#ffffff",
        Tone::Step(0) => "#f7f7f7",
        Tone::Step(1) => "#d6d6d6",
        Tone::Step(2) => "#b2b2b2",
        Tone::Step(3) => "#8c8c8c",
        Tone::Step(4) => "#636363",
        Tone::Step(5) => "#3b3b3b",
        Tone::Step(_) => "#141414",
    }
}

/// A number with at most three decimals and no trailing zeros.
pub(crate) fn num(value: f32) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text.is_empty() || text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Text with the signs that XML reserves written as entities.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Control characters may not stand in XML at all.
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
