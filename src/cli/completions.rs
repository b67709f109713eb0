//! `completions`: completions for a shell.

use clap::Args;
use clap_complete::Shell;

use super::{End, Fault, say};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The shell
    shell: Shell,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let mut out = Vec::new();
    clap_complete::generate(
        arguments.shell,
        &mut super::command(),
        "viva-voicing",
        &mut out,
    );
    say(&String::from_utf8_lossy(&out));

    Ok(End::Fine)
}
