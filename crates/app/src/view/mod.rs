//! What the screens show: one file a screen, built from documents. No screen computes a verdict,
//! and none says that anything is without danger.

pub(crate) mod alignment;
pub(crate) mod calculations;
pub(crate) mod common;
pub(crate) mod dish;
pub(crate) mod exchange;
pub(crate) mod files;
pub(crate) mod ledger;
pub(crate) mod locks;
pub(crate) mod people;
pub(crate) mod record;
pub(crate) mod report;
pub(crate) mod session;
pub(crate) mod sun;
pub(crate) mod verdict;
pub(crate) mod weigh;
pub(crate) mod yard;
pub(crate) mod zone;
mod asks;
pub(crate) mod eye;
mod hold;
mod lockouts;
mod may;
mod morning;
mod proofs;
mod told;
pub(crate) mod steps;
