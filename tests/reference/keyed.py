"""Is every keyed answer right, and the only right one among the options? Asked of two libraries.

    python keyed.py [--items N] [--program PATH]

The program draws forms of each shipped exam (`form --key --json`) until N items have been looked
at. Of an ear item only the sounded keys and the options are taken; music21 (BSD) and mir_eval (MIT)
say what each option means, and the one that agrees with the sound has to be the keyed one. Chord
tones written and chords played are compared with what the two say of the symbol. Chord labels are
those of Harte, Sandler, Abdallah and Gomez, "Symbolic representation of musical chords" (ISMIR
2005), as mir_eval reads them. Progressions by name are common practice, no source; an exam's own
are read from its script. Ends with `N passed, M failed` and exits with 1 if any failed.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import sys
import tomllib
import warnings
from collections import Counter
from functools import cache
from pathlib import Path
from random import Random

warnings.filterwarnings("ignore")

import mir_eval.chord  # noqa: E402
from music21 import harmony, interval, key, pitch  # noqa: E402

from crosscheck import form_code, newest_program  # noqa: E402

ROOT = Path(__file__).resolve().parents[2]
SHOWN = 12
"""Faults printed in all."""

LABELS = {
    "": "maj", "maj": "maj", "major": "maj", "major triad": "maj", "m": "min", "minor": "min", "minor triad": "min",
    "dim": "dim", "diminished": "dim", "diminished triad": "dim",
    "+": "aug", "aug": "aug", "augmented": "aug", "augmented triad": "aug",
    "maj7": "maj7", "7": "7", "m7": "min7", "m7b5": "hdim7", "ø7": "hdim7", "dim7": "dim7", "m(maj7)": "minmaj7",
    "6": "maj6", "m6": "min6", "7sus4": "sus4(b7)", "sus4": "sus4", "+7": "aug(b7)", "7#5": "aug(b7)",
    "7b5": "maj(b5,*5,b7)", "9": "9", "maj9": "maj9", "m9": "min9", "7b9": "7(b9)", "7#9": "7(#9)", "7#11": "7(#11)",
    "13": "9(13)", "m11": "min9(11)", "maj7#11": "maj7(#11)", "7b13": "7(b13)", "7b9b13": "7(b9,b13)",
    "m(add9)": "min(9)",
}
"""Qualities as labels that mir_eval reads."""

KINDS = {
    "maj": "major", "min": "minor", "dim": "diminished", "aug": "augmented", "maj7": "major-seventh",
    "7": "dominant-seventh", "min7": "minor-seventh", "hdim7": "half-diminished-seventh",
    "dim7": "diminished-seventh", "minmaj7": "minor-major-seventh", "maj6": "major-sixth", "min6": "minor-sixth",
}
"""Labels as kinds of MusicXML, from which music21 builds chords."""

DEGREES_OF = {"sus4(b7)": ("P1", "P4", "P5", "m7"), "7(b9)": ("P1", "M3", "P5", "m7", "m9")}
"""Qualities that are spelled and that MusicXML has no kind for, as intervals."""

MEMBERS = {
    "root": ("P1",), "third": ("m3", "M3", "P4"), "fifth": ("d5", "P5", "a5"), "seventh": ("d7", "m7", "M7"),
    "sixth": ("M6",),
}
"""Chord tones as the intervals that they may be above the root; a fourth stands for the third where it is
suspended, and d7 and M6 are one key, so that a sixth is only looked for where it is offered."""

TENSIONS = {"b9": "m9", "9": "M9", "#9": "a9", "11": "P11", "#11": "a11", "b13": "m13", "13": "M13"}

MOTIONS = {
    "up a semitone": "m2", "up a tone": "M2", "up a minor third": "m3", "up a major third": "M3",
    "up a fourth": "P4", "a tritone": "a4", "down a fourth": "-P4", "down a major third": "-M3",
    "down a minor third": "-m3", "down a tone": "-M2", "down a semitone": "-m2",
}

NAMED = {
    "ii-V-I": "IIm7 V7 Imaj7", "ii-V-i": "IIm7b5 V7b9 Im6", "I-VI-ii-V": "Imaj7 VI7 IIm7 V7",
    "iii-VI-ii-V": "IIIm7 VI7 IIm7 V7", "I-vi-ii-V": "Imaj7 VIm7 IIm7 V7", "V-I": "V7 Imaj7",
    "IV-I": "IVmaj7 Imaj7", "V-vi": "V7 VIm7", "iv-bVII-I": "IVm7 bVII7 Imaj7", "ii-bII-I": "IIm7 bII7 Imaj7",
}
"""Progressions by name; common practice, no source."""


def plain(text: str) -> str:
    """The text with the musical signs in ASCII, as music21 and mir_eval are asked for here."""
    for sign, ascii_sign in (("♭", "b"), ("♯", "#"), ("𝄫", "bb"), ("𝄪", "##"), ("°", "dim"), ("−", "-")):
        text = text.replace(sign, ascii_sign)
    return text.strip()


@cache
def semitones(name: str) -> int:
    """The size of an interval in semitones, by music21."""
    return interval.Interval(name).semitones


@cache
def pitch_class(name: str) -> int:
    """The pitch class of a note name, by music21."""
    return pitch.Pitch(name.replace("b", "-")).pitchClass


@cache
def above_root(quality: str) -> frozenset[int]:
    """The semitones of a quality above its root by mir_eval; music21 must agree where it has the kind."""
    label = LABELS[plain(quality)]
    _, base, degrees, _ = mir_eval.chord.split(f"C:{label}", reduce_extended_chords=True)
    bitmap = mir_eval.chord.quality_to_bitmap(base)
    # What lies above the octave is none of the library's bitmap.
    added = {mir_eval.chord.scale_degree_to_semitone(each) % 12 for each in degrees if "*" not in each}
    gone = {mir_eval.chord.scale_degree_to_semitone(each[1:]) % 12 for each in degrees if "*" in each}
    found = frozenset({place for place, bit in enumerate(bitmap) if bit} - gone | added)
    if label in KINDS:
        other = harmony.ChordSymbol(root="C", kind=KINDS[label])
        assert found == frozenset(other.pitchClasses), f"mir_eval and music21 differ on {quality}"
    return found


@cache
def classes(root: int, quality: str) -> frozenset[int]:
    """The pitch classes of a chord."""
    return frozenset((root + each) % 12 for each in above_root(quality))


@cache
def symbol(text: str) -> tuple[str, str, str | None]:
    """The root, the quality and the bass of a chord symbol."""
    found = re.fullmatch(r"([A-G][b#]*)(.*?)(?:/([A-G][b#]*))?", plain(text))
    assert found, text
    return found[1], found[2], found[3]


@cache
def numeral(tonic: int, text: str) -> frozenset[int]:
    """The pitch classes of a chord such as `bVIImaj7` in a key, its degree by music21."""
    root, quality = degree(tonic, text)
    return classes(root, quality)


@cache
def degree(tonic: int, text: str) -> tuple[int, str]:
    """The root of a numeral in a key, and its quality."""
    found = re.fullmatch(r"([b#]*)(VII|VI|IV|V|III|II|I)(.*)", plain(text))
    assert found, text
    scale = key.Key(pitch.Pitch(tonic).name)
    step = scale.pitchFromDegree(["I", "II", "III", "IV", "V", "VI", "VII"].index(found[2]) + 1)
    return (step.pitchClass + found[1].count("#") - found[1].count("b")) % 12, found[3]


class Sound:
    """What is sounded: the keys of each strike, from low to high."""

    def __init__(self, strikes: list[dict]) -> None:
        self.strikes = [sorted(strike["keys"]) for strike in strikes]
        self.last = self.strikes[-1]
        self.set = frozenset(each % 12 for each in self.last)
        # A root that sounds alone first; else the bass.
        self.root = (self.strikes[0] if len(self.strikes[0]) == 1 else self.last)[0] % 12


def quality(sound: Sound, option: str, _: dict) -> bool:
    return sound.set == classes(sound.root, option)


def roots_move(sound: Sound, option: str, _: dict) -> bool:
    moved = (sound.last[0] - sound.strikes[0][0]) % 12
    return moved == semitones(MOTIONS[option]) % 12


def two_chords(sound: Sound, option: str, _: dict) -> bool:
    return sound.set == classes(sound.last[0] % 12, option)


def top(sound: Sound, option: str, _: dict) -> bool:
    return (sound.last[-1] - sound.root) % 12 in {semitones(each) for each in MEMBERS[option]}


def inversion(sound: Sound, option: str, _: dict) -> bool:
    return (sound.last[0] - sound.root) % 12 in {semitones(each) for each in MEMBERS[option]}


def two_notes(sound: Sound, option: str, _: dict) -> bool:
    keys = sorted(each for strike in sound.strikes for each in strike)
    return keys[-1] - keys[0] == semitones("a4" if option == "TT" else option)


def tension(sound: Sound, option: str, _: dict) -> bool:
    first = sound.strikes[0]
    root = first[0] % 12
    assert frozenset(each % 12 for each in first) <= classes(root, "7"), "the first chord is no plain dominant"
    added = {each % 12 for each in sound.last} - {each % 12 for each in first}
    return added == {(root + semitones(TENSIONS[plain(option)])) % 12}


def progression(sound: Sound, option: str, exam: dict) -> bool:
    own = {each["name"]: " ".join(each["bars"]) for each in exam.get("progression", [])}
    # A cadence has its trade name before its numerals.
    numerals = plain(option.split()[-1]).replace("–", "-").replace("ø", "") if option not in own else option
    chords = [each for each in own.get(option, NAMED.get(numerals, "")).split() if each != "%"]
    assert chords, f"what is {option}?"
    tonic, *heard = sound.strikes
    if len(heard) != len(chords):
        return False
    for keys, chord in zip(heard, chords):
        root, kind = degree(tonic[0] % 12, chord)
        whole = classes(root, kind)
        # A fifth may be left out, and the bass is the root.
        fifth = {(root + each) % 12 for each in (6, 7, 8)}
        found = frozenset(each % 12 for each in keys)
        if keys[0] % 12 != root or not (found <= whole and whole - found <= fifth):
            return False
    return True


def dictated(item: dict) -> None:
    """Of each chord one bass and one quality agree with the sound, and they are the keyed ones."""
    tonic, *heard = Sound(item["sound"]).strikes
    parts = list(zip(item["options"], item["answers"], strict=True))
    assert len(parts) == 2 * len(heard), f"{len(parts)} parts for {len(heard)} chords"
    for keys, (basses, bass), (qualities, kind) in zip(heard, parts[::2], parts[1::2]):
        found, lowest = frozenset(each % 12 for each in keys), keys[0] % 12
        fifth = {(lowest + each) % 12 for each in (6, 7, 8)}
        agree = [option for option in basses if degree(tonic[0] % 12, option)[0] == lowest]
        assert agree == [option for option in basses if plain(option) in map(plain, bass)] and len(agree) == 1, (
            f"bass: {agree} agree with {keys}, keyed {bass}"
        )
        whole = {option: classes(lowest, option) for option in qualities}
        # Close by ear: no tone beside it, and at most the fifth left out.
        agree = [option for option, of in whole.items() if found <= of and of - found <= fifth]
        assert agree == [option for option in qualities if plain(option) in map(plain, kind)] and len(agree) == 1, (
            f"quality: {agree} agree with {keys}, keyed {kind}"
        )


def played_back(item: dict, section: dict) -> None:
    """It begins on the note that the prompt names, and sounds as one cell of the script has it."""
    strikes = Sound(item["sound"]).strikes
    named = re.search(r"(?:on|is) ([A-G][♭♯]?\d)\.", item["prompt"])
    assert named and pitch.Pitch(plain(named[1]).replace("b", "-")).midi == strikes[0][0], item["prompt"]
    if all(len(keys) == 1 for keys in strikes):
        motives = [each["motive"].split() for each in section["cells"] if "motive" in each]
        fits = [motive for motive in motives if steps(motive) == [keys[0] - strikes[0][0] for keys in strikes]]
        assert len(fits) == 1, f"{fits} agree with {strikes}"


def steps(motive: list[str]) -> list[int]:
    """How far the notes of a motive lie from its first, in semitones, by music21."""
    scale = key.Key("C")
    found = []
    for word in motive:
        number = int(word.lstrip("b#"))
        at = scale.pitchFromDegree((number - 1) % 7 + 1).pitchClass + 12 * ((number - 1) // 7)
        found.append(at + word.count("#") - word.count("b"))
    return [each - found[0] for each in found]


def wrong_voice(sound: Sound, option: str, item: dict) -> bool:
    root, kind, _ = symbol(item["prompt"].split(":")[0])
    missing = classes(pitch_class(root), kind) - sound.set
    assert len(missing) == 1 and len(sound.set - classes(pitch_class(root), kind)) == 1, "not one voice is wrong"
    return (min(missing) - pitch_class(root)) % 12 in {semitones(each) for each in MEMBERS[option]}


ASKS = {
    "quality": quality, "top": top, "interval": two_notes, "inversion": inversion, "tension": tension,
    "progression": progression, "cadence": progression, "root-motion": roots_move, "wrong-voice": wrong_voice,
}


def asks(section: dict) -> list[str]:
    asked = section["ask"]
    return [asked] if isinstance(asked, str) else asked


def ear(item: dict, section: dict, exam: dict) -> None:
    """Each part has one option that agrees with the sound, and it is the keyed one."""
    if asks(section) == ["dictation"]:
        return dictated(item)
    if asks(section) == ["play-back"]:
        return played_back(item, section)
    sound = Sound(item["sound"])
    parts = asks(section)
    options, answers = item["options"], item["answers"]
    if len(parts) == 1:
        options, answers = [options], [answers]
    else:
        answers = list(zip(*(each.split(" / ") for each in answers)))
    for ask, offered, keyed in zip(parts, options, answers, strict=True):
        fits = ASKS[ask]
        if ask == "quality" and "root-motion" in parts:
            fits = two_chords
        about = exam if fits is progression else item
        agree = [option for option in offered if fits(sound, option, about)]
        assert len(agree) == 1, f"{ask}: {agree} agree with {sound.strikes}"
        right = [option for option in offered if any(plain(each) == plain(option) for each in keyed)]
        assert right == agree, f"{ask}: keyed {right}, heard {agree} in {sound.strikes}"


NUMBERS = ("root", "ninth", "third", "fourth", "fifth", "sixth", "seventh")
"""Chord tones by name; of the prompt that asks for all it names the root alone."""


@cache
def spelled(root: str, label: str) -> list[str]:
    """The names of a chord's tones from the root up, by music21."""
    at = root.replace("b", "-")
    if label in KINDS:
        pitches = harmony.ChordSymbol(root=at, kind=KINDS[label]).pitches
        by_letter = sorted((each.name.replace("-", "b") for each in pitches), key=lambda name: number(root, name))
        return by_letter
    return [
        pitch.Pitch(at).transpose(interval.Interval(each)).name.replace("-", "b") for each in DEGREES_OF[label]
    ]


