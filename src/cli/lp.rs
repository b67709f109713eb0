//! Printing: a file handed to the system's own printing (CUPS), and what became of it.
//!
//! `lp` ends well for a printer that is paused or cannot be reached, so what the queue says is
//! asked for afterwards and told.

use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

mod queue;
mod run;
#[cfg(test)]
mod tests;

pub use queue::{State, printer};
use run::{Ran, run};

/// Why a file was not printed. The file is there all the same.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The file is not there.
    #[error("{path}: expected a file to print, found none of this name", path = .0.display())]
    Missing(PathBuf),
    /// No printer has this name.
    #[error(
        "expected a printer that this computer knows, found `{name}`; {}; the file is {path}",
        names(.known),
        path = .path.display()
    )]
    Unknown {
        /// The name.
        name: String,
        /// The printers that there are.
        known: Vec<String>,
        /// The file.
        path: PathBuf,
    },
    /// No printer was named, and none is the usual one.
    #[error(
        "no printer is set as the usual one; {}; the file is {path}",
        names(.known),
        path = .path.display()
    )]
    NoDefault {
        /// The printers that there are.
        known: Vec<String>,
        /// The file.
        path: PathBuf,
    },
    /// The printing service does not answer.
    #[error(
        "the printing service (CUPS) does not answer; start it, or print {path} from any program \
         that shows PDF files",
        path = .0.display()
    )]
    Silent(PathBuf),
    /// A program takes too long.
    #[error(
        "`{program}` did not end within {seconds} s and was stopped; the file is {path}: look at \
         the printer's queue before printing it again",
        path = .path.display()
    )]
    Slow {
        /// The program.
        program: &'static str,
        /// The limit.
        seconds: u64,
        /// The file.
        path: PathBuf,
    },
    /// Anything else that the system says.
    #[error("the printing service says: {said}; the file is {path}", path = .path.display())]
    Other {
        /// What it says.
        said: String,
        /// The file.
        path: PathBuf,
    },
}

fn names(printers: &[String]) -> String {
    match printers {
        [] => "it knows no printer".to_owned(),
        printers => format!("it knows {}", printers.join(", ")),
    }
}

/// What became of a file that was to be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The job, such as `Office-12`; `None` where nothing was handed over, there being no `lp`.
    pub job: Option<String>,
    /// How the job stands; [`State::Gone`] where there is none.
    pub state: State,
    /// What to tell, a sentence.
    pub words: String,
}

/// Hands a file to a printer, or to the usual one, and asks what became of it.
///
/// Without CUPS nothing is at fault: what is told says where the file is and how to print it.
///
/// # Errors
/// When there is no such printer, the service does not answer, or takes too long.
pub fn print(path: &Path, printer: Option<&str>) -> Result<Told, Error> {
    Service::default().print(path, printer)
}

/// The system's printing as it is reached.
#[derive(Debug, Clone)]
pub struct Service {
    /// The folder of `lp` and `lpstat`; otherwise they are sought as all programs are.
    pub programs: Option<PathBuf>,
    /// The server and its port, such as `127.0.0.1:6310`; otherwise the system's own.
    pub server: Option<String>,
    /// How long each of the programs may take.
    pub limit: Duration,
}

impl Default for Service {
    fn default() -> Self {
        Self {
            programs: None,
            server: None,
            limit: Duration::from_secs(20),
        }
    }
}

