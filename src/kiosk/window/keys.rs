//! Keys of the computer, from the window's words into ours.

use iced::keyboard::key::{Named, Physical};
use iced::keyboard::{self, Key};

use crate::kiosk::act::{Key as Meaning, Press};

/// Takes a keyboard event as a press; nothing for what is none.
pub(super) fn press(event: &keyboard::Event) -> Option<Press> {
    match event {
        keyboard::Event::KeyPressed {
            key,
            physical_key,
            modifiers,
            text,
            repeat,
            ..
        } => Some(Press {
            code: code(physical_key),
            key: meaning(key, text.as_deref()),
            down: true,
            again: *repeat,
            shift: modifiers.shift(),
        }),
        keyboard::Event::KeyReleased {
            key,
            physical_key,
            modifiers,
            ..
        } => Some(Press {
            code: code(physical_key),
            key: meaning(key, None),
            down: false,
            again: false,
            shift: modifiers.shift(),
        }),
        keyboard::Event::ModifiersChanged(_) => None,
    }
}

fn code(physical: &Physical) -> String {
    match physical {
        // The library's names are those of the W3C.
        Physical::Code(code) => format!("{code:?}"),
        Physical::Unidentified(_) => String::new(),
    }
}

fn meaning(key: &Key, text: Option<&str>) -> Meaning {
    match key {
        Key::Named(named) => match named {
            Named::Enter => Meaning::Enter,
            Named::Backspace | Named::Delete => Meaning::Backspace,
            Named::Tab => Meaning::Tab,
            Named::Space => Meaning::Sign(' '),
            Named::ArrowUp => Meaning::Arrow(-1),
            Named::ArrowDown => Meaning::Arrow(1),
            Named::ArrowLeft => Meaning::Side(-1),
            Named::ArrowRight => Meaning::Side(1),
            Named::F10 => Meaning::Function(10),
            Named::F12 => Meaning::Function(12),
            _ => Meaning::Other,
        },
        Key::Character(signs) => text
            .unwrap_or(signs.as_str())
            .chars()
            .next()
            .map_or(Meaning::Other, Meaning::Sign),
        Key::Unidentified => Meaning::Other,
    }
}
