"""Plays a form as candidate 3118 would, an invented student, and writes it as a MIDI file.

The student goes round the cycle of fourths with ease, is unsure of chords on A flat, D flat and
G flat when they come cold, takes m7 for m7b5, and likes sharps too much. Faults are placed by what
an item asks, never by its number, so any form of the exam will do.

    viva-voicing form exams/guide-tones.toml --key | python3 exams/demo/make.py exams/demo/first-sitting.mid
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import mido

Item = dict[str, Any]
Keys = list[int]

CLASSES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
WEAK = (8, 1, 6)
SHARPS = {"Gb": "F#", "Db": "C#", "Ab": "G#", "Eb": "D#", "Bb": "A#", "Cb": "B", "Fb": "E"}


class Event(NamedTuple):
    """Something in the file, in milliseconds since the item's prompt; texts go before keys."""

    at: int
    message: mido.Message | mido.MetaMessage


class Student:
    """Candidate 3118: fingers, and the chances that decide when they fall."""

    def __init__(self) -> None:
        self.chance = Random(3118)
        self.events: list[Event] = []

    def between(self, low: int, high: int) -> int:
        """A number of milliseconds. Only `random` is used: its stream is the same in every version."""
        return low + int(self.chance.random() * (high - low))

    def strike(self, at: int, key: int, velocity: int) -> None:
        """One key goes down."""
        self.events.append(Event(at, mido.Message("note_on", note=key, velocity=velocity)))

    def lift(self, at: int, keys: Keys) -> None:
        """Keys come up, nearly together."""
        for key in keys:
            up = mido.Message("note_off", note=key, velocity=64)
            self.events.append(Event(at + self.between(0, 40), up))

    def press(self, at: int, keys: Keys) -> None:
        """A chord goes down; its last key at `at`, so that `at` is its onset."""
        spread = [0, *(self.between(2, 30) for _ in keys[1:])]
        for place, key in enumerate(keys):
            self.strike(at - spread[-1 - place], key, self.between(48, 74))

    def chord(self, at: int, keys: Keys, hold: int = 900) -> int:
        """A chord, held and let go; returns when an exam would close the item."""
        self.press(at, keys)
        self.lift(at + hold, keys)
        return at + min(hold + 50, 600) + 1500

    def say(self, at: int, text: str) -> None:
        """A text event."""
        self.events.append(Event(at, mido.MetaMessage("text", text=text)))


def root(symbol: str) -> int:
    """The pitch class of a symbol's root."""
    return (CLASSES[symbol[0]] + {"b": -1, "#": 1}.get(symbol[1:2], 0)) % 12


def place(item: Item, number: str) -> int:
    """Where a degree lies among the keys, by its number without accidental."""
    degrees = [degree.strip("b#") for degree in item["left"] + item["right"]]
    return degrees.index(number)


def altered(keys: Keys, at: int, step: int) -> Keys:
    """The chord with one key moved; the other way where that key is taken."""
    moved = keys[at] + (step if keys[at] + step not in keys else -step)
    return sorted([*keys[:at], moved, *keys[at + 1 :]])


def foreign(keys: Keys) -> int:
    """A key near the right hand whose pitch class the chord does not have."""
    classes = {key % 12 for key in keys}
    return next(key for key in range(keys[-1] + 1, 128) if key % 12 not in classes)


def turned(keys: Keys) -> Keys:
    """Third and seventh in the other order, as near as may be."""
    low, high = keys[-2:]
    return [*keys[:-2], *((high - 12, low) if high - 12 > keys[-3] else (high, low + 12))]


# Ways to play a voicing: each returns when the item closes. T is six seconds.


def at_once(student: Student, item: Item) -> int:
    """Right, in good time."""
    return student.chord(student.between(2300, 4600), item["example"])


def late(student: Student, item: Item) -> int:
    """Right, a little late."""
    return student.chord(student.between(6900, 8400), item["example"])


def very_late(student: Student, item: Item) -> int:
    """Right, more than half the time late."""
    return student.chord(student.between(9400, 10000), item["example"])


def walked(student: Student, item: Item) -> int:
    """Through the chord that comes before it in the cycle of fourths."""
    student.chord(2600, [key - 5 for key in item["example"]], hold=700)
    return student.chord(4300, item["example"])


def corrected(student: Student, item: Item) -> int:
    """A wrong chord let go, then the right one: the second attempt closes the item."""
    wrong = altered(item["example"], place(item, "3"), -1)
    student.chord(2700, wrong, hold=800)
    return student.chord(4500, item["example"])


def wrong_seventh(student: Student, item: Item) -> int:
    """The seventh a semitone off: another chord."""
    step = 1 if "b7" in item["left"] + item["right"] else -1
    return student.chord(4200, altered(item["example"], place(item, "7"), step))


def wrong_fifth(student: Student, item: Item) -> int:
    """The fifth a semitone off."""
    return student.chord(4700, altered(item["example"], place(item, "5"), -1))


def other_order(student: Student, item: Item) -> int:
    """The right notes, with the other guide tone on top."""
    return student.chord(3900, turned(item["example"]))


