"""Chord symbols and degrees as pitch classes."""

from __future__ import annotations

import re
from dataclasses import dataclass

NATURALS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
MAJOR_SCALE = (0, 2, 4, 5, 7, 9, 11)
SIGNS = {"♭": "b", "♯": "#", "𝄫": "bb", "𝄪": "##", "−": "-"}


def plain(text: str) -> str:
    """The text with the musical signs in ASCII."""
    for sign, ascii_sign in SIGNS.items():
        text = text.replace(sign, ascii_sign)
    return text


def shift_of(accidentals: str) -> int:
    """Semitones by which a row of sharps and flats moves a note."""
    return accidentals.count("#") - accidentals.count("b")


def pitch_class(name: str) -> int:
    """The pitch class of a note name such as `Bb` or `F#`."""
    return (NATURALS[name[0]] + shift_of(name[1:])) % 12


def degree_semitones(degree: str) -> int:
    """The semitones of a degree above the root, within one octave."""
    found = re.fullmatch(r"([#b]*)(\d+)", plain(degree))
    if found is None:
        raise ValueError(f"expected a degree such as b7, found {degree!r}")
    number = int(found.group(2))
    return (MAJOR_SCALE[(number - 1) % 7] + shift_of(found.group(1))) % 12


@dataclass(frozen=True)
class Symbol:
    """A chord symbol: third and seventh are semitones above the root.

    For a suspended chord the 4 stands for the third, for a sixth chord the
    6 for the seventh. `bass` is the pitch class after a slash.
    """

    text: str
    root: int
    third: int
    seventh: int | None
    bass: int | None


def parse_symbol(text: str) -> Symbol:
    """Read a chord symbol such as `Bbmaj7`, `F#m7b5` or `C/E`."""
    found = re.fullmatch(r"([A-G][#b]*)(.*?)(?:/([A-G][#b]*))?", plain(text))
    if found is None:
        raise ValueError(f"expected a chord symbol such as Bbmaj7, found {text!r}")
    name, suffix, bass = found.groups()
    suffix = suffix.replace("(", "").replace(")", "")
    bass_class = None if bass is None else pitch_class(bass)
    return Symbol(text, pitch_class(name), _third(suffix), _seventh(suffix), bass_class)


def _third(suffix: str) -> int:
    if "sus2" in suffix:
        return 2
    if "sus" in suffix:
        return 5
    minor = re.match(r"m(?!aj)|MI|-|dim|°|o|ø", suffix)
    return 3 if minor else 4


def _seventh(suffix: str) -> int | None:
    number = re.search(r"(add|sus)?(\d+)", suffix)
    if re.match(r"dim|°|o", suffix):
        return 9 if number else None
    if suffix.startswith("ø"):
        return 10
    major = re.search(r"maj|MA|M|△", suffix.replace("MI", ""))
    if number is None:
        return 11 if "△" in suffix else None
    if number.group(1):
        return None
    if number.group(2) in ("6", "69"):
        return 9
    if number.group(2) in ("7", "9", "11", "13"):
        return 11 if major else 10
    return None
