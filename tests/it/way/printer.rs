//! A desk that keeps nothing but what is sent to its printer.

use std::cell::RefCell;
use std::rc::Rc;

use viva_voicing::kiosk::desk::{Desk, NoDesk, Pin, Stored};
use viva_voicing::kiosk::print::Became;
use viva_voicing::kiosk::shelf::Shelved;
use viva_voicing::practise::Paper;
use viva_voicing::results::document::Given;
use viva_voicing::room::Journal;
use viva_voicing::sitting::{Sitting, wire};

/// It prints when a test says so.
#[derive(Clone, Default)]
pub(crate) struct Printer {
    sent: Rc<RefCell<Vec<String>>>,
    told: Rc<RefCell<Vec<(String, Became)>>>,
    papers: Rc<RefCell<Vec<String>>>,
}

impl Printer {
    /// The names of the results whose sheets were sent, one after the other.
    pub(crate) fn sent(&self) -> Vec<String> {
        self.sent.borrow().clone()
    }

    /// The scripts of the practice papers that were kept.
    pub(crate) fn papers(&self) -> Vec<String> {
        self.papers.borrow().clone()
    }

    /// Tells what became of the sheet that was sent last.
    pub(crate) fn tell(&self, became: Became) {
        let name = self.sent.borrow().last().cloned();
        let name = name.expect("something was sent");
        self.told.borrow_mut().push((name, became));
    }
}

impl Desk for Printer {
    fn ready(&mut self) -> Result<(), String> {
        NoDesk.ready()
    }

    fn begin(&mut self, header: &wire::Header) -> Result<Box<dyn Journal>, String> {
        NoDesk.begin(header)
    }

    fn store(&mut self, sitting: &Sitting, given: &Given) -> Result<Stored, String> {
        NoDesk.store(sitting, given)
    }

    fn store_reviewed(
        &mut self,
        name: &str,
        set: (u32, u8),
        said: (&str, &str, &str),
    ) -> Result<Stored, String> {
        NoDesk.store_reviewed(name, set, said)
    }

    fn print(&mut self, name: &str) -> Result<(), String> {
        self.sent.borrow_mut().push(name.to_owned());
        Ok(())
    }

    fn printed(&mut self) -> Option<(String, Became)> {
        self.told.borrow_mut().pop()
    }

    fn shelve(&mut self, paper: &Paper, candidate: &str) -> Result<Shelved, String> {
        self.papers.borrow_mut().push(paper.script.clone());
        NoDesk.shelve(paper, candidate)
    }

    fn date(&self) -> String {
        NoDesk.date()
    }

    fn pin(&self) -> Pin {
        NoDesk.pin()
    }

    fn is_pin(&self, typed: &str) -> bool {
        NoDesk.is_pin(typed)
    }

    fn set_pin(&mut self, typed: &str) -> bool {
        NoDesk.set_pin(typed)
    }

    fn log(&mut self, text: &str) {
        NoDesk.log(text);
    }
}
