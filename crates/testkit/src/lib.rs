//! Shared fixtures for tests: a site with deterministic keys, and a writer that seals entries on
//! its chain.
//!
//! **Never part of the product.** The keys here are known to everybody.

mod site;

pub use site::{ChainWriter, key, subject};
