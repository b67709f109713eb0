//! The options of an ear section: as written, or all answers of the cells in the order of likeness.

use super::answer::{Answer, Meaning, answers, cadence, known, meaning};
use super::cell::Sounded;
use crate::exam::item::{quality_texts, same_answer};
use crate::exam::read::scope::Scope;
use crate::exam::read::{Place, meant};
use crate::exam::script::{Ask, Stimulus};
use crate::exam::sound;
use crate::exam::table::{Spanned, Table, Value, clip};
use crate::theory::likeness;
use crate::theory::progression::{Progression, formula};
use crate::theory::quality::Quality;

/// An option as written.
struct Choice {
    text: String,
    meaning: Meaning,
    place: Place,
}

pub(super) fn read(
    table: &Table<'_>,
    asks: &Spanned<Vec<Ask>>,
    cells: &[Sounded],
    rooted: bool,
    whole: bool,
    scope: &Scope<'_>,
) -> Option<Vec<Vec<String>>> {
    let has = table.has("options");
    let written = written(table, asks.value.len());
    if has && written.is_none() {
        return None;
    }
    let mut written = written.map(Vec::into_iter);
    let mut all = Vec::with_capacity(asks.value.len());
    let mut fine = true;

    for ask in &asks.value {
        let part = Part {
            ask: *ask,
            cells,
            scope,
        };
        let (choices, sound) = match &mut written {
            Some(parts) => part.choices(parts.next()?.value),
            None => (part.by_likeness(), true),
        };
        fine &= sound;
        fine &= part.tell_alike(&choices, rooted);
        fine &= part.tell_turned(&choices);
        if choices.len() < 2 && sound && whole && !cells.is_empty() {
            table.fault(
                asks.span.clone(),
                match choices.first() {
                    Some(only) => format!("only one answer is offered: `{}`", only.text),
                    None => "no answer is offered".to_owned(),
                },
                Some("add cells with other answers, or list more `options`".to_owned()),
            );
            fine = false;
        }
        all.push(choices.into_iter().map(|choice| choice.text).collect());
    }

    fine.then_some(all)
}

/// Options as written: one list, or a list for each question.
fn written<'a>(table: &Table<'a>, questions: usize) -> Option<Vec<Spanned<Vec<Spanned<&'a str>>>>> {
    if questions == 1 {
        let texts = table.texts("options")?;
        if texts.value.is_empty() {
            table.fault(
                texts.span,
                "`options` is empty",
                Some("leave it out: all answers of the cells are offered then".to_owned()),
            );
            return None;
        }
        return Some(vec![texts]);
    }

    let list = table.list("options")?;
    if list.value.len() != questions || !list.value.iter().all(Value::is_list) {
        table.fault(
            list.span,
            format!("expected a list of options for each of the {questions} questions"),
            Some("write `options = [[\"maj7\", \"7\"], [\"root\", \"third\"]]`".to_owned()),
        );
        return None;
    }
    // Each list is read before one of them ends it, so that each fault is told.
    let lists: Vec<_> = list.value.into_iter().map(Value::texts).collect();

    lists.into_iter().collect()
}

/// One question and what can be said of its options.
struct Part<'a> {
    ask: Ask,
    cells: &'a [Sounded],
    scope: &'a Scope<'a>,
}

