//! A form on paper: the same exam at an acoustic piano, run and marked by a person.
//!
//! Without its key a form says what is asked and has room for answers and marks; with its key it
//! has the answers too, engraved.

mod boxes;
mod cover;
mod dictation;
mod ear;
mod group;
mod head;
mod panel;
mod run;
mod sounded;
mod spell;
mod systems;
#[cfg(test)]
mod tests;
mod voicing;

use std::rc::Rc;

use super::page::{Document, Size};
use super::plan::{Block, Flow};
use super::writer::Writer;
use crate::exam::form::{Form, Item};
use crate::exam::script::{Exam, Kind};
use group::{Group, Opening};

/// What is to be printed.
#[derive(Debug, Clone, Copy)]
pub struct Paper<'a> {
    /// The exam.
    pub exam: &'a Exam,
    /// The form drawn from it.
    pub form: &'a Form,
    /// The digest of its script, in hexadecimal.
    pub digest: &'a str,
    /// Whether the answers are printed too.
    pub key: bool,
}

impl Paper<'_> {
    /// Returns what the document is.
    fn what(&self) -> &'static str {
        if self.key {
            "Question paper with its key, for the examiner"
        } else {
            "Question paper"
        }
    }
}

/// Lays a form out.
pub fn form(paper: &Paper<'_>, size: Size) -> Document {
    let title = format!("{}: {}", paper.exam.title, paper.what());
    let subject = format!("Form {}", paper.form.code);
    let new = || Writer::new(size, &title, &subject);
    let flow = Flow::of(blocks(paper), new());

    let mut writer = new();
    head::open(&mut writer, paper);
    flow.write(&mut writer);

    writer.finish(|on, number, of| head::running(on, paper, (number, of)))
}

/// Everything that follows the head, in order.
fn blocks<'a>(paper: &'a Paper<'a>) -> Vec<Block<'a>> {
    let Paper { exam, form, .. } = *paper;
    let mut all = Vec::new();

    cover::blocks(paper, &mut all);
    groups(paper, &form.warm_ups, Opening::Unmarked, &mut all);
    for place in 0..exam.sections.len() {
        let items = of(&form.items, place);
        group(paper, place, items, Opening::Section, &mut all);
    }
    groups(paper, &form.reserve, Opening::Spare, &mut all);
    cover::signature(paper, &mut all);

    all
}

fn of(items: &[Item], section: usize) -> Vec<&Item> {
    items
        .iter()
        .filter(|item| item.section == section)
        .collect()
}

/// The sections that have some of these items.
fn groups<'a>(paper: &'a Paper<'a>, items: &'a [Item], opening: Opening, all: &mut Vec<Block<'a>>) {
    for place in 0..paper.exam.sections.len() {
        let own = of(items, place);
        if !own.is_empty() {
            group(paper, place, own, opening, all);
        }
    }
}

fn group<'a>(
    paper: &'a Paper<'a>,
    place: usize,
    items: Vec<&'a Item>,
    opening: Opening,
    all: &mut Vec<Block<'a>>,
) {
    let section = &paper.exam.sections[place];
    let group = Rc::new(Group {
        paper,
        section,
        items,
        opening,
    });

    match &section.kind {
        Kind::Voicing(_) => voicing::blocks(&group, all),
        Kind::Run(of) => run::blocks(&group, of.weights, all),
        Kind::Ear(_) if paper.key => sounded::blocks(&group, all),
        Kind::Ear(of) if of.is_played() => dictation::played(&group, all),
        Kind::Ear(of) if of.is_dictation() => dictation::blocks(&group, all),
        Kind::Ear(_) => ear::blocks(&group, all),
        Kind::Spell(_) => spell::blocks(&group, all),
        Kind::Panel(_) => panel::blocks(&group, all),
        Kind::Rest { length } => panel::rest(section, *length, all),
    }
}
