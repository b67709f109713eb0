//! Arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    viva_voicing::cli::run()
}
