//! `--sound`: the chord of the level check, from very quiet upwards, then left, right and both.
//!
//! The levels end where a sitting may begin at the loudest
//! ([`LOUDEST_START`]); louder ones are for each candidate to choose, with their own ears. How loud and how long is safe: WHO–ITU H.870, Guidelines for safe
//! listening devices and systems (80 dBA for 40 hours a week, 75 dBA for children).

use std::thread;
use std::time::Duration;

use super::super::super::settings::Opened;
use super::super::super::{End, Fault};
use super::super::page::Page;
use super::interrupt::Interrupt;
use super::{Clock, output};
use crate::instruments::piano::{Note, Piano};
use crate::instruments::playback::Playback;
use crate::instruments::speaker::{Clip, Fact, Level, Speaker};
use crate::settings::LOUDEST_START;
use crate::theory::Key;
use crate::time::Time;

/// C major seventh in two hands: root and fifth left, third and seventh right.
const CHORD: [i64; 4] = [48, 55, 64, 71];
/// How long it is held, and how long it sounds with its release.
const HELD: Time = Time::from_ms(1_200);
const LENGTH: Time = Time::from_ms(1_800);
/// What a clip may take beyond its length.
const SOON: Time = Time::from_ms(5_000);
/// How often the speaker is asked.
const GLANCE: Duration = Duration::from_millis(5);

const CAUTION: &str = "Mind your ears: turn loudspeakers and amplifier down first. It begins very \
    quiet and grows in steps of 4 dB. Take headphones off, or press Ctrl-C, as soon as it is \
    uncomfortable. The program cannot know how loud it is where you sit; as guidance for safe \
    listening, WHO and ITU (H.870) give 80 dBA for 40 hours a week, 75 dBA for children.";

/// How a clip came to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Played {
    Whole,
    Stopped,
    Lost,
}

pub(in super::super) fn sound(room: &Opened) -> Result<End, Fault> {
    let interrupt = Interrupt::watch();
    let mut page = Page::default();

    page.head("Sound");
    page.line(CAUTION);
    page.say();

    let loaded = room.piano()?;
    if let Some(refused) = &loaded.refused {
        page.line("The SoundFont of the settings cannot be used, so the bundled piano serves:");
        page.more(refused);
    }
    let chord = chord(&loaded.piano)?;
    let mut playback = match output::open(&room.settings.sound, &loaded.piano) {
        Ok(playback) => playback,
        Err(silent) => {
            silent.tell(&mut page);
            page.say();
            return Ok(End::Faults);
        }
    };
    output::used(&mut page, &playback, &room.settings.sound);
    page.say();

    for (level, side, words) in steps(room.settings.sound.level) {
        if interrupt.is_wanted() {
            return Ok(End::Fine);
        }
        page.line(&words);
        page.say();
        playback.set_level(level);
        match play(&mut playback, &sided(&chord, side), &interrupt) {
            Played::Whole => {}
            Played::Stopped => return Ok(End::Fine),
            Played::Lost => {
                page.line("The sound output is gone, or takes no sound any more.");
                page.more("What to do: plug it in again, and try again.");
                page.say();
                return Ok(End::Faults);
            }
        }
    }

    page.line(
        "Was it heard from quiet to louder, then on the left, on the right, and on both sides? If \
         not, check the cables and the computer's own volume; if left and right were the other way \
         round, turn the headphones or change the plugs.",
    );
    page.say();
    Ok(End::Fine)
}

/// Sounds a clip once, at the level that the room's sittings begin with; Ctrl-C fades it out.
pub(in crate::cli) fn once(room: &Opened, piano: &Piano, clip: &Clip) -> Result<(), Fault> {
    let interrupt = Interrupt::watch();
    let sound = &room.settings.sound;
    let mut playback = output::open(sound, piano).map_err(|silent| {
        let mut page = Page::default();
        silent.tell(&mut page);
        Fault(page.take().trim().to_owned())
    })?;
    // Nobody who asks to hear something means silence.
    playback.set_level(if sound.level == Level::SILENT {
        Level::START
    } else {
        sound.level
    });

    match play(&mut playback, clip, &interrupt) {
        Played::Whole | Played::Stopped => Ok(()),
        Played::Lost => Err(Fault::new(
            "the sound output is gone, or takes no sound any more; plug it in again, and try again",
        )),
    }
}

