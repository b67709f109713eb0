//! What sounds the keyboard: touches from the room's thread to a piano in the device's.
//!
//! They pass through a queue made beforehand: neither end waits, and nothing is allocated or freed.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, SyncSender};

use super::deck::{FADE, faded};
use crate::instruments::keyboard::Touch;
use crate::instruments::piano::{Live, Piano};

#[cfg(test)]
mod tests;

/// Touches that can wait for the device's next call: a call of 2,048 frames at 500 events a second
/// brings 21 of them, so that only a device that stands still has so many waiting.
const WAITING: usize = 256;

/// Makes both ends of a monitor, or none where the SoundFont is damaged.
pub(super) fn monitor(piano: &Piano) -> Option<(Keys, Monitor)> {
    let live = piano.live().ok()?;
    let (sender, taken) = mpsc::sync_channel(WAITING);
    let lost = Arc::<AtomicBool>::default();

    Some((
        Keys {
            sender,
            lost: Arc::clone(&lost),
        },
        Monitor {
            taken,
            lost,
            live,
            fade: None,
        },
    ))
}

enum Press {
    Touch(Touch),
    Hush,
}

/// The room's end.
pub(super) struct Keys {
    sender: SyncSender<Press>,
    lost: Arc<AtomicBool>,
}

impl Keys {
    pub(super) fn touch(&self, touch: Touch) {
        self.send(Press::Touch(touch));
    }

    pub(super) fn hush(&self) {
        self.send(Press::Hush);
    }

    /// What finds no room is lost, and then it is not known what is down any more.
    fn send(&self, press: Press) {
        if self.sender.try_send(press).is_err() {
            self.lost.store(true, Ordering::Release);
        }
    }
}

/// The device's end.
pub(super) struct Monitor {
    taken: Receiver<Press>,
    lost: Arc<AtomicBool>,
    live: Live,
    /// Frames left of the fade, once all is to fall silent.
    fade: Option<u32>,
}

impl Monitor {
    /// Takes what was touched since the last call; what comes after a hush waits for its fade.
    pub(super) fn take(&mut self) {
        if self.lost.swap(false, Ordering::Acquire) {
            while self.taken.try_recv().is_ok() {}
            self.hush();
        }
        while self.fade.is_none()
            && let Ok(press) = self.taken.try_recv()
        {
            match press {
                Press::Touch(touch) => self.live.touch(touch),
                Press::Hush => self.hush(),
            }
        }
    }

    fn hush(&mut self) {
        let _ = self.fade.get_or_insert(FADE);
    }

    /// Returns the next frame, or `None` when it is silent.
    pub(super) fn frame(&mut self) -> Option<[f32; 2]> {
        let frame = self.live.frame();

        if let Some(left) = &mut self.fade {
            if *left == 0 || frame.is_none() {
                self.live.reset();
                self.fade = None;
                return None;
            }
            let fading = frame.map(|frame| faded(frame, *left));
            *left -= 1;
            return fading;
        }
        frame
    }
}
