//! Tests that need the inside of the store: raw keyed connections, keys, generations.

mod append_only;
#[path = "../../tests/support/chain.rs"]
mod chain;
mod checking;
mod copies;
mod fixture;
mod migrations;
mod opening;
mod projections;
mod storing;