def number(root: str, name: str) -> int:
    """Which member a note is by its letter: 1 for the root, 3 for the third."""
    return (ord(name[0]) - ord(root[0])) % 7 + 1


def spell(item: dict, *_: dict) -> None:
    """The keyed names are those that music21 builds, and any other accepted one is the same key where
    the strict one takes a double accidental."""
    root, kind, _bass = symbol(item["symbol"])
    strict = spelled(root, LABELS[kind])
    asked = [place for place, word in enumerate(NUMBERS, 1) if word in item["prompt"].split(":")[1]]
    wanted = [name for name in strict if len(asked) < 2 or number(root, name) in asked]
    first, *others = item["answers"]
    assert first.split() == wanted, f"{item['symbol']}: keyed {first}, music21 has {wanted}"
    for other in others:
        for ours, name in zip(other.split(), wanted, strict=True):
            assert ours == name or (len(name) == 3 and pitch_class(ours) == pitch_class(name)), other


def essentials(text: str) -> tuple[set[int], int]:
    """A symbol's third and seventh, or what stands for them, as pitch classes; and its root."""
    root, kind, _ = symbol(text)
    at = pitch_class(root)
    # Of an altered dominant mir_eval knows no label; its guide tones are the dominant's.
    whole = above_root("7" if plain(kind) == "7alt" else kind)
    third = [each for each in (4, 3, 5) if each in whole][:1]
    seventh = [each for each in (11, 10, 9) if each in whole][:1]
    return {(at + each) % 12 for each in third + seventh}, at


