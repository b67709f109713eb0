//! The real speaker on a real sound server without hardware, heard through its monitor.
//!
//! Each test runs itself again in a process of its own, in whose environment the private server
//! is the only one. Where the server's programs are missing, a test says by name that it was not
//! run; with `CI=true` it fails.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "helpers of tests are tests; the figures they measure are printed"
)]

pub(crate) mod capture;
mod dropout;
mod exact;
mod level;
mod loss;
mod monitor;
pub(crate) mod server;
mod sitting;
pub(crate) mod stage;
