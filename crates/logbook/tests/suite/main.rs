//! Tests of the logbook from outside: files, story, fold and rules.

mod files;
mod fold;
mod limits;
mod rules;
mod site;
mod story;
