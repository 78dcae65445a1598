//! What crosses crates: the story, published tables, faults, outside verifiers.