def too_low(student: Student, item: Item) -> int:
    """The right voicing, an octave too low."""
    return student.chord(3600, [key - 12 for key in item["example"]])


def doubled(student: Student, item: Item) -> int:
    """The right notes, with the root doubled."""
    keys = item["example"]
    return student.chord(3500, sorted({*keys, keys[0] + 12}))


def one_slip(student: Student, item: Item) -> int:
    """A foreign key first, then the right chord."""
    slip = foreign(item["example"])
    student.strike(2900, slip, 55)
    student.lift(3150, [slip])
    return student.chord(3900, item["example"])


def two_slips(student: Student, item: Item) -> int:
    """Two foreign keys first."""
    slip = foreign(item["example"])
    student.strike(2400, slip, 50)
    student.lift(2600, [slip])
    student.strike(2850, slip, 52)
    student.lift(3050, [slip])
    return student.chord(3800, item["example"])


def grazed(student: Student, item: Item) -> int:
    """Right, with a key touched so softly and shortly that it does not count."""
    touched = foreign(item["example"])
    student.strike(3180, touched, 9)
    student.events.append(Event(3225, mido.Message("note_off", note=touched, velocity=30)))
    return student.chord(3200, item["example"])


Habit = Callable[[Student, Item], int]


def anything(_: Item) -> bool:
    """Any item will do."""
    return True


def is_weak(item: Item) -> bool:
    """A root that the student is unsure of."""
    return root(item["symbol"]) in WEAK


def is_seventh(item: Item) -> bool:
    """A chord whose seventh, a semitone higher, is no chord tone."""
    return is_weak(item) and "b7" in item["left"] + item["right"]


def is_low(item: Item) -> bool:
    """A voicing that an octave lower lies outside the register."""
    return not is_weak(item) and item["example"][0] - 12 < 34


def is_known(item: Item) -> bool:
    """A root that the student knows."""
    return not is_weak(item)


FAULTS: list[tuple[Habit, Callable[[Item], bool]]] = [
    (wrong_seventh, is_seventh),
    (walked, is_weak),
    (wrong_fifth, is_weak),
    (corrected, is_weak),
    (late, is_weak),
    (very_late, is_weak),
    (too_low, is_low),
    (other_order, is_known),
    (doubled, is_known),
    (one_slip, is_known),
    (two_slips, is_known),
    (grazed, is_known),
]


