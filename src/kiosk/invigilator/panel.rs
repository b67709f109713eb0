//! The panel's marks, after a sitting.

use super::{Page, Said};
use crate::fraction::Fraction;
use crate::kiosk::model::{Kiosk, Screen};
use crate::results::document::{Given, Remark};
use crate::sitting::Event;

impl Kiosk {
    pub(super) fn enter_share(
        &mut self,
        place: usize,
        share: String,
        by: Option<String>,
    ) -> Option<Page> {
        let Ok(hundredths) = share.parse::<u8>() else {
            return Some(Page::Panel {
                place,
                share: String::new(),
                by: None,
            });
        };
        let Some(by) = by.filter(|by| !by.trim().is_empty()) else {
            let by = Some(String::new());
            return Some(Page::Panel { place, share, by });
        };
        let Some(item) = self.panel_items().get(place).copied() else {
            return Some(Page::Desk);
        };
        let Screen::End(ended) = &mut self.screen else {
            return Some(Page::Desk);
        };

        let event = Event::Panel {
            item,
            credit: Fraction::new(i64::from(hundredths.min(100)), 100),
            by: by.trim().to_owned(),
        };
        let at = ended.sitting.now();
        if let Err(why) = ended.journal.keep(at, &event) {
            return Some(Page::Told(Said::Trouble(why)));
        }
        drop(ended.sitting.update(event, at));
        if self.panel_items().len() > place + 1 {
            return Some(Page::Panel {
                place: place + 1,
                share: String::new(),
                by: None,
            });
        }
        self.store_anew()
    }

    /// The panel has marked: a new result beside the one that is there.
    pub(super) fn store_anew(&mut self) -> Option<Page> {
        let Screen::End(ended) = &mut self.screen else {
            return Some(Page::Desk);
        };

        ended.given.journal = ended.journal.head();
        // The new result goes on from the one that is there.
        let remark = ended.kept.as_ref().ok().map(|stored| Remark {
            of: stored.name.clone(),
            because: "marked by the panel".to_owned(),
            ..Remark::default()
        });
        let given = Given {
            remark,
            ..ended.given.clone()
        };
        let stored = self.desk.store(&ended.sitting, &given);
        let said = match &stored {
            Ok(stored) => Said::Stored(stored.name.clone()),
            Err(why) => Said::Trouble(why.clone()),
        };
        if stored.is_ok() {
            ended.kept = stored;
        }
        Some(Page::Told(said))
    }

    /// The numbers of the items that a panel marks, of an ended sitting.
    pub(crate) fn panel_items(&self) -> Vec<u32> {
        match &self.screen {
            Screen::End(ended) => ended
                .sitting
                .form()
                .items
                .iter()
                .filter(|item| matches!(item.task, crate::exam::form::Task::Panel(_)))
                .map(|item| item.number)
                .collect(),
            _ => Vec::new(),
        }
    }
}