DEGREES = {"1": "P1", "b2": "m2", "2": "M2", "b3": "m3", "3": "M3", "4": "P4", "#4": "a4", "b5": "d5", "5": "P5",
           "#5": "a5", "6": "M6", "bb7": "d7", "b7": "m7", "7": "M7", "11": "P11"} | TENSIONS


def played(chord: dict) -> None:
    """The example has third and seventh of the symbol, and is the degrees of the form from low to high."""
    own, root = essentials(chord["symbol"])
    keys = chord["example"]
    assert own <= {each % 12 for each in keys}, f"{chord['symbol']}: {keys} lacks a guide tone"
    degrees = [*chord.get("left", []), *chord.get("right", [])]
    if degrees:
        wanted = [(root + semitones(DEGREES[plain(each)])) % 12 for each in degrees]
        assert [each % 12 for each in keys] == wanted, f"{chord['symbol']}: {keys} is not {degrees}"
    for other in chord.get("other_orders", []):
        shape = [*other["left"], *other["right"]]
        assert shape != degrees, f"{chord['symbol']}: {shape} is asked and is another order"


def voicing(item: dict, *_: dict) -> None:
    played(item)


def run(item: dict, *_: dict) -> None:
    for chord in item["chord"]:
        played(chord)


KINDS_OF_ITEM = {"ear": ear, "spell": spell, "voicing": voicing, "run": run}


