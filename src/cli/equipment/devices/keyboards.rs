//! Which keyboards are there, which would be played on, and why.

use super::super::page::Page;
use super::Lack;
use super::patience::{PATIENCE, within};
use crate::instruments::keyboard::{Input, Preference};
use crate::instruments::midi::{self, SERVICE};
use crate::settings::Keyboard;

/// Why the MIDI inputs are not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unknown {
    /// There is no MIDI service.
    NoService,
    /// There is one, and it does not answer.
    NoAnswer,
}

/// Lists the MIDI inputs, or says why they are not known.
pub(super) fn inputs() -> Result<Vec<Input>, Unknown> {
    match within(PATIENCE, midi::inputs) {
        Some(inputs) => inputs.map_err(|_| Unknown::NoService),
        None => Err(Unknown::NoAnswer),
    }
}

/// Tells of the keyboards. Returns what is missing, and how a sitting would be played.
pub(super) fn tell(page: &mut Page, settings: &Keyboard) -> (Lack, String) {
    let chosen = match inputs() {
        Ok(inputs) => told(page, &inputs, &settings.preference),
        Err(unknown) => {
            page.head("Keyboards");
            unknown.tell(page);
            Vec::new()
        }
    };
    hearing(page, &settings.preference);
    computer(page, settings.computer, chosen.is_empty());

    if !chosen.is_empty() {
        (None, format!("played on {}", chosen.join(" and ")))
    } else if settings.computer {
        (None, "played on the computer's own keys".to_owned())
    } else {
        (Some("no keyboard to play on"), String::new())
    }
}

impl Unknown {
    /// Says why, and what to do.
    pub(super) fn tell(self, page: &mut Page) {
        match self {
            Self::NoService => {
                page.line(&format!(
                    "This computer's MIDI service ({SERVICE}) does not run, so no MIDI keyboard \
                     can be seen."
                ));
                page.more(&format!("What to do: {REMEDY}, and look again."));
            }
            Self::NoAnswer => {
                page.line(&format!(
                    "This computer's MIDI service ({SERVICE}) does not answer, so no MIDI \
                     keyboard can be seen."
                ));
                page.more("What to do: start the service or the computer anew, and look again.");
            }
        }
    }
}

/// How a MIDI service is brought to run.
const REMEDY: &str = if cfg!(feature = "jack") {
    "start the JACK server"
} else if cfg!(target_os = "linux") {
    "ask whoever looks after this computer to load it (`modprobe snd-seq`)"
} else {
    "start the computer anew"
};

/// Tells of the inputs, and returns the names of those that would be played on.
pub(super) fn told(page: &mut Page, inputs: &[Input], preference: &Preference) -> Vec<String> {
    let chosen = preference.choose(inputs, None);

    page.head("Keyboards");
    for (place, input) in inputs.iter().enumerate() {
        page.line(&format!("{} (id {})", input.name, input.id));
        if chosen.contains(&place) {
            page.more(&format!("Played on: {}.", reason(chosen.len(), preference)));
        } else if input.is_loop() {
            page.more("The computer's own loop, on which nobody plays.");
        } else if !chosen.is_empty() {
            page.more("There, and not played on.");
        }
    }
    if chosen.is_empty() {
        none(page, inputs, preference);
    }

    chosen
        .into_iter()
        .map(|place| inputs[place].name.clone())
        .collect()
}

/// Why an input is played on.
fn reason(chosen: usize, preference: &Preference) -> String {
    if chosen > 1 {
        return "all that fit play together, as the settings ask".to_owned();
    }

    match (&preference.name, &preference.id) {
        (Some(name), _) => format!("the settings ask for `{name}`"),
        (None, Some(id)) => format!("the settings ask for the id `{id}`"),
        (None, None) => "it is the only one there".to_owned(),
    }
}

/// Why no input is played on, and what to do.
fn none(page: &mut Page, inputs: &[Input], preference: &Preference) {
    let real = inputs.iter().filter(|input| !input.is_loop()).count();
    let wanted = match (&preference.name, &preference.id) {
        (Some(name), _) => Some(format!("`{name}`")),
        (None, Some(id)) => Some(format!("the id `{id}`")),
        (None, None) => None,
    };

    match wanted {
        Some(wanted) if fits_several(inputs, preference) => {
            page.line(&format!(
                "None is chosen: the settings ask for {wanted}, which fits several."
            ));
            page.more("What to do: write the whole name of the one that is meant as `name`.");
        }
        Some(wanted) => {
            page.line(&format!(
                "The settings ask for {wanted}, which is not there. No other takes its place."
            ));
            page.more(
                "What to do: switch it on and plug it in, or name another under [keyboard] in the \
                 settings file; then look again.",
            );
        }
        None if real > 0 => {
            page.line(&format!(
                "None is chosen: there are {real}, and nothing says which of them is meant."
            ));
            page.more(
                "What to do: write the name of one as `name` under [keyboard] in the settings \
                 file, or `merge = true` to play on all of them. `equipment --listen` shows which \
                 is which.",
            );
        }
        None => {
            page.line("No MIDI keyboard is there.");
            page.more(
                "What to do: switch it on, see that its cable is in at both ends, and look again.",
            );
        }
    }
}

/// Whether a part of a name is given that several names have.
fn fits_several(inputs: &[Input], preference: &Preference) -> bool {
    let all = Preference {
        merge: true,
        ..preference.clone()
    };

    all.choose(inputs, None).len() > 1
}

/// Says how the keys are heard, where that is not as they come.
fn hearing(page: &mut Page, preference: &Preference) {
    if let Some(channel) = preference.channel {
        page.line(&format!("Only MIDI channel {channel} is listened to."));
    }
    let moved = preference.transpose;
    if moved != 0 {
        let way = if moved > 0 { "up" } else { "down" };
        let semitones = match moved.unsigned_abs() {
            1 => "1 semitone".to_owned(),
            more => format!("{more} semitones"),
        };
        page.line(&format!("All keys are moved {way} by {semitones}."));
    }
}

/// Says whether the computer's own keys stand in.
fn computer(page: &mut Page, may_be_used: bool, are_needed: bool) {
    match (may_be_used, are_needed) {
        (false, false) => {}
        (false, true) => page
            .line("The settings do not let the computer's own keys stand in (`computer = false`)."),
        (true, false) => {
            page.line("The computer's own keys stand in where no MIDI keyboard is there.");
        }
        (true, true) => page.line(
            "The computer's own keys and the pointer stand in. They tell nothing of touch, and the \
             spread of a chord is not reported for them.",
        ),
    }
}
