//! Mark sheets sent to the printer: once by the candidate, again by the invigilator, and what
//! became of each.
//!
//! Nothing waits for a printer. A sheet may be told of long after its page was left.

use std::collections::BTreeMap;

use super::model::{CLOSES, Ended, Kiosk, Screen};
use super::words::{ENGLISH, Words, fill};
use crate::sitting::End;

/// What became of a sheet that was to be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Became {
    /// A printer has it.
    Handed {
        /// The printer.
        printer: String,
        /// The job.
        job: String,
        /// How it stands.
        stands: Stands,
    },
    /// It lies in the results' folder and no printer has it.
    Kept {
        /// The file.
        file: String,
        /// What the printing lacks.
        lack: Lack,
    },
    /// There is no sheet, and why.
    None(String),
}

/// How a printer's job stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stands {
    /// It is printed.
    Done,
    /// It is being printed.
    Printing,
    /// Others come first.
    Waiting,
    /// The printer stands still, and what it says to that.
    Paused(String),
    /// The printer does not say.
    Unknown,
}

/// What keeps a sheet from its printer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lack {
    /// The computer prints nothing.
    Printing,
    /// No printer is the usual one.
    Usual,
    /// No printer has this name.
    Named(String),
    /// The printing service does not answer.
    Answer,
    /// It did not answer in time; it may print all the same.
    Time,
    /// Something else, as the system says it.
    Other(String),
}

impl Became {
    /// Says it in plain words.
    pub fn words(&self, words: &Words) -> String {
        match self {
            Self::Handed {
                printer,
                job,
                stands,
            } => match stands {
                Stands::Done => fill(words.prn_done, &[printer, job]),
                Stands::Printing => fill(words.prn_prints, &[printer, job]),
                Stands::Waiting => fill(words.prn_waits, &[printer, job]),
                Stands::Paused(why) if why.is_empty() => fill(words.prn_paused, &[job, printer]),
                Stands::Paused(why) => fill(words.prn_paused_why, &[job, printer, why]),
                Stands::Unknown => fill(words.prn_unknown, &[printer, job]),
            },
            Self::Kept { file, lack } => {
                let file = file.rsplit(['/', '\\']).next().unwrap_or(file);
                let why = match lack {
                    Lack::Printing => words.prn_no_printing.to_owned(),
                    Lack::Usual => words.prn_no_usual.to_owned(),
                    Lack::Named(name) => fill(words.prn_no_such, &[name]),
                    Lack::Answer => words.prn_silent.to_owned(),
                    Lack::Time => words.prn_slow.to_owned(),
                    Lack::Other(said) => fill(words.prn_says, &[said]),
                };
                format!("{why} {}", fill(words.prn_file, &[file]))
            }
            Self::None(why) => fill(words.prn_none, &[why]),
        }
    }
}

/// The sheets that were sent to the printer.
#[derive(Debug, Default)]
pub(super) struct Prints {
    /// By the name of the result; nothing is known yet of one that is on its way.
    sheets: BTreeMap<String, Option<Became>>,
    /// The one that was sent from the last page that is open.
    here: Option<String>,
}

impl Prints {
    /// Another candidate's last page has a sheet of its own.
    pub(super) fn turn(&mut self) {
        self.here = None;
    }
}

impl Kiosk {
    /// Tells whether the candidate may print their sheet now: an exam that shows its marks, once.
    pub(super) fn can_print(&self, ended: &Ended) -> bool {
        self.setup.print
            && ended.kept.is_ok()
            && ended.sitting.exam().rules.show_marks
            && !matches!(ended.sitting.end(), Some(End::Void(_)))
            && self.prints.here.is_none()
    }

    /// Prints the sheet of the last page, where the candidate may.
    pub(super) fn print_own(&mut self) {
        let Screen::End(ended) = &self.screen else {
            return;
        };
        let name = match &ended.kept {
            Ok(stored) if self.can_print(ended) => stored.name.clone(),
            _ => return,
        };

        self.print(&name);
        self.focus = None;
        // What becomes of it stands below everything else.
        self.leaf = usize::MAX;
    }

    /// Sends a result's sheet to the printer.
    pub(super) fn print(&mut self, name: &str) {
        if self.is_printing(name) {
            return;
        }
        let begun = self.desk.print(name).err();
        let _ = self
            .prints
            .sheets
            .insert(name.to_owned(), begun.map(Became::None));
        if matches!(self.screen, Screen::End(_)) {
            self.prints.here = Some(name.to_owned());
        }
        self.read_on();
    }

    /// Tells whether a sheet is on its way.
    pub(super) fn is_printing(&self, name: &str) -> bool {
        matches!(self.prints.sheets.get(name), Some(None))
    }

    /// Says of a result's sheet what is known; nothing where it was not sent to the printer.
    pub(super) fn said_of_print(&self, name: &str) -> Option<String> {
        let words = self.setup.words;

        self.prints.sheets.get(name).map(|became| match became {
            Some(became) => became.words(words),
            None => words.prn_going.to_owned(),
        })
    }

    /// The same of the sheet of the last page.
    pub(super) fn said_of_own_print(&self) -> Option<String> {
        self.said_of_print(self.prints.here.as_ref()?)
    }

    /// Takes in what became of sheets.
    pub(super) fn hear_of_prints(&mut self) {
        while let Some((name, became)) = self.desk.printed() {
            // Whoever looks at a result at their own desk has no log of a room.
            if !self.is_alone() {
                self.desk
                    .log(&format!("{name}: {}", became.words(&ENGLISH)));
            }
            let is_here = self.prints.here.as_ref() == Some(&name);
            let _ = self.prints.sheets.insert(name, Some(became));
            if is_here {
                self.read_on();
            }
            self.changes += 1;
        }
    }

    /// Something new stands on the last page: it stays for as long as one takes to read it.
    fn read_on(&mut self) {
        if let Screen::End(ended) = &mut self.screen {
            ended.closes = self.now + CLOSES;
        }
    }
}