def deal(items: list[Item]) -> dict[int, Habit]:
    """Which fault goes to which item: one that suits it, with a neighbour free of faults if can be."""
    dealt: dict[int, Habit] = {}
    for fault, suits in FAULTS:
        free = [item for item in items if item["number"] not in dealt]
        apart = [item for item in free if not {item["number"] - 1, item["number"] + 1} & dealt.keys()]
        for choice in (apart, free):
            fit = [item for item in choice if suits(item)] or ([] if choice is apart else choice)
            if fit:
                dealt[fit[len(fit) // 2]["number"]] = fault
                break
    return dealt


def free_run(student: Student, item: Item) -> int:
    """Chord after chord, without hurry; one only comes right at the second go."""
    at = int(item["look_ms"]) + 1900
    for number, chord in enumerate(item["chord"]):
        keys = chord["example"]
        if number == 7:
            student.chord(at, altered(keys, 3, -1), hold=700)
            at += 1500
        student.chord(at, keys, hold=1100)
        at += student.between(1900, 2700)
    return at - 1000


def tempo_run(student: Student, item: Item, fault: str) -> int:
    """Chords on their beats, a little unsteady, with one or two faults."""
    beats = [round(float(chord["at_ms"])) for chord in item["chord"]] + [round(float(item["end_ms"]))]
    last = len(item["chord"]) - 1
    for number, chord in enumerate(item["chord"]):
        keys, at = chord["example"], beats[number] + student.between(-60, 75)
        hold = beats[number + 1] - beats[number] - student.between(250, 400)
        if fault == "routine" and number == 5:
            at, hold = at + 520, hold - 520
        if fault == "routine" and number == 9:
            continue
        if fault == "order" and number == last - 1:
            keys = turned(keys)
        if fault == "seventh" and number == last:
            keys = altered(keys, place(chord, "7"), -1)
        if fault == "missing" and number == last - 1:
            keys = keys[:1] + keys[2:]
        if fault == "added" and number == 0:
            keys = sorted([*keys, foreign(keys)])
        student.chord(at, keys, hold)
    return beats[-1]


# What the student hears: quality sounded, quality answered. None: no answer.
MISHEARD: list[tuple[str, str | None]] = [
    ("m7b5", "m7"),
    ("m7", "m7b5"),
    ("m7b5", "dim7"),
    ("m7b5", "m7"),
    ("maj7", "7"),
    ("dim7", None),
]


def mishear(items: list[Item]) -> dict[int, str | None]:
    """Which ear items are taken for what."""
    wrong: dict[int, str | None] = {}
    for sounded, answered in MISHEARD:
        fit = [item for item in items if sounded in item["answers"] and item["number"] not in wrong]
        if fit:
            wrong[fit[len(fit) // 2]["number"]] = answered
    return wrong


def listen(student: Student, item: Item, wrong: dict[int, str | None], count: int) -> int:
    """An answer after the hearing; now and then another hearing, or another answer first."""
    sound = round(float(item["sound_ms"]))
    number, at = item["number"], sound + student.between(1800, 4200)
    answer = wrong.get(number, item["answers"][0])
    if answer is None:
        return sound + round(float(item["seconds"]) * 1000)
    if count % 6 == 4:
        student.say(at, "hear")
        at += sound + student.between(1500, 2500)
    if count % 9 == 2:
        options = [option for option in item["options"] if option != answer]
        student.say(at, f"answer {options[count % len(options)]}")
        at += student.between(1200, 2000)
    student.say(at, f"answer {answer}")
    return at


def has_flat_seventh(item: Item) -> bool:
    """G flat stands above the root."""
    return "Gb" in item["answers"][0].split()[1:]


def has_flat(item: Item) -> bool:
    """Some flat stands above the root."""
    return any(name in SHARPS for name in item["answers"][0].split()[1:])


def misspell(items: list[Item]) -> dict[int, str]:
    """Sharps for flats once, a natural for a flat once, and once a note short."""
    wrong: dict[int, str] = {}

    def take(suits: Callable[[Item], bool]) -> tuple[int, list[str]]:
        free = [item for item in items if item["number"] not in wrong]
        item = next((item for item in free if suits(item)), free[0])
        return item["number"], item["answers"][0].split()

    suits = has_flat_seventh if any(map(has_flat_seventh, items)) else has_flat
    number, names = take(suits)
    flat = "Gb" if "Gb" in names[1:] else next((name for name in names[1:] if name in SHARPS), "")
    wrong[number] = " ".join([names[0], *(SHARPS[name] if name == flat else name for name in names[1:])])
    number, names = take(has_flat)
    flat = next((name for name in names[1:] if name in SHARPS), names[-1])
    wrong[number] = " ".join([names[0], *(name[0] if name == flat else name for name in names[1:])])
    number, names = take(anything)
    wrong[number] = " ".join(names[:-1])
    return wrong


def spell(student: Student, item: Item, wrong: dict[int, str], count: int) -> int:
    """The notes, written down; once changed at the last moment."""
    at = student.between(7000, 14000)
    answer = wrong.get(item["number"], item["answers"][0])
    if count == 2:
        student.say(at - 3000, "answer " + " ".join(answer.split()[:-1]))
    student.say(at, f"answer {answer}")
    return at


def perform(form: dict[str, Any]) -> list[Event]:
    """The whole sitting, in milliseconds since the start of the file."""
    student = Student()
    items: list[Item] = form["item"]
    habits = deal([item for item in items if item["kind"] == "voicing"])
    wrong = mishear([item for item in items if item["kind"] == "ear"])
    misspelt = misspell([item for item in items if item["kind"] == "spell"])
    faults = iter(("routine", "order", "missing", "added", "seventh"))
    out: list[Event] = [Event(0, mido.MetaMessage("text", text=f"form {form['form']}"))]
    now, section, count = 4000, "", 0
    for item in items:
        if item["section"] != section:
            # The section's first page is read.
            section, count, now = item["section"], 0, now + 6000
        if item["kind"] == "voicing":
            closes = habits.get(item["number"], at_once)(student, item)
        elif item["kind"] == "run" and "beat_ms" in item:
            closes = tempo_run(student, item, next(faults, ""))
        elif item["kind"] == "run":
            closes = free_run(student, item)
        elif item["kind"] == "ear":
            closes = listen(student, item, wrong, count)
        elif item["kind"] == "spell":
            closes = spell(student, item, misspelt, count)
        else:
            continue
        out.append(Event(now, mido.MetaMessage("marker", text=f"item {item['number']}")))
        out += [Event(now + event.at, event.message) for event in student.events]
        last = max((event.at for event in student.events), default=0)
        student.events.clear()
        now += max(closes, last) + 2100
        count += 1
    return out


def write(events: list[Event], path: Path) -> None:
    """A file of two tracks, words and hands; a tick is a millisecond."""
    file = mido.MidiFile(type=1, ticks_per_beat=500)
    words, hands = mido.MidiTrack(), mido.MidiTrack()
    file.tracks += [words, hands]
    words.append(mido.MetaMessage("set_tempo", tempo=500_000))
    for track, is_word in ((words, True), (hands, False)):
        now = 0
        chosen = [event for event in events if isinstance(event.message, mido.MetaMessage) == is_word]
        for event in sorted(chosen, key=lambda event: event.at):
            track.append(event.message.copy(time=event.at - now))
            now = event.at
    file.save(path)


def main() -> None:
    """Reads a form with its key from standard input."""
    if len(sys.argv) != 2:
        sys.exit("usage: make.py OUT.mid < FORM.toml")
    write(perform(tomllib.loads(sys.stdin.read())), Path(sys.argv[1]))


if __name__ == "__main__":
    main()
