//! Tests of the report crate against tools from outside the project.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper of the tests that fails is a test that fails"
)]

mod figures;
mod fixture;
mod fixture_mirror;
mod fixture_sheets;
mod pages;
mod people;
mod plots;
mod signing;
mod tool;
mod verifying;
