//! Practising what has just been sat: a paper drawn from the result, as the same candidate's next sitting.

use super::model::{Ended, Kiosk, Screen};
use crate::marking::item::Marked;
use crate::practise::{self, Sat, USUAL_MINUTES, Wishes};
use crate::sitting::End;
use crate::sitting::outcome::outcome;

impl Kiosk {
    /// Tells whether the candidate may practise what they have sat: the exam allows it, its result is
    /// kept, and something was played, heard or spelled.
    pub(super) fn can_practise(&self, ended: &Ended) -> bool {
        ended.kept.is_ok()
            && ended.sitting.exam().rules.practise
            && !matches!(ended.sitting.end(), Some(End::Void(_)))
            && outcome(&ended.sitting).items.iter().any(|item| {
                item.counts() && !matches!(item.marked, Marked::NotReached | Marked::Panel(_))
            })
    }

    /// Opens the practice paper of the last page, where the candidate may.
    pub(super) fn practise_own(&mut self) {
        let Screen::End(ended) = &self.screen else {
            return;
        };
        if !self.can_practise(ended) {
            return;
        }
        let sat = Sat {
            sitting: &ended.sitting,
            script: &ended.given.script,
            started: &ended.given.started,
        };
        let wishes = Wishes {
            minutes: USUAL_MINUTES,
            seed: 1,
        };
        let shelved = practise::paper(&[sat], wishes)
            .map_err(|error| error.to_string())
            .and_then(|paper| self.desk.shelve(&paper, &self.candidate));

        match shelved {
            Ok(shelved) => self.sit_next(shelved),
            Err(why) => self.trouble(why),
        }
    }
}