impl Part<'_> {
    /// Reads the options as written, and tells whether each is an answer and no answer is lacking.
    fn choices(&self, texts: Vec<Spanned<&str>>) -> (Vec<Choice>, bool) {
        let out = self.scope.out;
        let mut choices: Vec<Choice> = Vec::with_capacity(texts.len());
        let mut fine = true;
        let mut all_read = true;

        for text in texts {
            let Some(meaning) = self.meaning(text.value) else {
                self.no_answer(&text);
                fine = false;
                all_read = false;
                continue;
            };
            if let Some(other) = choices.iter().find(|other| other.meaning == meaning) {
                let message = if same_answer(&other.text, text.value) {
                    format!("option `{}` is offered twice", clip(text.value))
                } else {
                    format!(
                        "options `{}` and `{}` mean the same",
                        clip(&other.text),
                        clip(text.value)
                    )
                };
                out.fault(text.span, message, Some("leave one of them out".to_owned()));
                fine = false;
                continue;
            }
            choices.push(Choice {
                text: self.shown(text.value.trim(), &meaning),
                meaning,
                place: text.span,
            });
        }

        let mut told: Vec<Meaning> = Vec::new();
        for sounded in self.cells {
            for answer in answers(self.ask, &sounded.cell.stimulus) {
                match choices
                    .iter_mut()
                    .find(|choice| choice.meaning == answer.meaning)
                {
                    // The usual writing, unless it is one of those that an answer is told by.
                    Some(choice) => {
                        let texts = self.accepted(&answer);
                        if !texts.iter().any(|text| same_answer(text, &choice.text)) {
                            choice.text.clone_from(&answer.texts[0]);
                        }
                    }
                    None if all_read && !told.contains(&answer.meaning) => {
                        out.fault(
                            sounded.place_of(self.ask),
                            format!("the answer `{}` is not among the options", answer.texts[0]),
                            Some(
                                "add it to `options`, or leave `options` out: all answers are offered then"
                                    .to_owned(),
                            ),
                        );
                        told.push(answer.meaning);
                        fine = false;
                    }
                    None => {}
                }
            }
        }

        (choices, fine)
    }

    /// Returns all texts of an answer, in the exam's own house of style too.
    fn accepted(&self, answer: &Answer) -> Vec<String> {
        match answer.meaning {
            Meaning::Quality(quality) => quality_texts(quality, self.scope.style),
            _ => answer.texts.clone(),
        }
    }

    /// Lists all answers of the cells in the order of likeness.
    fn by_likeness(&self) -> Vec<Choice> {
        let mut sorted: Vec<(Answer, Place)> = self
            .cells
            .iter()
            .flat_map(|sounded| {
                answers(self.ask, &sounded.cell.stimulus)
                    .into_iter()
                    .map(|answer| (answer, sounded.place_of(self.ask)))
            })
            .collect();
        let mut choices: Vec<Choice> = Vec::new();

        sorted.sort_by_key(|(answer, _)| answer.rank);
        for (answer, place) in sorted {
            if choices
                .iter()
                .all(|choice| choice.meaning != answer.meaning)
            {
                choices.push(Choice {
                    text: answer.texts[0].clone(),
                    meaning: answer.meaning,
                    place,
                });
            }
        }

        choices
    }

    /// Reads what an option means; nothing where it can be no answer at all.
    fn meaning(&self, text: &str) -> Option<Meaning> {
        let text = text.trim();
        if text.is_empty() || text.len() > 200 {
            return None;
        }

        match self.ask {
            Ask::Progression => self.named(text).map(|_| Meaning::Text(text.to_owned())),
            Ask::Cadence => {
                let name = cadence(text);
                self.named(name).map(|_| Meaning::Text(name.to_owned()))
            }
            ask => meaning(ask, text),
        }
    }

    /// Returns how an option is shown: a cadence as the trade calls it, all else as written.
    fn shown(&self, text: &str, meaning: &Meaning) -> String {
        match (self.ask, meaning) {
            (Ask::Cadence, Meaning::Text(name)) => self
                .named(name)
                .and_then(|progression| formula(&progression))
                .unwrap_or(name)
                .to_owned(),
            _ => text.to_owned(),
        }
    }

    /// Finds a progression without a word where there is none.
    fn named(&self, name: &str) -> Option<Progression> {
        self.scope
            .own_progression(name)
            .or_else(|| crate::theory::progression::named(name))
    }

    fn no_answer(&self, text: &Spanned<&str>) {
        let word = self.ask.word();
        let help = match self.ask {
            Ask::Quality => {
                "write qualities as they stand after the root: maj7, m7, 7, m7b5, dim7".to_owned()
            }
            Ask::Progression => {
                let names = self.scope.progression_names();
                meant(text.value, &names)
            }
            ask => meant(text.value, &known(ask)),
        };

        self.scope.out.fault(
            text.span.clone(),
            format!("`{}` can be no answer to `{word}`", clip(text.value)),
            Some(help),
        );
    }

    /// Tells of options that sound alike; true where there are none.
    fn tell_alike(&self, choices: &[Choice], rooted: bool) -> bool {
        let mut fine = true;
        let mut tell = |choice: &Choice, message: String, help: &str| {
            self.scope
                .out
                .fault(choice.place.clone(), message, Some(help.to_owned()));
            fine = false;
        };

        for (i, b) in choices.iter().enumerate() {
            for a in &choices[..i] {
                match (&a.meaning, &b.meaning) {
                    (Meaning::Quality(x), Meaning::Quality(y)) => {
                        let alike = likeness::sounds_as(*x, *y);
                        if sound::classes(*x) == sound::classes(*y) {
                            tell(
                                b,
                                format!(
                                    "`{}` and `{}` are the same notes and are offered together",
                                    a.text, b.text
                                ),
                                "leave one of them out",
                            );
                        } else if !rooted && !alike.is_empty() {
                            tell(
                                b,
                                format!(
                                    "`{}` and `{}` sound alike without their root and are offered together",
                                    a.text, b.text
                                ),
                                "leave out `root_heard = false`, or one of them",
                            );
                        }
                    }
                    (Meaning::Text(x), Meaning::Text(y))
                        if matches!(self.ask, Ask::Progression | Ask::Cadence) =>
                    {
                        let sound = |name: &str| self.named(name).map(|it| sounding(&it));
                        if sound(x).is_some() && sound(x) == sound(y) {
                            tell(
                                b,
                                format!(
                                    "`{}` and `{}` are the same chords and are offered together",
                                    a.text, b.text
                                ),
                                "leave one of them out",
                            );
                        }
                    }
                    _ => {}
                }
            }
        }

        fine
    }

    /// Tells of chords of a dictation whose bass is not their root and that have all the notes of
    /// another offered quality: where the root is in the bass the bass decides, here it does not.
    fn tell_turned(&self, choices: &[Choice]) -> bool {
        if self.ask != Ask::Quality {
            return true;
        }
        let mut fine = true;

        for sounded in self.cells {
            let Stimulus::Progression { progression } = &sounded.cell.stimulus else {
                continue;
            };
            let placed = progression.in_key(progression.tonic(0));
            for (place, placed) in placed.iter().enumerate() {
                let Some(bass) = placed.chord.bass else {
                    continue;
                };
                let own = placed.chord.quality;
                let heard =
                    over(sound::classes(own), placed.chord.root.class()) | 1 << bass.class();
                let other = choices.iter().find(|choice| match choice.meaning {
                    Meaning::Quality(quality) => {
                        quality != own
                            && (0..12).any(|root| over(sound::classes(quality), root) == heard)
                    }
                    _ => false,
                });
                if let Some(other) = other {
                    self.scope.out.fault(
                        sounded.place_of(self.ask),
                        format!(
                            "chord {} of `{}` has the notes of `{}` too, and its bass does not decide",
                            place + 1,
                            clip(&progression.name),
                            other.text
                        ),
                        Some("put its root in the bass, or leave that quality out".to_owned()),
                    );
                    fine = false;
                }
            }
        }

        fine
    }
}

/// Moves the pitch classes of a chord over C up to another root.
const fn over(classes: u16, root: u8) -> u16 {
    (classes << root | classes >> (12 - root)) & 0xfff
}

/// Returns what is heard of a progression: its tonic, and its chords whatever their length.
fn sounding(progression: &Progression) -> (bool, Vec<(u8, Quality)>) {
    let chords = progression
        .in_key(progression.tonic(0))
        .iter()
        .map(|placed| (placed.chord.root.class(), placed.chord.quality))
        .collect();

    (progression.is_minor(), chords)
}
