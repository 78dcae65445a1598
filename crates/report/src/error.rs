//! What can go wrong while rendering and signing, each with a sentence that says what to do next.

use thiserror::Error;

/// Why a report could not be rendered.
#[derive(Debug, Error, Clone, PartialEq, Eq)]
pub enum RenderError {
    /// No bundled font has the sign.
    #[error(
        "no bundled font can draw U+{code:04X} in \"{text}\"; replace that sign in the entry's \
         text for the report, or add a font that has it"
    )]
    MissingGlyph {
        /// The text that holds it.
        text: String,
        /// Its code point.
        code: u32,
    },
    /// A number in a figure cannot be read.
    #[error(
        "\"{value}\" in the figure \"{figure}\" is not a decimal number; correct the view model"
    )]
    BadNumber {
        /// Title of the figure.
        figure: String,
        /// The text that was found.
        value: String,
    },
    /// The date of issue cannot be read.
    #[error("\"{value}\" is not a date and time with offset (RFC 3339); correct the view model")]
    BadDate {
        /// The text that was found.
        value: String,
    },
    /// The view model has another format number.
    #[error(
        "this version writes report format {expected}, the data say {found}; use the version that made them"
    )]
    OtherFormat {
        /// What this version writes.
        expected: u32,
        /// What the data say.
        found: u32,
    },
    /// Two signature places share a name, or a name has other characters than `[a-z0-9_]`.
    #[error(
        "the signature place \"{field}\" has an unusable name; use small letters, digits and _, each name once"
    )]
    BadSignaturePlace {
        /// The name.
        field: String,
    },
    /// Something that should not happen; the report is not written.
    #[error(
        "the report could not be made ({what}); keep the data and tell the people who maintain this program"
    )]
    Internal {
        /// What failed.
        what: String,
    },
}

/// Why a file could not be signed.
#[derive(Debug, Error)]
pub enum SignError {
    /// The file cannot be read as a PDF.
    #[error("the file cannot be read as a PDF ({reason}); fetch it again from where it was made")]
    Unreadable {
        /// What the reader said.
        reason: String,
    },
    /// There is no such field.
    #[error("the report has no signature place \"{field}\"; it has: {have}")]
    NoSuchField {
        /// The name asked for.
        field: String,
        /// The names that exist.
        have: String,
    },
    /// The field is signed already.
    #[error("the place \"{field}\" is signed already; sign another place or make a new report")]
    AlreadySigned {
        /// The name asked for.
        field: String,
    },
    /// The file was changed in a way that a signature must not cover.
    #[error("this file must not be signed: {reason} Make the report again and sign that one.")]
    Tampered {
        /// The first error that verification found.
        reason: String,
    },
    /// The certificate cannot be read or does not belong to the signer.
    #[error("the certificate cannot be used: {reason}")]
    Certificate {
        /// What is wrong with it.
        reason: String,
    },
    /// The signer refused or failed.
    #[error("the signature could not be made: {reason}")]
    Signer {
        /// What the signer said.
        reason: String,
    },
    /// A name or role cannot be drawn.
    #[error(transparent)]
    Appearance(#[from] RenderError),
    /// The signing time cannot be read.
    #[error("\"{value}\" is not a date and time with offset (RFC 3339)")]
    BadDate {
        /// The text that was found.
        value: String,
    },
    /// Something that should not happen; the file is unchanged.
    #[error("the file could not be signed ({what}); it is unchanged")]
    Internal {
        /// What failed.
        what: String,
    },
}
