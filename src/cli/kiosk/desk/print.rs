//! Mark sheets made and handed to the printer on threads of their own.
//!
//! The printing service may take its time, and the window waits for nothing. Whoever leaves the
//! program does not wait either: what was handed over is printed all the same.

use std::path::Path;
use std::sync::mpsc::{self, Receiver, Sender};
use std::thread;

use super::super::super::lp::{self, Service, State};
use super::super::super::{load, sheet};
use crate::kiosk::print::{Became, Lack, Stands};
use crate::printing::page::Size;
use crate::settings::{self, results::Paper};

/// A printer and its paper, and what became of what was sent to it.
pub(in super::super) struct Printing {
    size: Size,
    /// Its name; else the computer's usual one.
    printer: Option<String>,
    service: Service,
    sender: Sender<Told>,
    told: Receiver<Told>,
}

/// The name of a result, and what became of its sheet.
type Told = (String, Became);

impl Default for Printing {
    fn default() -> Self {
        Self::of(&settings::Results::default())
    }
}

impl Printing {
    /// As a room's settings have it.
    pub(in super::super) fn of(set: &settings::Results) -> Self {
        let (sender, told) = mpsc::channel();

        Self {
            size: match set.paper {
                Paper::A4 => Size::A4,
                Paper::Letter => Size::Letter,
            },
            printer: set.printer.clone(),
            service: Service::default(),
            sender,
            told,
        }
    }

    /// By another way to the printing service.
    #[cfg(test)]
    pub(super) fn through(self, service: Service) -> Self {
        Self { service, ..self }
    }

    /// Makes and prints a result's sheet, elsewhere than where the window waits.
    pub(super) fn begin(&self, name: &str) -> Result<(), String> {
        let name = name.to_owned();
        let (size, printer) = (self.size, self.printer.clone());
        let (service, sender) = (self.service.clone(), self.sender.clone());

        thread::Builder::new()
            .name("print".to_owned())
            .spawn(move || {
                let became = print(Path::new(&name), size, printer.as_deref(), &service);
                // Nobody asks any more where the program is being left.
                drop(sender.send((name, became)));
            })
            .map(drop)
            .map_err(|error| error.to_string())
    }

    /// Returns what has become of a sheet since it was asked last.
    pub(super) fn told(&self) -> Option<Told> {
        self.told.try_recv().ok()
    }
}

fn print(path: &Path, size: Size, printer: Option<&str>, service: &Service) -> Became {
    let file = match sheet::make::one(path, size) {
        Ok(file) => file,
        Err(fault) => return Became::None(load::placed(path, &fault.0)),
    };

    match service.print(&file, printer) {
        Ok(told) => handed(&told, &file),
        Err(error) => kept(&error, &file),
    }
}

fn handed(told: &lp::Told, file: &Path) -> Became {
    let Some(job) = &told.job else {
        return Became::Kept {
            file: file.display().to_string(),
            lack: Lack::Printing,
        };
    };

    Became::Handed {
        printer: lp::printer(job).to_owned(),
        job: job.clone(),
        stands: match &told.state {
            State::Gone => Stands::Done,
            State::Printing => Stands::Printing,
            State::Waiting => Stands::Waiting,
            State::Paused(why) => Stands::Paused(why.clone()),
            State::Unknown => Stands::Unknown,
        },
    }
}

fn kept(error: &lp::Error, file: &Path) -> Became {
    Became::Kept {
        file: file.display().to_string(),
        lack: match error {
            lp::Error::Unknown { name, .. } => Lack::Named(name.clone()),
            lp::Error::NoDefault { .. } => Lack::Usual,
            lp::Error::Silent(_) => Lack::Answer,
            lp::Error::Slow { .. } => Lack::Time,
            lp::Error::Other { said, .. } => Lack::Other(said.trim_end_matches('.').to_owned()),
            lp::Error::Missing(_) => Lack::Other(error.to_string()),
        },
    }
}
