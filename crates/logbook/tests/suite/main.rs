//! Tests of the logbook from outside: files, story, fold and rules.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that can't go on should stop loudly"
)]

mod files;
mod fold;
mod limits;
mod measured;
mod measured_fits;
mod measuring;
mod rules;
mod site;
mod story;