/// What sounds where, one after the other, with its words.
fn steps(start: Level) -> Vec<(Level, [f32; 2], String)> {
    // Where a sitting begins silent, the sides are told apart at the usual start.
    let own = if start == Level::SILENT {
        Level::START
    } else {
        start
    };
    let mut level = Level::SILENT;
    let mut steps = Vec::new();

    while level < LOUDEST_START {
        level = level.louder();
        let begins = if level == own {
            ", where a sitting begins"
        } else {
            ""
        };
        let words = format!("Level {} of 10{begins}", level.step());
        steps.push((level, [1.0, 1.0], words));
    }
    for (side, name) in [
        ([1.0, 0.0], "left"),
        ([0.0, 1.0], "right"),
        ([1.0, 1.0], "both sides"),
    ] {
        steps.push((own, side, format!("Level {} of 10, {name}", own.step())));
    }

    steps
}

fn chord(piano: &Piano) -> Result<Clip, Fault> {
    let notes: Vec<Note> = CHORD
        .iter()
        .filter_map(|number| Key::new(*number).ok())
        .map(|key| Note {
            at: Time::ZERO,
            held: HELD,
            key,
            velocity: 80,
        })
        .collect();

    Ok(piano.render(&notes, LENGTH, 0.0)?)
}

fn sided(clip: &Clip, [left, right]: [f32; 2]) -> Clip {
    Clip::new(
        clip.frames
            .iter()
            .map(|[l, r]| [l * left, r * right])
            .collect(),
    )
}

/// Plays a clip to its end, or until Ctrl-C, when it fades out.
fn play(playback: &mut Playback, clip: &Clip, interrupt: &Interrupt) -> Played {
    let clock = Clock::start();
    let deadline = clip.length() + SOON;
    let mut is_stopped = false;

    if playback.play(clip, clock.now()).is_err() {
        return Played::Lost;
    }
    while clock.now() < deadline {
        for fact in playback.poll(clock.now()) {
            match fact {
                Fact::Ended { .. } if is_stopped => return Played::Stopped,
                Fact::Ended { .. } => return Played::Whole,
                Fact::Lost { .. } => return Played::Lost,
                Fact::Started { .. } | Fact::Found { .. } => {}
            }
        }
        if interrupt.is_wanted() && !is_stopped {
            playback.stop();
            is_stopped = true;
        }
        thread::park_timeout(GLANCE);
    }

    Played::Lost
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_rise_from_the_softest_to_where_a_sitting_may_begin_then_the_sides_follow() {
        let steps = steps(Level::START);
        let levels: Vec<u8> = steps.iter().map(|(level, ..)| level.step()).collect();

        assert_eq!(levels, [1, 2, 3, 4, 5, 3, 3, 3]);
        assert_eq!(steps[2].2, "Level 3 of 10, where a sitting begins");
        assert_eq!((steps[5].1, steps[6].1), ([1.0, 0.0], [0.0, 1.0]));
        assert!(
            super::steps(Level::SILENT)
                .iter()
                .all(|(level, ..)| *level > Level::SILENT)
        );
    }

    #[test]
    fn the_chord_is_heard_on_the_sides_that_are_asked_for() {
        let chord = chord(&Piano::bundled().unwrap()).unwrap();
        let left = sided(&chord, [1.0, 0.0]);

        assert_eq!(left.length(), LENGTH);
        assert!(left.peak() > 0.05);
        assert!(left.frames.iter().all(|[_, right]| *right == 0.0));
    }
}