impl Service {
    /// As [`print`](print()).
    ///
    /// # Errors
    /// As [`print`](print()).
    pub fn print(&self, path: &Path, printer: Option<&str>) -> Result<Told, Error> {
        if !path.is_file() {
            return Err(Error::Missing(path.to_owned()));
        }
        let mut lp = self.command("lp");
        if let Some(printer) = printer {
            let _ = lp.args(["-d", printer]);
        }
        let title = path.file_stem().unwrap_or(OsStr::new("Viva Voicing"));
        let _ = lp.arg("-t").arg(title).arg("--").arg(path);
        let ran = match run(&mut lp, self.limit) {
            Ok(ran) => ran,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(without(path)),
            Err(error) => return Err(self.failed("lp", path, &error)),
        };
        if !ran.fine {
            return Err(self.refused(&ran, path, printer));
        }
        let Some(job) = queue::job(&ran.out) else {
            return Err(Error::Other {
                said: ran.said(),
                path: path.to_owned(),
            });
        };

        let state = self.state(&job);

        Ok(Told {
            words: became(&state, &job, path),
            job: Some(job),
            state,
        })
    }

    fn command(&self, name: &str) -> Command {
        let mut command = match &self.programs {
            Some(folder) => Command::new(folder.join(name)),
            None => Command::new(name),
        };
        // What the programs say is read, so it comes in the language that is expected.
        let _ = command.env("LC_ALL", "C").env("LANGUAGE", "C");
        if let Some(server) = &self.server {
            let _ = command.env("CUPS_SERVER", server);
        }

        command
    }

    /// What `lpstat` says; nothing where it can't be asked.
    fn ask(&self, arguments: &[&str]) -> String {
        run(self.command("lpstat").args(arguments), self.limit)
            .map(|ran| ran.out)
            .unwrap_or_default()
    }

    /// How a job stands now.
    fn state(&self, job: &str) -> State {
        let printer = queue::printer(job);
        let waiting = self.ask(&["-W", "not-completed", "-o", printer]);
        let state = self.ask(&["-p", printer]);

        queue::state(&waiting, &state, job)
    }

    /// Says why `lp` refused.
    fn refused(&self, ran: &Ran, path: &Path, printer: Option<&str>) -> Error {
        let said = ran.said();
        let lower = said.to_lowercase();
        let path = path.to_owned();
        let known = || self.ask(&["-e"]).lines().map(str::to_owned).collect();

        // Without the service `lp` finds no printer and says that alone.
        if self.ask(&["-r"]).contains("not running") {
            return Error::Silent(path);
        }
        match printer {
            Some(name) if lower.contains("does not exist") => Error::Unknown {
                name: name.to_owned(),
                known: known(),
                path,
            },
            None if lower.contains("default dest") => Error::NoDefault {
                known: known(),
                path,
            },
            _ => Error::Other { said, path },
        }
    }

    fn failed(&self, program: &'static str, path: &Path, error: &io::Error) -> Error {
        let path = path.to_owned();

        match error.kind() {
            io::ErrorKind::TimedOut => Error::Slow {
                program,
                seconds: self.limit.as_secs(),
                path,
            },
            _ => Error::Other {
                said: error.to_string(),
                path,
            },
        }
    }
}

fn became(state: &State, job: &str, path: &Path) -> String {
    let printer = queue::printer(job);
    let name = path.display();

    match state {
        State::Gone => format!("{name}: printed by {printer} (job {job})"),
        State::Printing => format!("{name}: {printer} is printing it (job {job})"),
        State::Waiting => format!("{name}: handed to {printer}, waiting its turn (job {job})"),
        State::Paused(why) => format!(
            "{name}: handed to {printer}, but that printer is paused{}; job {job} waits until \
             it goes on (`cupsenable {printer}`), or take it back with `cancel {job}`",
            because(why)
        ),
        State::Unknown => format!(
            "{name}: handed to {printer} (job {job}), which does not say how it stands; look \
             at the printer"
        ),
    }
}

fn because(why: &str) -> String {
    match why {
        "" => String::new(),
        why => format!(" ({why})"),
    }
}

fn without(path: &Path) -> Told {
    Told {
        job: None,
        state: State::Gone,
        words: format!(
            "{}: nothing was printed, as this computer has no `lp` (CUPS); open the file in any \
             program that shows PDF files and print it there",
            path.display()
        ),
    }
}
