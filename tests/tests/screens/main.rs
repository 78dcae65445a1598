//! The screens end to end.
