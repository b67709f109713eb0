//! A person's second look: a marked item's level set by somebody who says who and why.

use thiserror::Error;

use super::Sitting;
use super::outcome::outcome;
use crate::fraction::Fraction;

/// An item's level set by a person. The program's own marking stays in the result beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Overrule {
    /// The item's number.
    pub item: u32,
    /// The level that counts from now on, 0 to 4: the credit in quarters.
    pub level: u8,
    /// The credit that counted before; `None` where a person's mark was awaited.
    pub was: Option<Fraction>,
    /// Why.
    pub reason: String,
    /// Who says so.
    pub by: String,
    /// When, RFC 3339.
    pub at: String,
}

impl Overrule {
    /// Returns the credit that counts.
    pub fn credit(&self) -> Fraction {
        Fraction::new(i64::from(self.level), 4)
    }
}

/// Why an item cannot be overruled.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// The form has no such item, or the sitting had none.
    #[error("expected the number of an item of this sitting, found {0}")]
    NoItem(u32),
    /// A voided item has no mark.
    #[error("item {0} was voided and has no mark to overrule; its reserve item has one")]
    Voided(u32),
    /// No such level.
    #[error("expected a level from 0 to 4, found {0}")]
    Level(u8),
    /// Nobody says why.
    #[error("expected a reason in words, found none: a mark that is overruled must say why")]
    NoReason,
    /// Nobody says who.
    #[error("expected the name or the initials of who overrules, found none")]
    Nobody,
    /// Nothing would change.
    #[error("item {item} has level {level} already: nothing is overruled")]
    Same {
        /// The item.
        item: u32,
        /// Its level.
        level: u8,
    },
}

impl Sitting {
    /// Returns who set which item's level, in the order it was done; of several for one item the
    /// last counts.
    pub fn overrules(&self) -> &[Overrule] {
        &self.overrules
    }

    /// Returns the overruling that counts for an item.
    pub fn overruled(&self, item: u32) -> Option<&Overrule> {
        self.overrules.iter().rev().find(|of| of.item == item)
    }

    /// Sets an item's level. The marks change with it; what was played does not.
    ///
    /// # Errors
    /// When there is no such item or level, when it was voided, when nothing would change, and
    /// where nobody says who or why.
    pub fn overrule(
        &mut self,
        item: u32,
        level: u8,
        (reason, by, at): (&str, &str, &str),
    ) -> Result<(), Error> {
        let (reason, by) = (reason.trim(), by.trim());
        if level > 4 {
            return Err(Error::Level(level));
        }
        if reason.is_empty() {
            return Err(Error::NoReason);
        }
        if by.is_empty() {
            return Err(Error::Nobody);
        }

        let outcome = outcome(self);
        let mut of_item = outcome.items.iter().filter(|of| of.item.number == item);
        let Some(last) = of_item.clone().next_back() else {
            return Err(Error::NoItem(item));
        };
        let Some(of) = of_item.find(|of| of.counts()) else {
            return Err(Error::Voided(last.item.number));
        };
        let was = of.credit();
        let overrule = Overrule {
            item,
            level,
            was,
            reason: reason.to_owned(),
            by: by.to_owned(),
            at: at.to_owned(),
        };
        if was == Some(overrule.credit()) {
            return Err(Error::Same { item, level });
        }

        self.overrules.push(overrule);
        Ok(())
    }
}

#[cfg(test)]
mod tests;
