//! What the verb does with devices: tells of them, listens, and sounds.

mod chords;
mod interrupt;
mod keyboards;
mod listen;
mod loudness;
mod output;
mod patience;
#[cfg(test)]
mod tests;

use std::time::Instant;

use super::super::settings::Opened;
use super::super::{End, Fault, complain};
use super::{Page, piano};
use crate::time::Time;

pub(super) use self::listen::listen;
pub(in crate::cli) use self::loudness::once;
pub(super) use self::loudness::sound;

/// What a sitting needs and does not have, in words that follow "there is"; `None` where it has.
type Lack = Option<&'static str>;

/// Tells of everything.
pub(super) fn tell(room: &Opened) -> Result<End, Fault> {
    let mut page = Page::default();
    let loaded = room.piano()?;
    let (keys, way) = keyboards::tell(&mut page, &room.settings.keyboard);
    page.say();

    let (no_sound, latency) = output::tell(&mut page, &room.settings.sound, &loaded.piano);
    page.say();

    piano(&mut page, &loaded);
    monitoring(&mut page, room.settings.sound.monitoring, latency);
    let lacks: Vec<&str> = [keys, no_sound].into_iter().flatten().collect();

    if lacks.is_empty() {
        page.head(&format!("A sitting can be held, {way}."));
        page.say();
        Ok(End::Fine)
    } else {
        page.say();
        complain(&format!(
            "\nA sitting cannot be held yet: there is {}. What to do stands above.",
            lacks.join(" and ")
        ));
        Ok(End::Faults)
    }
}

/// Says whether the program sounds what is played, and how late.
fn monitoring(page: &mut Page, is_on: bool, latency: Option<Time>) {
    page.head("Monitoring");
    page.line(if is_on {
        "On: the program sounds what is played. Turn the keyboard's own sound off."
    } else {
        "Off: the keyboard sounds by itself, the program plays only what is asked by ear. For a \
         keyboard without a sound of its own write `monitoring = true` under [sound] in the \
         settings file."
    });
    if let Some(latency) = latency {
        page.more(&format!(
            "As the output states it, a key is heard up to {latency} ms after the program knows of \
             it. From 20 ms on players feel it; a smaller `buffer` under [sound] makes it less, a \
             larger one helps where the sound breaks up."
        ));
    }
}

/// The verb's clock.
#[derive(Debug, Clone, Copy)]
struct Clock(Instant);

impl Clock {
    fn start() -> Self {
        Self(Instant::now())
    }

    fn now(self) -> Time {
        let tenths = self.0.elapsed().as_micros() / 100;
        Time::from_tenths(i64::try_from(tenths).unwrap_or(i64::MAX))
    }
}
