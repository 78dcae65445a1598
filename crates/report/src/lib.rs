//! Reports: a finished view model becomes figures (SVG) and the bytes of a signed PDF/A-3b file,
//! and such a file is verified, in plain words, by anyone who holds it.
//!
//! **This crate may never compute a verdict, and never gives other bytes for the same input.** It
//! does no I/O and reads no clock, randomness or environment; keys stay with the caller, who lends
//! a [`Signer`]; time and ids arrive in the view model.

mod draw;
mod error;
pub mod figure;
mod layout;
pub mod model;
mod pages;
mod pdf;
mod pki;
mod render;
mod setting;
mod sign;
mod verify;

pub use error::{RenderError, SignError};
pub use model::Handover;
pub use pages::page_count;
pub use pdf::LAYOUT;
pub use render::render;
pub use sign::{Signer, SigningAct, sign};
pub use verify::{Level, Signed, Statement, Verification, VerifyOptions, verify};
