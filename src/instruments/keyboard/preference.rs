//! Which MIDI inputs a room plays on.

#![deny(clippy::disallowed_methods)]

#[cfg(test)]
mod tests;

/// A MIDI input that is there.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Input {
    /// Tells it from all others that are there now; the same as long as it stays.
    pub id: String,
    /// The name that its maker or its driver gave it.
    pub name: String,
}

impl Input {
    /// Makes an input. The pair of numbers that one system writes after a name is left out: it
    /// changes each time that the instrument is plugged in.
    pub fn new(id: impl Into<String>, name: &str) -> Self {
        Self {
            id: id.into(),
            name: without_address(name).to_owned(),
        }
    }

    /// Tells whether it is the system's own loop, on which nobody plays.
    pub fn is_loop(&self) -> bool {
        self.name.contains("Midi Through")
    }
}

/// Takes a last word such as ` 20:0` off a name.
fn without_address(name: &str) -> &str {
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());

    match name.trim_end().rsplit_once(' ') {
        Some((bare, address))
            if address
                .split_once(':')
                .is_some_and(|(client, port)| is_number(client) && is_number(port)) =>
        {
            bare.trim_end()
        }
        _ => name.trim_end(),
    }
}

/// What a room wants to be played on; by default the only instrument that is there, on any
/// channel, as it is tuned.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Preference {
    /// The input's id. Where a name is given too, the id serves to tell namesakes apart only,
    /// since some systems give the id of one instrument to the next.
    pub id: Option<String>,
    /// The input's name, or a part of it that no other has; capitals do not matter.
    pub name: Option<String>,
    /// Whether all inputs that fit (all there are, if neither id nor name is given) play together.
    pub merge: bool,
    /// The channel listened to, 1–16; all if there is none.
    pub channel: Option<u8>,
    /// How many semitones the keys are moved up.
    pub transpose: i8,
}

impl Preference {
    /// Returns the places of the inputs to be played on. `last` is the input that was played on
    /// before, which goes before others that fit as well.
    ///
    /// An instrument that is asked for by id or name is waited for; no other takes its place. Where
    /// nothing is asked for and there are several, none is chosen: the wrong one would stay mute.
    pub fn choose(&self, inputs: &[Input], last: Option<&Input>) -> Vec<usize> {
        let mut fit = self.fitting(inputs);

        if self.merge || fit.len() < 2 {
            return fit;
        }

        let again = last.and_then(|last| {
            let by = |same: &dyn Fn(&Input) -> bool| {
                fit.iter().copied().find(|place| same(&inputs[*place]))
            };
            by(&|input| input == last).or_else(|| by(&|input| input.name == last.name))
        });

        match again {
            Some(place) => vec![place],
            None if self.asks() => {
                fit.truncate(1);
                fit
            }
            None => Vec::new(),
        }
    }

    /// Tells whether an id or a name is given.
    pub fn asks(&self) -> bool {
        self.id.is_some() || self.wanted().is_some()
    }

    /// Returns the name given; a blank one is none.
    fn wanted(&self) -> Option<&str> {
        self.name
            .as_deref()
            .map(str::trim)
            .filter(|name| !name.is_empty())
    }

    fn fitting(&self, inputs: &[Input]) -> Vec<usize> {
        let places = |fits: &dyn Fn(&Input) -> bool| -> Vec<usize> {
            (0..inputs.len())
                .filter(|place| fits(&inputs[*place]))
                .collect()
        };
        let has_id = |input: &Input| self.id.as_ref() == Some(&input.id);

        let Some(name) = self.wanted() else {
            return if self.id.is_some() {
                places(&has_id)
            } else {
                places(&|input| !input.is_loop())
            };
        };

        let wanted = without_address(name).to_lowercase();
        let named = places(&|input| input.name.to_lowercase() == wanted);
        let named = if named.is_empty() {
            let part = places(&|input| input.name.to_lowercase().contains(&wanted));
            let only = part.first().is_some_and(|first| {
                part.iter()
                    .all(|place| inputs[*place].name == inputs[*first].name)
            });
            if only || self.merge { part } else { Vec::new() }
        } else {
            named
        };

        match named.iter().copied().find(|place| has_id(&inputs[*place])) {
            Some(place) if !self.merge => vec![place],
            _ => named,
        }
    }
}
