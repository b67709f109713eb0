//! What fits the hands: each voicing placed once, and each line voiced once.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use super::Asked;
use crate::exam::item;
use crate::exam::script::Line;
use crate::theory::progression::Placed;
use crate::theory::voicing::form;
use crate::theory::{Chord, Voicing, leading};

/// Pitch classes as a set of twelve bits.
pub(in crate::exam::read) type Classes = u16;

/// Over which roots a voicing has a place in a line.
#[derive(Clone, Copy, Default)]
pub(in crate::exam::read) struct Fit {
    /// As the first chord.
    pub(in crate::exam::read) first: Classes,
    /// Further on, where the register does not bind.
    pub(in crate::exam::read) later: Classes,
}

/// A line as a form goes through it.
pub(in crate::exam::read) enum Way {
    /// Each chord in C with its voicing, and where it fits the hands.
    Through {
        chords: Vec<(Chord, Voicing, Classes)>,
        /// The keys in which all chords fit.
        keys: Classes,
    },
    /// The form has no shape for this chord.
    Hindered(Chord, form::Error),
}

/// A line in C, by its place among the lines met.
#[derive(Clone)]
pub(in crate::exam::read) struct Met {
    id: usize,
    pub(in crate::exam::read) placed: Rc<[Placed]>,
}

/// What has been placed so far: a script asks for the same voicings over and over.
pub(in crate::exam::read) struct Fits {
    /// The widest hand, in semitones.
    span: u8,
    alone: RefCell<HashMap<Voicing, Classes>>,
    in_line: RefCell<HashMap<Voicing, Fit>>,
    lines: RefCell<Vec<(Line, Met)>>,
    /// By line, form and starting order.
    voiced: RefCell<HashMap<(usize, usize, usize), Rc<Way>>>,
}

impl Fits {
    pub(super) fn new(span: u8) -> Self {
        Self {
            span,
            alone: RefCell::default(),
            in_line: RefCell::default(),
            lines: RefCell::default(),
            voiced: RefCell::default(),
        }
    }

    /// Tells over which roots a voicing has a place by itself.
    pub(in crate::exam::read) fn alone(&self, voicing: &Voicing) -> Classes {
        if let Some(classes) = self.alone.borrow().get(voicing) {
            return *classes;
        }

        let classes = (0..12)
            .filter(|root| voicing.has_place(*root))
            .fold(0, |set, root| set | 1 << root);
        let _ = self.alone.borrow_mut().insert(voicing.clone(), classes);

        classes
    }

    /// Tells over which roots a voicing has a place in a line.
    pub(in crate::exam::read) fn in_line(&self, voicing: &Voicing) -> Fit {
        if let Some(fit) = self.in_line.borrow().get(voicing) {
            return *fit;
        }

        let mut fit = Fit::default();
        for root in 0..12 {
            // Wherever a line can start it can go through.
            if leading::has_place(voicing, root, true) {
                fit.first |= 1 << root;
                fit.later |= 1 << root;
            } else if leading::has_place(voicing, root, false) {
                fit.later |= 1 << root;
            }
        }
        let _ = self.in_line.borrow_mut().insert(voicing.clone(), fit);

        fit
    }

    /// Lays out a line in C.
    pub(in crate::exam::read) fn met(&self, line: &Line) -> Met {
        let mut lines = self.lines.borrow_mut();
        if let Some((_, met)) = lines.iter().find(|(known, _)| known == line) {
            return met.clone();
        }

        let met = Met {
            id: lines.len(),
            placed: item::line(line, 0).into(),
        };
        lines.push((line.clone(), met.clone()));

        met
    }

    /// Voices a line in C, from one order of a form on; in other keys it goes the same way.
    pub(in crate::exam::read) fn voiced(
        &self,
        asked: &Asked,
        line: &Line,
        start: usize,
    ) -> Rc<Way> {
        let met = self.met(line);
        let key = (met.id, asked.id, start);
        if let Some(known) = self.voiced.borrow().get(&key) {
            return Rc::clone(known);
        }

        let way = Rc::new(self.way(asked, &met.placed, start));
        let _ = self.voiced.borrow_mut().insert(key, Rc::clone(&way));

        way
    }

    fn way(&self, asked: &Asked, placed: &[Placed], start: usize) -> Way {
        for placed in placed {
            if let Err(error) = asked.form.voicing(placed.chord, start) {
                return Way::Hindered(placed.chord, error);
            }
        }

        let voicings = item::voiced(&asked.form, placed, start, self.span);
        let chords: Vec<(Chord, Voicing, Classes)> = placed
            .iter()
            .zip(voicings)
            .enumerate()
            .map(|(i, (placed, voicing))| {
                let fit = self.in_line(&voicing);
                let roots = if i == 0 { fit.first } else { fit.later };
                // Turned, so that the keys stand in place of the roots.
                let up = placed.chord.root.class();
                let keys = (roots >> up | roots << (12 - up)) & 0xfff;
                (placed.chord, voicing, keys)
            })
            .collect();
        let keys = chords.iter().fold(0xfff, |keys, (.., fits)| keys & fits);

        Way::Through { chords, keys }
    }
}
