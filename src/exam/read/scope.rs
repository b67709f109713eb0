//! What sections refer to: key groups, forms and progressions by name, and what fits the hands.

use std::cell::{Cell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

use super::cover::Cover;
use super::{Place, meant};
use crate::exam::check::pool::Seats;
use crate::exam::diagnostic::Diagnostics;
use crate::exam::item;
use crate::exam::script::{Group, Line, Rules};
use crate::exam::table::{Spanned, Table, clip};
use crate::theory::progression::{Placed, Progression};
use crate::theory::symbol::Style;
use crate::theory::voicing::form::{self, Form};
use crate::theory::{Chord, Name, Voicing, leading};

/// Something that a script names itself.
pub(super) struct Named<T> {
    pub(super) name: String,
    pub(super) place: Place,
    /// Nothing where it was read with faults: whoever refers to it is not to be told again.
    pub(super) value: Option<T>,
    used: Cell<bool>,
}

impl<T> Named<T> {
    pub(super) fn new(name: &Spanned<&str>, value: Option<T>) -> Self {
        Self {
            name: name.value.to_owned(),
            place: name.span.clone(),
            value,
            used: Cell::new(false),
        }
    }
}

/// The things of one sort that a script names.
pub(super) struct Names<T>(pub(super) Vec<Named<T>>);

impl<T: Clone> Names<T> {
    pub(super) fn has(&self, name: &str) -> bool {
        self.0.iter().any(|named| named.name == name)
    }

    /// Returns all that were read without fault.
    pub(super) fn sound(&self) -> Vec<T> {
        self.0
            .iter()
            .filter_map(|named| named.value.clone())
            .collect()
    }

    /// Finds one by its name, and notes that it is used.
    fn find(&self, name: &str) -> Option<(usize, &Named<T>)> {
        let found = self
            .0
            .iter()
            .enumerate()
            .find(|(_, named)| named.name == name);
        if let Some((_, named)) = found {
            named.used.set(true);
        }

        found
    }

    /// Warns of those that are sound and never used.
    fn tell_unused(&self, what: &str, help: &str, out: &Diagnostics) {
        let unused = |named: &&Named<T>| named.value.is_some() && !named.used.get();

        for named in self.0.iter().filter(unused) {
            out.warning(
                named.place.clone(),
                format!("{what} `{}` is never used", clip(&named.name)),
                Some(help.to_owned()),
            );
        }
    }

    fn names(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(|named| named.name.as_str())
    }
}

/// What a script brings itself.
pub(super) struct Own {
    pub(super) groups: Names<Group>,
    /// Whether the groups are written in the script or the usual ones.
    pub(super) groups_written: bool,
    pub(super) forms: Names<Form>,
    pub(super) progressions: Names<Progression>,
}

/// A form as a section asks for it, with a number that tells it from others.
#[derive(Clone)]
pub(super) struct Asked {
    pub(super) id: usize,
    pub(super) form: Form,
}

/// The form of a section, which its cells take where they name none.
pub(super) enum Usual {
    /// Named and known.
    Form(Asked),
    /// Named, and told to be unknown.
    Unknown,
    /// Not named.
    Unnamed,
}

impl Usual {
    pub(super) fn read(table: &Table<'_>, scope: &Scope<'_>) -> Self {
        if !table.has("form") {
            return Self::Unnamed;
        }

        table
            .text("form")
            .and_then(|name| scope.form(&name))
            .map_or(Self::Unknown, Self::Form)
    }

    /// Returns the cell's own form, or the section's.
    pub(super) fn of_cell(&self, cell: &Table<'_>, scope: &Scope<'_>) -> Option<Asked> {
        if cell.has("form") {
            return cell.text("form").and_then(|name| scope.form(&name));
        }

        match self {
            Self::Form(asked) => Some(asked.clone()),
            Self::Unknown => None,
            Self::Unnamed => {
                scope.out.fault(
                    cell.span(),
                    "no form of voicing is named",
                    Some("write `form = \"guide-tones\"` in the section or in the cell".to_owned()),
                );
                None
            }
        }
    }
}

/// The keys or roots that a cell draws from.
pub(super) struct Roots {
    /// The pitch classes, each once.
    pub(super) classes: Vec<u8>,
    /// As written, where they are listed one by one.
    pub(super) names: Option<Vec<Spanned<Name>>>,
    /// Where they are written; nothing for all twelve.
    pub(super) place: Option<Place>,
}

/// Pitch classes as a set of twelve bits.
pub(super) type Classes = u16;

/// Over which roots a voicing has a place in a line.
#[derive(Clone, Copy, Default)]
pub(super) struct Fit {
    /// As the first chord.
    pub(super) first: Classes,
    /// Further on, where the register does not bind.
    pub(super) later: Classes,
}

/// A line as a form goes through it.
pub(super) enum Way {
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
pub(super) struct Met {
    id: usize,
    pub(super) placed: Rc<[Placed]>,
}

/// What sections may refer to.
pub(super) struct Scope<'a> {
    pub(super) own: Own,
    pub(super) rules: Rules,
    pub(super) style: Style,
    pub(super) seats: Seats,
    pub(super) out: &'a Diagnostics,
    // A script asks for the same voicings over and over: each is placed once.
    alone: RefCell<HashMap<Voicing, Classes>>,
    in_line: RefCell<HashMap<Voicing, Fit>>,
    named: RefCell<HashMap<String, Progression>>,
    lines: RefCell<Vec<(Line, Met)>>,
    /// By line, form and starting order.
    voiced: RefCell<HashMap<(usize, usize, usize), Rc<Way>>>,
}

impl<'a> Scope<'a> {
    pub(super) fn new(own: Own, cover: &Cover, out: &'a Diagnostics) -> Self {
        Self {
            own,
            rules: cover.rules.clone(),
            style: cover.style,
            seats: Seats::new(cover.rules.seats, cover.seats_written),
            out,
            alone: RefCell::default(),
            in_line: RefCell::default(),
            named: RefCell::default(),
            lines: RefCell::default(),
            voiced: RefCell::default(),
        }
    }

    /// Finds a form of voicing, the script's own first.
    pub(super) fn form(&self, name: &Spanned<&str>) -> Option<Asked> {
        if let Some((id, own)) = self.own.forms.find(name.value) {
            return own.value.clone().map(|form| Asked { id, form });
        }

        let found = form::all().iter().position(|form| form.name == name.value);
        match found {
            Some(at) => Some(Asked {
                id: self.own.forms.0.len() + at,
                form: form::all()[at].clone(),
            }),
            None => {
                let program = form::all().iter().map(|form| form.name.as_str());
                self.unknown(
                    format!("unknown form of voicing `{}`", clip(name.value)),
                    name,
                    self.own.forms.names().chain(program),
                );
                None
            }
        }
    }

    /// Finds one of the script's own progressions, without a word where there is none.
    pub(super) fn own_progression(&self, name: &str) -> Option<Progression> {
        self.own.progressions.find(name)?.1.value.clone()
    }

    /// Returns the names of all progressions that stand in a key.
    pub(super) fn progression_names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = self.own.progressions.names().collect();
        for name in crate::theory::progression::names() {
            names.push(name);
        }

        names
    }

    /// Finds a progression, the script's own first; with `cycle` the cycle of fourths is known too.
    pub(super) fn progression(&self, name: &Spanned<&str>, cycle: bool) -> Option<Progression> {
        if let Some((_, own)) = self.own.progressions.find(name.value) {
            return own.value.clone();
        }

        if let Some(known) = self.named.borrow().get(name.value) {
            return Some(known.clone());
        }
        let found = crate::theory::progression::named(name.value);
        if let Some(found) = &found {
            let _ = self
                .named
                .borrow_mut()
                .insert(name.value.to_owned(), found.clone());
        } else {
            let cycle = cycle.then_some("cycle-of-fourths");
            let known = self.progression_names().into_iter().chain(cycle);
            self.unknown(
                format!("unknown progression `{}`", clip(name.value)),
                name,
                known,
            );
        }

        found
    }

    /// Tells of a name that is not known, with the nearest one that is.
    pub(super) fn unknown<'n>(
        &self,
        message: String,
        name: &Spanned<&str>,
        known: impl Iterator<Item = &'n str>,
    ) {
        let known: Vec<&str> = known.collect();
        // What was probably meant is not to be told as never used as well.
        if let Some(near) = crate::exam::table::nearest(name.value, known.iter().copied()) {
            let _ = self.own.groups.find(near);
            let _ = self.own.forms.find(near);
            let _ = self.own.progressions.find(near);
        }
        let help = if known.is_empty() {
            "the script has none".to_owned()
        } else {
            meant(name.value, &known)
        };

        self.out.fault(name.span.clone(), message, Some(help));
    }

    /// Warns of what the script names and never asks for.
    pub(super) fn tell_unused(&self) {
        let leave_out = "ask for it in a section, or leave it out";

        if self.own.groups_written {
            self.own.groups.tell_unused(
                "key group",
                "it only divides the table of the mark sheet: a cell draws from it with `group`",
                self.out,
            );
        }
        let (forms, progressions) = (&self.own.forms, &self.own.progressions);
        forms.tell_unused("form of voicing", leave_out, self.out);
        progressions.tell_unused("progression", leave_out, self.out);
    }

    /// Reads the pitch classes that a cell draws from: `group`, `roots`, or all twelve.
    pub(super) fn roots(&self, table: &Table<'_>) -> Option<Roots> {
        let listed = table.has("roots");
        let named = table.texts("roots");
        let grouped = table.has("group");
        let group = table.text("group");

        if listed && grouped {
            if let Some(group) = &group {
                let _ = self.own.groups.find(group.value);
            }
            let place = group.map_or(table.span(), |group| group.span);
            self.out.fault(
                place,
                "a cell has `roots` or `group`, not both",
                Some("leave one of them out".to_owned()),
            );
            return None;
        }
        if listed {
            let named = named?;
            let names = self.names(&named)?;
            return Some(Roots {
                classes: names.iter().map(|name| name.value.class()).collect(),
                names: Some(names),
                place: Some(named.span),
            });
        }
        if grouped {
            let name = group?;
            let Some((_, found)) = self.own.groups.find(name.value) else {
                self.unknown(
                    format!("unknown key group `{}`", clip(name.value)),
                    &name,
                    self.own.groups.names(),
                );
                return None;
            };
            return found.value.as_ref().map(|group| Roots {
                classes: group.classes.clone(),
                names: None,
                place: Some(name.span),
            });
        }

        Some(Roots {
            classes: (0..12).collect(),
            names: None,
            place: None,
        })
    }

    /// Reads root names; each key may stand there once.
    fn names(&self, texts: &Spanned<Vec<Spanned<&str>>>) -> Option<Vec<Spanned<Name>>> {
        let mut names: Vec<Spanned<Name>> = Vec::with_capacity(texts.value.len());
        let mut whole = true;

        if texts.value.is_empty() {
            self.out.fault(
                texts.span.clone(),
                "`roots` is empty",
                Some("list some, or leave `roots` out: all twelve are meant then".to_owned()),
            );
            return None;
        }
        for text in &texts.value {
            let Some(name) = root_name(text, self.out) else {
                whole = false;
                continue;
            };
            let twice = names
                .iter()
                .find(|other| other.value.class() == name.class());
            match twice {
                Some(other) if other.value == name => {
                    self.out.fault(
                        text.span.clone(),
                        format!("root {name} is listed twice"),
                        Some("list each root once".to_owned()),
                    );
                    whole = false;
                }
                Some(other) => {
                    self.out.fault(
                        text.span.clone(),
                        format!(
                            "root {name} is the same key as {}, which is listed too",
                            other.value
                        ),
                        Some("leave one of them out".to_owned()),
                    );
                    whole = false;
                }
                None => names.push(Spanned::new(name, text.span.clone())),
            }
        }

        whole.then_some(names)
    }

    /// Tells over which roots a voicing has a place by itself.
    pub(super) fn alone(&self, voicing: &Voicing) -> Classes {
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
    pub(super) fn in_line(&self, voicing: &Voicing) -> Fit {
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
    pub(super) fn met(&self, line: &Line) -> Met {
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
    pub(super) fn voiced(&self, asked: &Asked, line: &Line, start: usize) -> Rc<Way> {
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

        let voicings = item::voiced(&asked.form, placed, start, self.rules.span);
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

/// Reads the name of a root: one accidental at most.
pub(super) fn root_name(text: &Spanned<&str>, out: &Diagnostics) -> Option<Name> {
    let name = Name::parse(text.value)
        .ok()
        .filter(|name| !name.is_double());
    if name.is_none() {
        out.fault(
            text.span.clone(),
            format!(
                "expected a root such as C, F# or Bb, found `{}`",
                clip(text.value)
            ),
            Some("a root has one accidental at most".to_owned()),
        );
    }

    name
}