def forms(program: Path, exam: Path, chance: Random, seats: int):
    """Forms of an exam, one after another."""
    while True:
        code = form_code(chance.randrange(31**4), chance.randint(1, seats))
        done = subprocess.run([program, "form", exam, "--form", code, "--key", "--json"], capture_output=True,
                              text=True, check=True)
        yield code, json.loads(done.stdout)


def main() -> int:
    """Look at so many items, the exams in turn."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--items", type=int, default=2000, help="items with options, spelled or played, in all")
    parser.add_argument("--program", type=Path, default=newest_program())
    given = parser.parse_args()
    exams = [*sorted((ROOT / "exams").glob("*.toml")), ROOT / "tests/fixtures/scripts/ears.toml"]
    rows = []
    for path in exams:
        script = tomllib.loads(path.read_text(encoding="utf-8"))
        seats = script.get("rules", {}).get("seats", 4)
        rows.append((path, script, forms(given.program, path, Random(f"keyed {path.stem}"), seats)))
    looked: Counter[str] = Counter()
    failed = 0
    while looked.total() < given.items:
        for path, script, drawn in rows:
            code, form = next(drawn)
            sections = {each["id"]: each for each in script["section"]}
            for item in [*form["item"], *form.get("reserve", [])]:
                check = KINDS_OF_ITEM.get(item["kind"])
                if check is None:
                    continue
                section = sections[item["section"]]
                what = " and ".join(asks(section)) if item["kind"] == "ear" else item["kind"]
                looked[what] += 1
                try:
                    check(item, section, script)
                except (AssertionError, KeyError, ValueError) as fault:
                    failed += 1
                    if failed <= SHOWN:
                        print(f"{path.stem} {code} item {item['number']}: {type(fault).__name__}: {fault}")
    for what, count in sorted(looked.items()):
        print(f"{what}: {count}")
    print(f"{looked.total() - failed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
