//! What sections refer to: key groups, forms and progressions by name, and what fits the hands.

mod fit;
mod names;

use std::cell::RefCell;
use std::collections::HashMap;

pub(super) use self::fit::{Fits, Way};
pub(super) use self::names::{Named, Names, Own};
use super::cover::Cover;
use super::{Place, meant};
use crate::exam::check::Seats;
use crate::exam::diagnostic::Diagnostics;
use crate::exam::script::Rules;
use crate::exam::table::{Spanned, Table, clip};
use crate::theory::Name;
use crate::theory::progression::Progression;
use crate::theory::symbol::Style;
use crate::theory::voicing::form::{self, Form};

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

/// What sections may refer to.
pub(super) struct Scope<'a> {
    pub(super) own: Own,
    pub(super) rules: Rules,
    /// Whether answers are shown and nothing is passed: it teaches, and measures nothing.
    pub(super) only_practice: bool,
    pub(super) style: Style,
    pub(super) seats: Seats,
    pub(super) out: &'a Diagnostics,
    pub(super) fits: Fits,
    /// The program's progressions that were asked for.
    named: RefCell<HashMap<String, Progression>>,
}

impl<'a> Scope<'a> {
    pub(super) fn new(own: Own, cover: &Cover, out: &'a Diagnostics) -> Self {
        Self {
            own,
            rules: cover.rules.clone(),
            only_practice: cover.rules.feedback && !cover.pass_written,
            style: cover.style,
            seats: Seats::new(cover.rules.seats, cover.seats_written),
            out,
            fits: Fits::new(cover.rules.span),
            named: RefCell::default(),
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
