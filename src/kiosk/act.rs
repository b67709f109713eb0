//! What can be pressed, and the keys of the computer as they come from the window.

/// What a press does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// Chooses an exam on the cover, by its place on the shelf.
    Choose(usize),
    /// Goes on to what the page says comes next.
    Go,
    /// Writes a character of the candidate's number.
    Digit(char),
    /// Takes the last character back, or the last sign of a spelling.
    RubOut,
    /// Takes the candidate at this place of the roster.
    Pick(usize),
    /// Makes the sound softer.
    Softer,
    /// Makes the sound louder.
    Louder,
    /// Plays on the computer's own keys.
    UseComputer,
    /// Leaves a step of the check out.
    Skip,
    /// Chooses an answer: the part, and the option in it, both from 0.
    Answer(usize, usize),
    /// Asks for another hearing.
    Hear,
    /// Hands in.
    HandIn,
    /// Writes a letter of a spelling, A to G.
    Letter(char),
    /// Alters the last letter by so many semitones, −2 to 2.
    Alter(i8),
    /// In practice: sounds what was asked.
    HearAsked,
    /// In practice: sounds what was played or answered.
    HearOwn,
    /// In practice the item once more, unmarked; in the check left and right, or the beats.
    Again,
    /// In practice: gives the open item ten times its time.
    MoreTime,
    /// Answers this part of an ear item next.
    Part(usize),
    /// Opens the page that asks why to stop.
    AskToStop,
    /// Stops: pain, distress, or to hand in as it is.
    Stop(Reason),
    /// Goes back to the examination.
    Back,
    /// Prints the mark sheet.
    Print,
    /// Opens a practice paper drawn from what was sat.
    Practise,
    /// Turns to a leaf of the page, or of the list on it, from 0.
    Turn(usize),
    /// Something on the invigilator's pages.
    Invigilator(Do),
}

/// What is done on the invigilator's pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Do {
    /// Asks for the PIN.
    Open,
    /// Writes a character.
    Sign(char),
    /// Takes the last character back.
    RubOut,
    /// Takes a row, from 0.
    Row(usize),
    /// Takes what is written, or the row that is meant first.
    Enter,
    /// Goes a page back.
    Back,
}

/// Why a candidate stops.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// Hands or ears hurt.
    Pain,
    /// Not well.
    Distress,
    /// Hands in as it is.
    Done,
}

impl Reason {
    /// Returns the words that the sitting is stopped with.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Pain => "pain",
            Self::Distress => "distress",
            Self::Done => "handed in early",
        }
    }
}

/// A key of the computer, pressed or released.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Press {
    /// Its place on the keyboard (W3C UI Events `code`), such as `KeyQ`; empty where unknown.
    pub code: String,
    /// What it means.
    pub key: Key,
    /// Whether it went down; else it came up.
    pub down: bool,
    /// Whether the computer repeats it because it is held.
    pub again: bool,
    /// Whether shift is held.
    pub shift: bool,
}

/// What a key means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// It writes a character.
    Sign(char),
    /// Enter.
    Enter,
    /// Backspace or delete.
    Backspace,
    /// Tab.
    Tab,
    /// An arrow up, −1, or down, 1.
    Arrow(i8),
    /// An arrow to the left, −1, or to the right, 1; the same as up and down but where chords stand
    /// side by side.
    Side(i8),
    /// A function key by its number.
    Function(u8),
    /// Any other.
    Other,
}
