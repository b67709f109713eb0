//! The command line: one file a verb.

pub mod disk;

use std::process::ExitCode;

/// Runs the program on the process's arguments.
pub fn run() -> ExitCode {
    ExitCode::SUCCESS
}
