//! What a signature looks like on the page: name, role, date, and by which certificate.

use lopdf::{Dictionary, Document, Object, ObjectId};

use super::SigningAct;
use crate::SignError;
use crate::draw::Mark;
use crate::pdf::{SCALE, Sheet, print_form};
use crate::pki::Cert;
use crate::setting::{Face, Setter, Style};

/// Draws the appearance into the field's rectangle and gives its object.
pub(super) fn draw(
    doc: &mut Document,
    field: &Dictionary,
    act: &SigningAct<'_>,
    chain: &[Cert],
) -> Result<ObjectId, SignError> {
    let (width, height) = size(field).ok_or_else(|| super::internal("the place has no size"))?;
    let mut setter = Setter::new()?;
    let date = chrono::DateTime::parse_from_rfc3339(act.at)
        .map_err(|_| SignError::BadDate { value: act.at.to_owned() })?;
    let zone = date.format("%:z").to_string().replace('-', "\u{2212}");
    let signed = format!("{}, signed {} (UTC{zone})", act.role, date.format("%a %-d %b %Y, %H:%M"));
    let (Some(own), Some(root)) = (chain.first(), chain.last()) else {
        return Err(super::internal("no certificate"));
    };
    let serial = hex::encode(own.parsed.tbs_certificate.serial_number.as_bytes());
    let certificate =
        format!("by certificate {} of {}", serial.get(..16).unwrap_or(&serial), root.name());
    let lines = [
        (act.name, Style::new(Face::Title, 15.0, 22.0)),
        (signed.as_str(), Style::new(Face::Text, 11.5, 17.0)),
        (certificate.as_str(), Style::new(Face::Text, 10.0, 14.0)),
    ];
    let mut marks = Vec::new();
    let mut y = 6.0;
    for (text, style) in lines {
        // What is too wide is set smaller rather than cut.
        let mut line = setter.line(text, style)?;
        let room = width / SCALE - 6.0;
        if line.width > room {
            let size = style.size * room / line.width;
            line = setter.line(text, Style::new(style.face, size, style.leading))?;
        }
        let at = y + style.leading / 2.0 + style.size * 0.345;
        marks.push(Mark::Type { x: 1.0, y: at, line, grey: 0.0, upright: false });
        y += style.leading;
    }
    Ok(print_form(doc, &Sheet { width, height, marks: &marks })?)
}

/// Width and height of the field in points.
fn size(field: &Dictionary) -> Option<(f32, f32)> {
    let rect = field.get(b"Rect").and_then(Object::as_array).ok()?;
    let mut numbers = rect.iter().filter_map(|n| n.as_float().ok());
    let (x1, y1, x2, y2) = (numbers.next()?, numbers.next()?, numbers.next()?, numbers.next()?);
    let (width, height) = ((x2 - x1).abs(), (y2 - y1).abs());
    (width > 20.0 && height > 20.0).then_some((width, height))
}
