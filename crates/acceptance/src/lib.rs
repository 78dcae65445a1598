//! acceptance
