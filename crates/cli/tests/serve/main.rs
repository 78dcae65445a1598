//! `dishwright serve` as a browser meets it, and as everyone else does who can reach this machine's
//! loopback address: the program itself, over a socket.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper of the tests that fails is a test that fails"
)]

mod asking;
mod refused;
mod served;
mod starting;
