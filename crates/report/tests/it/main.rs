//! Tests of the report crate against tools from outside the project.

mod fixture;
mod pages;
mod people;
mod signing;
mod tool;
