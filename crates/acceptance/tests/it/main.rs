//! One integration binary for the crate.

mod scratch;
