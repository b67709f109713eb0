//! Signs of the music font by their SMuFL names.

use std::sync::LazyLock;

use super::{Bounds, Face, font};

macro_rules! glyphs {
    ($($variant:ident $name:literal $codepoint:literal;)*) => {
        /// A sign by its canonical name in SMuFL 1.40.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Glyph {
            $(#[doc = concat!("`", $name, "`")] $variant,)*
        }

        impl Glyph {
            /// All signs that drawings use.
            pub const ALL: [Self; [$($codepoint),*].len()] = [$(Self::$variant,)*];

            /// Returns the canonical name: `gClef`.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }

            /// Returns the code point in the private use area.
            pub const fn codepoint(self) -> char {
                match self { $(Self::$variant => $codepoint,)* }
            }
        }
    };
}

glyphs! {
    Brace "brace" '\u{E000}';
    GClef "gClef" '\u{E050}';
    FClef "fClef" '\u{E062}';
    TimeSig0 "timeSig0" '\u{E080}';
    TimeSig1 "timeSig1" '\u{E081}';
    TimeSig2 "timeSig2" '\u{E082}';
    TimeSig3 "timeSig3" '\u{E083}';
    TimeSig4 "timeSig4" '\u{E084}';
    TimeSig5 "timeSig5" '\u{E085}';
    TimeSig6 "timeSig6" '\u{E086}';
    TimeSig7 "timeSig7" '\u{E087}';
    TimeSig8 "timeSig8" '\u{E088}';
    TimeSig9 "timeSig9" '\u{E089}';
    NoteheadWhole "noteheadWhole" '\u{E0A2}';
    NoteheadSlash "noteheadSlashHorizontalEnds" '\u{E101}';
    Flat "accidentalFlat" '\u{E260}';
    Natural "accidentalNatural" '\u{E261}';
    Sharp "accidentalSharp" '\u{E262}';
    DoubleSharp "accidentalDoubleSharp" '\u{E263}';
    DoubleFlat "accidentalDoubleFlat" '\u{E264}';
    TripleSharp "accidentalTripleSharp" '\u{E265}';
    TripleFlat "accidentalTripleFlat" '\u{E266}';
    OttavaAlta "ottavaAlta" '\u{E511}';
    QuindicesimaAlta "quindicesimaAlta" '\u{E515}';
    VentiduesimaAlta "ventiduesimaAlta" '\u{E518}';
    OttavaBassa "ottavaBassaVb" '\u{E51C}';
    QuindicesimaBassa "quindicesimaBassaMb" '\u{E51D}';
    VentiduesimaBassa "ventiduesimaBassaMb" '\u{E51E}';
    Fermata "fermataAbove" '\u{E4C0}';
    Piano "dynamicPiano" '\u{E520}';
    Forte "dynamicForte" '\u{E522}';
    Quarter "metNoteQuarterUp" '\u{ECA5}';
    SymbolDiminished "csymDiminished" '\u{E870}';
    SymbolHalfDiminished "csymHalfDiminished" '\u{E871}';
    SymbolAugmented "csymAugmented" '\u{E872}';
    SymbolMajor "csymMajorSeventh" '\u{E873}';
    SymbolFlat "csymAccidentalFlat" '\u{ED60}';
    SymbolNatural "csymAccidentalNatural" '\u{ED61}';
    SymbolSharp "csymAccidentalSharp" '\u{ED62}';
    SymbolDoubleSharp "csymAccidentalDoubleSharp" '\u{ED63}';
    SymbolDoubleFlat "csymAccidentalDoubleFlat" '\u{ED64}';
    SymbolTripleSharp "csymAccidentalTripleSharp" '\u{ED65}';
    SymbolTripleFlat "csymAccidentalTripleFlat" '\u{ED66}';
}

/// What the font says of each sign, in ems.
static MEASURES: LazyLock<Vec<(Bounds, f32)>> = LazyLock::new(|| {
    Glyph::ALL
        .into_iter()
        .map(|glyph| {
            let sign = glyph.codepoint();
            (
                font::bounds(Face::Music, sign).expect("a test asks the font for every sign"),
                font::advance(Face::Music, sign),
            )
        })
        .collect()
});

impl Glyph {
    /// Returns the box of its ink in ems, round its origin.
    pub fn bounds(self) -> Bounds {
        MEASURES[self as usize].0
    }

    /// Returns how far the next sign stands from it, in ems.
    pub fn advance(self) -> f32 {
        MEASURES[self as usize].1
    }

    /// Returns the width of its ink on a staff, in staff spaces.
    pub(super) fn width(self) -> f32 {
        let bounds = self.bounds();

        (bounds.right - bounds.left) * super::measure::MUSIC_SIZE
    }

    /// Returns the sign for a note's accidental, −3 to 3; a natural for none.
    pub const fn accidental(accidental: i8) -> Self {
        match accidental {
            ..=-3 => Self::TripleFlat,
            -2 => Self::DoubleFlat,
            -1 => Self::Flat,
            0 => Self::Natural,
            1 => Self::Sharp,
            2 => Self::DoubleSharp,
            3.. => Self::TripleSharp,
        }
    }

    /// Returns the sign that a chord symbol or a text has for a sign of Unicode.
    pub const fn in_text(sign: char) -> Option<Self> {
        Some(match sign {
            '♭' => Self::SymbolFlat,
            '♮' => Self::SymbolNatural,
            '♯' => Self::SymbolSharp,
            '𝄪' => Self::SymbolDoubleSharp,
            '𝄫' => Self::SymbolDoubleFlat,
            _ => return None,
        })
    }

    /// Returns the sign of Unicode that it stands for in a text; `None` for signs of music alone.
    pub const fn unicode(self) -> Option<&'static str> {
        Some(match self {
            Self::SymbolFlat => "♭",
            Self::SymbolNatural => "♮",
            Self::SymbolSharp => "♯",
            Self::SymbolDoubleSharp => "𝄪",
            Self::SymbolDoubleFlat => "𝄫",
            Self::SymbolDiminished => "°",
            Self::SymbolHalfDiminished => "ø",
            Self::SymbolAugmented => "+",
            Self::SymbolMajor => "△",
            _ => return None,
        })
    }

    /// Returns the sign for a digit of a time signature; `None` over 9.
    pub fn time(digit: u8) -> Option<Self> {
        Self::ALL
            .into_iter()
            .skip(Self::TimeSig0 as usize)
            .take(10)
            .nth(usize::from(digit))
    }

    /// Returns the sign that asks for octaves more (1 to 3) or fewer (−1 to −3) than written.
    pub const fn octaves(octaves: i32) -> Option<Self> {
        Some(match octaves {
            1 => Self::OttavaAlta,
            2 => Self::QuindicesimaAlta,
            3 => Self::VentiduesimaAlta,
            -1 => Self::OttavaBassa,
            -2 => Self::QuindicesimaBassa,
            -3 => Self::VentiduesimaBassa,
            _ => return None,
        })
    }
}
