//! The bundled fonts. `fonts/README.md` says how each was pinned and where its licence stands.

/// A bundled font.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Face {
    /// Archivo 400: text.
    Text,
    /// Archivo 700: subjects of rows.
    Strong,
    /// Archivo 760, 112 % wide: titles.
    Title,
    /// Archivo Italic 420: symbols.
    Slant,
    /// Atkinson Hyperlegible Mono 500: serials and hashes.
    Mono,
    /// Atkinson Hyperlegible Mono 700.
    MonoStrong,
    /// Noto Sans: signs and scripts that those lack.
    Fallback,
    /// Noto Sans Bold.
    FallbackStrong,
    /// DejaVu Sans: the last resort for signs.
    Signs,
}

/// A font file as bundled.
pub(crate) struct Program {
    pub(crate) face: Face,
    /// Family name inside the file; each face is a family of its own.
    pub(crate) family: &'static str,
    pub(crate) bytes: &'static [u8],
}

macro_rules! programs {
    ($($face:ident, $family:literal, $file:literal;)*) => {
        /// All bundled fonts.
        pub(crate) const PROGRAMS: &[Program] = &[$(Program {
            face: Face::$face,
            family: $family,
            bytes: include_bytes!(concat!("../../fonts/", $file)),
        }),*];

        /// The font file of a face.
        pub(crate) fn program(face: Face) -> &'static Program {
            match face { $(Face::$face => &PROGRAMS[Face::$face as usize]),* }
        }
    };
}

programs! {
    Text, "Archivo Text", "archivo-text.ttf";
    Strong, "Archivo Strong", "archivo-strong.ttf";
    Title, "Archivo Title", "archivo-title.ttf";
    Slant, "Archivo Slant", "archivo-slant.ttf";
    Mono, "Atkinson Hyperlegible Mono Text", "mono-text.ttf";
    MonoStrong, "Atkinson Hyperlegible Mono Strong", "mono-strong.ttf";
    Fallback, "Noto Sans Text", "noto-text.ttf";
    FallbackStrong, "Noto Sans Strong", "noto-strong.ttf";
    Signs, "DejaVu Sans Signs", "signs.ttf";
}

impl Face {
    /// The faces that are asked for a sign, in this order.
    pub(crate) fn order(self) -> [Self; 3] {
        match self {
            Self::Strong | Self::Title | Self::MonoStrong | Self::FallbackStrong => {
                [self, Self::FallbackStrong, Self::Signs]
            }
            Self::Text | Self::Slant | Self::Mono | Self::Fallback | Self::Signs => {
                [self, Self::Fallback, Self::Signs]
            }
        }
    }
}
