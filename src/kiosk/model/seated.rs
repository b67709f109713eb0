//! What a candidate at the keyboard does, and whose the instruments are meanwhile.

use super::Kiosk;
use crate::instruments::keyboard::Keyboard;
use crate::instruments::speaker::Speaker;
use crate::kiosk::act::Act;
use crate::kiosk::seat::{Phase, Seat};
use crate::sitting::Event;
use crate::time::Time;

impl Kiosk {
    /// Takes the instruments of a sitting: what is played on, and the speaker.
    pub(in crate::kiosk) fn take_instruments(
        &mut self,
    ) -> Option<(Box<dyn Keyboard>, Box<dyn Speaker>)> {
        let (Some(midi), Some(speaker)) = (self.keyboard.take(), self.speaker.take()) else {
            return None;
        };
        let hands: Box<dyn Keyboard> = if self.on_computer {
            self.keyboard = Some(midi);
            Box::new(self.computer.clone())
        } else {
            midi
        };

        Some((hands, speaker))
    }

    /// Takes them back after it.
    pub(in crate::kiosk) fn take_back(
        &mut self,
        hands: Box<dyn Keyboard>,
        speaker: Box<dyn Speaker>,
    ) {
        if !self.on_computer {
            self.keyboard = Some(hands);
        }
        self.speaker = Some(speaker);
    }
}

/// Does what a press does during a sitting.
pub(super) fn act(seat: &mut Seat, act: Act, now: Time) {
    if seat.asks_to_stop {
        match act {
            Act::Stop(reason) => {
                seat.asks_to_stop = false;
                seat.take(Event::Stopped(reason.words().to_owned()), now);
            }
            Act::Back => {
                seat.asks_to_stop = false;
                // A clock that stood still before goes on standing still.
                if !seat.stood {
                    seat.take(Event::Resumed, now);
                }
            }
            _ => {}
        }
        return;
    }

    match act {
        Act::AskToStop => {
            seat.asks_to_stop = true;
            seat.stood = matches!(
                seat.phase,
                Phase::Stopped {
                    by_person: true,
                    ..
                }
            );
            if !seat.stood {
                seat.take(Event::Paused("the candidate asked to stop".to_owned()), now);
            }
        }
        Act::Go => match seat.phase {
            Phase::Page(_) | Phase::Rest(_) | Phase::Review => seat.take(Event::Go, now),
            _ => {}
        },
        Act::Answer(part, option) => seat.choose(part, option, now),
        Act::Hear => seat.hear(now),
        Act::HearAsked => seat.hear_review(false, now),
        Act::HearOwn => seat.hear_review(true, now),
        Act::Again if seat.phase == Phase::Review => seat.take(Event::Again, now),
        Act::MoreTime => seat.ease(now),
        Act::Part(part) => seat.answer_part(part),
        Act::HandIn => seat.hand_in(now),
        Act::Letter(letter) => seat.letter(letter, now),
        Act::Alter(by) => seat.alter(by, now),
        Act::RubOut => seat.rub_out(now),
        _ => {}
    }
}
