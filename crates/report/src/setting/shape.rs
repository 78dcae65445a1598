//! Shaping and wrapping, by cosmic-text over the bundled fonts.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use cosmic_text::fontdb::{Database, ID, Source};
use cosmic_text::{
    Attrs, Buffer, Family, FeatureTag, FontFeatures, FontSystem, Metrics, Shaping, Wrap,
};

use super::Style;
use super::fonts::{Face, PROGRAMS, program};
use crate::RenderError;

/// A placed glyph.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SetGlyph {
    pub(crate) face: Face,
    pub(crate) gid: u16,
    /// From the line's start, and up from its baseline.
    pub(crate) x: f32,
    pub(crate) y: f32,
    /// The text it stands for; empty for the second glyph of a cluster.
    pub(crate) text: String,
}

/// A line of type at its size, its baseline not yet placed.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct SetLine {
    pub(crate) glyphs: Vec<SetGlyph>,
    pub(crate) width: f32,
    pub(crate) size: f32,
}

impl SetLine {
    /// The same line at another size: type scales without hints.
    pub(crate) fn at_size(mut self, size: f32) -> Self {
        if self.size > 0.0 {
            let by = size / self.size;
            for glyph in &mut self.glyphs {
                glyph.x *= by;
                glyph.y *= by;
            }
            self.width *= by;
            self.size = size;
        }
        self
    }
}

/// Turns text into lines of glyphs.
pub(crate) struct Setter {
    system: FontSystem,
    faces: BTreeMap<ID, Face>,
    coverage: BTreeMap<Face, BTreeSet<u32>>,
    features: FontFeatures,
    buffer: Buffer,
}

impl Setter {
    /// Reads the bundled fonts.
    pub(crate) fn new() -> Result<Self, RenderError> {
        let mut db = Database::new();
        let mut faces = BTreeMap::new();
        let mut coverage = BTreeMap::new();
        for file in PROGRAMS {
            let ids = db.load_font_source(Source::Binary(Arc::new(file.bytes)));
            let parsed = ttf_parser::Face::parse(file.bytes, 0).map_err(|e| {
                RenderError::Internal { what: format!("font {}: {e}", file.family) }
            })?;
            let mut have = BTreeSet::new();
            if let Some(cmap) = parsed.tables().cmap {
                for table in
                    cmap.subtables.into_iter().filter(ttf_parser::cmap::Subtable::is_unicode)
                {
                    table.codepoints(|code| {
                        if table.glyph_index(code).is_some_and(|gid| gid.0 != 0) {
                            have.insert(code);
                        }
                    });
                }
            }
            coverage.insert(file.face, have);
            faces.extend(ids.into_iter().map(|id| (id, file.face)));
        }
        let mut features = FontFeatures::new();
        features.enable(FeatureTag::new(b"tnum")).enable(FeatureTag::new(b"lnum"));
        features.disable(FeatureTag::new(b"liga")).disable(FeatureTag::new(b"clig"));
        let system = FontSystem::new_with_locale_and_db("en".to_owned(), db);
        let buffer = Buffer::new_empty(Metrics::new(12.0, 16.0));
        Ok(Self { system, faces, coverage, features, buffer })
    }

    /// Sets text in lines no wider than `width`; without a width, one line for each line of text.
    pub(crate) fn set(
        &mut self,
        text: &str,
        style: Style,
        width: Option<f32>,
    ) -> Result<Vec<SetLine>, RenderError> {
        if text.trim().is_empty() {
            return Ok(Vec::new());
        }
        let text = text.replace('\t', " ").replace("\r\n", "\n");
        let spans = self.spans(&text, style.face)?;
        let attrs = |face: Face| {
            Attrs::new()
                .family(Family::Name(program(face).family))
                .font_features(self.features.clone())
        };
        self.buffer.set_metrics(Metrics::new(style.size, style.leading));
        self.buffer.set_size(width, None);
        self.buffer.set_wrap(if width.is_some() { Wrap::WordOrGlyph } else { Wrap::None });
        let rich = spans.iter().map(|(piece, face)| (*piece, attrs(*face)));
        self.buffer.set_rich_text(rich, &attrs(style.face), Shaping::Advanced, None);
        self.buffer.shape_until_scroll(&mut self.system, false);
        let mut lines = Vec::new();
        for run in self.buffer.layout_runs() {
            let mut line = SetLine { size: style.size, ..SetLine::default() };
            let mut last = None;
            for glyph in run.glyphs {
                let cluster = run.text.get(glyph.start..glyph.end).unwrap_or_default();
                let face = self.faces.get(&glyph.font_id).copied();
                let (Some(face), true) = (face, glyph.glyph_id != 0) else {
                    return Err(missing(&text, cluster));
                };
                let fresh = last != Some(glyph.start);
                last = Some(glyph.start);
                line.glyphs.push(SetGlyph {
                    face,
                    gid: glyph.glyph_id,
                    x: glyph.x + glyph.x_offset * glyph.font_size,
                    y: glyph.y + glyph.y_offset * glyph.font_size,
                    text: if fresh { cluster.to_owned() } else { String::new() },
                });
                if !cluster.trim().is_empty() {
                    line.width = line.width.max(glyph.x + glyph.w);
                }
            }
            lines.push(line);
        }
        Ok(lines)
    }

    /// Sets one line, whatever its width.
    pub(crate) fn line(&mut self, text: &str, style: Style) -> Result<SetLine, RenderError> {
        Ok(self.set(&text.replace('\n', " "), style, None)?.into_iter().next().unwrap_or_default())
    }

    /// Parts of the text by the first face that has each sign.
    fn spans<'t>(&self, text: &'t str, first: Face) -> Result<Vec<(&'t str, Face)>, RenderError> {
        let mut spans: Vec<(usize, Face)> = Vec::new();
        for (at, sign) in text.char_indices() {
            let current = spans.last().map(|(_, face)| *face);
            let face = if sign == '\n' || (sign == ' ' && current.is_some()) {
                current.unwrap_or(first)
            } else {
                let has = |face: &Face| {
                    self.coverage.get(face).is_some_and(|c| c.contains(&u32::from(sign)))
                };
                first
                    .order()
                    .into_iter()
                    .find(has)
                    .ok_or_else(|| missing(text, text.get(at..).unwrap_or_default()))?
            };
            if current != Some(face) {
                spans.push((at, face));
            }
        }
        let ends = spans.iter().skip(1).map(|(at, _)| *at).chain([text.len()]);
        Ok(spans
            .iter()
            .zip(ends)
            .map(|((at, face), end)| (text.get(*at..end).unwrap_or_default(), *face))
            .collect())
    }
}

fn missing(text: &str, from: &str) -> RenderError {
    let code = from.chars().next().map_or(0, u32::from);
    RenderError::MissingGlyph { text: text.chars().take(80).collect(), code }
}
