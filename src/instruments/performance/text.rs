//! The words of markers and texts: what they mean, and how they are written.

use super::Kind;
use crate::time::Time;

/// Bytes kept of what follows a text's first word. No answer or reason comes near it, and the
/// largest performance stays within the four gigabytes of a track.
pub(super) const MOST: usize = 1_000;

/// What a marker says.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Marker {
    /// A prompt appeared.
    Item(u32),
    /// A prompt appeared, but its number cannot be read.
    Unreadable,
    /// Something of the file's own.
    Unknown,
}

/// What a text says.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Text {
    /// Something happened.
    Event(Kind),
    /// The code of the form.
    Form(String),
    /// The name of the exam.
    Exam(String),
    /// Something of the file's own.
    Unknown,
}

/// Decodes UTF-8, or Latin-1 where the bytes are no UTF-8, and drops the blanks around.
pub(super) fn decode(bytes: &[u8]) -> String {
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().copied().map(char::from).collect(),
    };

    trim(&text).to_owned()
}

/// Drops blanks, and the zero bytes that some writers end a text with.
pub(super) fn trim(text: &str) -> &str {
    text.trim_matches(|c: char| c.is_whitespace() || c == '\0')
}

/// Quotes a text for a message, on one line and not too long.
pub(super) fn quote(text: &str) -> String {
    const QUOTED: usize = 60;

    match text.char_indices().nth(QUOTED) {
        Some((end, _)) => format!("{:?}", format!("{}…", &text[..end])),
        None => format!("{text:?}"),
    }
}

/// Understands a marker.
pub(super) fn marker(text: &str) -> Marker {
    let (word, rest) = split(text);

    if !word.eq_ignore_ascii_case("item") {
        return Marker::Unknown;
    }

    match rest.parse() {
        Ok(number) if number > 0 => Marker::Item(number),
        _ => Marker::Unreadable,
    }
}

/// Understands a text.
pub(super) fn text(text: &str) -> Text {
    let (word, rest) = split(text);
    let rest = || rest.to_owned();

    match word.to_ascii_lowercase().as_str() {
        "answer" => Text::Event(Kind::Answer(rest())),
        "hear" if rest().is_empty() => Text::Event(Kind::Hear),
        "sounded" if rest().is_empty() => Text::Event(Kind::Sounded),
        "added" => {
            milliseconds(&rest()).map_or(Text::Unknown, |extra| Text::Event(Kind::Added(extra)))
        }
        "void" => Text::Event(Kind::Void(rest())),
        "stop" => Text::Event(Kind::Stop(rest())),
        "form" if !rest().is_empty() => Text::Form(rest()),
        "exam" if !rest().is_empty() => Text::Exam(rest()),
        _ => Text::Unknown,
    }
}

/// Reads milliseconds with at most one decimal, up to a day.
fn milliseconds(text: &str) -> Option<Time> {
    let (whole, tenth) = text.split_once('.').unwrap_or((text, "0"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());

    if !digits(whole) || !digits(tenth) || tenth.len() > 1 || whole.len() > 8 {
        return None;
    }
    Some(Time::from_ms(whole.parse().ok()?) + Time::from_tenths(tenth.parse().ok()?))
}

/// Joins a word and what it is about, as [`text`] and [`marker`] read it.
pub(super) fn join(word: &str, rest: &str) -> String {
    format!("{word} {}", cut(rest)).trim_end().to_owned()
}

/// Splits the first word from the rest.
fn split(text: &str) -> (&str, &str) {
    let (word, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));

    (word, cut(rest))
}

/// Keeps what there is room for.
fn cut(rest: &str) -> &str {
    let rest = trim(rest);

    trim(&rest[..rest.floor_char_boundary(MOST)])
}
