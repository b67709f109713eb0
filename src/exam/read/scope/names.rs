//! Things that a script names itself, and whether it uses them.

use std::cell::Cell;

use crate::exam::diagnostic::Diagnostics;
use crate::exam::read::Place;
use crate::exam::script::Group;
use crate::exam::table::{Spanned, clip};
use crate::theory::progression::Progression;
use crate::theory::voicing::form::Form;

/// Something that a script names itself.
pub(in crate::exam::read) struct Named<T> {
    pub(in crate::exam::read) name: String,
    pub(in crate::exam::read) place: Place,
    /// Nothing where it was read with faults: whoever refers to it is not to be told again.
    pub(in crate::exam::read) value: Option<T>,
    used: Cell<bool>,
}

impl<T> Named<T> {
    pub(in crate::exam::read) fn new(name: &Spanned<&str>, value: Option<T>) -> Self {
        Self {
            name: name.value.to_owned(),
            place: name.span.clone(),
            value,
            used: Cell::new(false),
        }
    }
}

/// The things of one sort that a script names.
pub(in crate::exam::read) struct Names<T>(pub(in crate::exam::read) Vec<Named<T>>);

impl<T: Clone> Names<T> {
    pub(in crate::exam::read) fn has(&self, name: &str) -> bool {
        self.0.iter().any(|named| named.name == name)
    }

    /// Returns all that were read without fault.
    pub(in crate::exam::read) fn sound(&self) -> Vec<T> {
        self.0
            .iter()
            .filter_map(|named| named.value.clone())
            .collect()
    }

    /// Finds one by its name, and notes that it is used.
    pub(super) fn find(&self, name: &str) -> Option<(usize, &Named<T>)> {
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
    pub(super) fn tell_unused(&self, what: &str, help: &str, out: &Diagnostics) {
        let unused = |named: &&Named<T>| named.value.is_some() && !named.used.get();

        for named in self.0.iter().filter(unused) {
            out.warning(
                named.place.clone(),
                format!("{what} `{}` is never used", clip(&named.name)),
                Some(help.to_owned()),
            );
        }
    }

    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(|named| named.name.as_str())
    }
}

/// What a script brings itself.
pub(in crate::exam::read) struct Own {
    pub(in crate::exam::read) groups: Names<Group>,
    /// Whether the groups are written in the script or the usual ones.
    pub(in crate::exam::read) groups_written: bool,
    pub(in crate::exam::read) forms: Names<Form>,
    pub(in crate::exam::read) progressions: Names<Progression>,
}
