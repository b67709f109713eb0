//! `--listen`: keys as they are pressed, until Ctrl-C.

use std::io::{self, Write};
use std::thread;
use std::time::Duration;

use super::super::super::settings::Opened;
use super::super::super::{End, Fault, complain};
use super::super::page::Page;
use super::chords::{Chords, Line};
use super::interrupt::Interrupt;
use super::{Clock, keyboards};
use crate::instruments::keyboard::{Fact, Input, Keyboard as _, Preference};
use crate::instruments::midi::Keyboard;
use crate::time::Time;

/// How often the keyboards are asked.
const GLANCE: Duration = Duration::from_millis(2);

/// A keyboard that is listened to.
struct Listener {
    /// Put before each line, where there are several.
    label: String,
    keyboard: Keyboard,
    chords: Chords,
}

/// Listens until Ctrl-C, until so many seconds are over, or until nobody reads any more, which
/// shows with the first line that cannot be written.
pub(in super::super) fn listen(room: &Opened, seconds: Option<u32>) -> Result<End, Fault> {
    let interrupt = Interrupt::watch();
    let preference = &room.settings.keyboard.preference;
    let mut page = Page::default();

    let inputs = match keyboards::inputs() {
        Ok(inputs) => {
            let _ = keyboards::told(&mut page, &inputs, preference);
            inputs
        }
        Err(unknown) => {
            page.head("Keyboards");
            unknown.tell(&mut page);
            if unknown == keyboards::Unknown::NoAnswer {
                page.say();
                return Ok(End::Faults);
            }
            Vec::new()
        }
    };
    page.head(&seconds.map_or_else(
        || "Listening, until Ctrl-C".to_owned(),
        |seconds| format!("Listening for {seconds} s, or until Ctrl-C"),
    ));
    page.line(
        "Each line: the time in seconds, the keys that are down, each with its velocity (1 soft to \
         127 loud), and the spread from the first of them to the last.",
    );
    page.say();

    let mut listeners = listeners(&inputs, preference)?;
    let clock = Clock::start();
    let until = seconds.map(|seconds| Time::from_ms(i64::from(seconds) * 1000));
    let mut is_found = false;

    while !interrupt.is_wanted() {
        let now = clock.now();
        let is_over = until.is_some_and(|until| now >= until);

        for (place, listener) in listeners.iter_mut().enumerate() {
            for event in listener.keyboard.poll(now) {
                is_found |= matches!(event.fact, Fact::Found { .. });
                // The service is the same for all, so one tells of it.
                let is_service = matches!(event.fact, Fact::ServerGone | Fact::ServerBack);
                let lines = listener.chords.take(&event);
                if is_service && place > 0 {
                    continue;
                }
                if !lines.iter().all(|line| print(&listener.label, line)) {
                    return Ok(End::Fine);
                }
            }
            let settled = if is_over {
                listener.chords.chord()
            } else {
                listener.chords.settle(now)
            };
            if settled.is_some_and(|line| !print(&listener.label, &line)) {
                return Ok(End::Fine);
            }
        }
        if is_over {
            break;
        }
        thread::park_timeout(GLANCE);
    }

    if is_found || interrupt.is_wanted() {
        return Ok(End::Fine);
    }
    complain("No keyboard was heard: none was there to be played on.");
    Ok(End::Faults)
}

/// Follows what the room is played on; where the room would not choose among several, each of
/// them, so that a teacher sees which is which.
fn listeners(inputs: &[Input], preference: &Preference) -> Result<Vec<Listener>, Fault> {
    let follow = |label: String, preference: Preference| -> Result<Listener, Fault> {
        let keyboard = Keyboard::follow(preference)?;
        Ok(Listener {
            label,
            chords: Chords::new(keyboard.kind()),
            keyboard,
        })
    };
    let real: Vec<&Input> = inputs.iter().filter(|input| !input.is_loop()).collect();

    if preference.asks() || preference.merge || real.len() < 2 {
        return Ok(vec![follow(String::new(), preference.clone())?]);
    }
    real.into_iter()
        .map(|input| {
            let one = Preference {
                id: Some(input.id.clone()),
                name: Some(input.name.clone()),
                ..preference.clone()
            };
            follow(format!("{}: ", input.name), one)
        })
        .collect()
}

/// Prints a line; `false` where nobody reads any more.
fn print(label: &str, line: &Line) -> bool {
    let mut out = io::stdout().lock();
    // What is there from the start may have been found just before the clock began.
    let at = line.at.max(Time::ZERO).as_seconds();
    let label = if line.is_played { label } else { "" };

    writeln!(out, "{at:8.2}  {label}{}", line.text)
        .and_then(|()| out.flush())
        .is_ok()
}
