"""Invented performances of a form, as Standard MIDI Files.

    python perform.py FORM_WITH_KEY.toml OUT.mid --seed 7
        [--perfect | --edges] [--format 0|1] [--division ppq|even|smpte] [--factor 1.5]

The same seed gives the same file. In the usual mixture no event stands
within 3 ms of a threshold; with `--edges` many stand 1 ms beside one, and
the division must then be `even` or `smpte`, whose ticks are 1 ms. With a time
factor everything is played in as much more time.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from random import Random

import mido

from edges import Marksman
from forms import Form, Item, read_form
from limits import Limits
from performance import Event, Window
from runs import mark_run
from spacing import Edges, in_order, is_near, spaced
from student import Perfect, Student
from voicings import mark_voicing

GAP = 20_000
BREATH = 2_000
START = 10_000
STUDENTS: dict[str, type[Student]] = {"typical": Student, "perfect": Perfect, "edges": Marksman}
TEMPI = (500_000, 413_793, 652_174, 480_000, 731_707)
"""Microseconds a quarter note: about 120, 145, 92, 125 and 82 a minute."""


@dataclass(frozen=True)
class Manner:
    """How a performance is made and written."""

    seed: int = 1
    temperament: str = "typical"
    kind: int = 1
    division: str = "ppq"
    factor: Fraction = Fraction(1)
    lag_ms: int = 0


def edges_of(item: Item, limits: Limits) -> Edges:
    """The thresholds that an item's events must keep away from."""
    limit = item.seconds * 10_000
    gaps = tuple(ms * 10 for ms in (limits.graze_ms, limits.linger_ms, limits.cluster_ms))
    lingers = (limits.linger_ms * 10,)
    if item.kind == "voicing":
        grace = limits.grace if item.grace is None else item.grace
        shares = tuple(round(share * limit) for share in (1, Fraction(3, 2), 2, grace))
        gather, settle, closing = (ms * 10 for ms in (limits.gather_ms, limits.settle_ms, limits.closing_ms))
        near = (gather, limits.regather_ms * 10, limits.walked_ms * 10, limits.graze_ms * 10, settle)
        return Edges(shares, near, (closing, closing + gather, closing + settle))
    if item.in_tempo:
        assert item.beat_ms is not None and item.end_ms is not None
        early = min(Fraction(limits.early_ms), item.beat_ms / 2)
        beats = [chord.at_ms for chord in item.chords if chord.at_ms is not None]
        moments = [beat + side for beat in beats for side in (-early, early)] + [item.end_ms - early]
        return Edges(tuple(round(each * 10) for each in moments), gaps, (), lingers)
    chord, look = round((item.chord_seconds or 0) * 10_000), round(item.look_ms * 10)
    multiples = tuple(chord * count for count in range(1, len(item.chords) + 1))
    ends = (look, round(limit), *(look + each for each in multiples))
    return Edges(ends, gaps, multiples[:3], lingers)


def window_of(events: list[Event]) -> Window:
    """A window with nothing before it."""
    return Window(events=list(events))


def steady(item: Item, events: list[Event], limits: Limits) -> bool:
    """Whether no measure of a run is near one of its steps."""
    mark = mark_run(item, window_of(events), limits)
    measures = ((mark.deviation, limits.time_percents), (mark.readiness, limits.readiness_percents))
    near = Fraction(3, 10)
    return not any(value is not None and any(abs(100 * value - step) < near for step in steps)
                   for value, steps in measures)


def played(student: Student, item: Item, temperament: str, limits: Limits) -> list[Event]:
    """What a student does in one item, clear of thresholds unless aiming at them."""
    if item.kind in ("ear", "spell"):
        return in_order(student.answer(item))
    for _ in range(200):
        events = student.voicing(item) if item.kind == "voicing" else student.run(item)
        events = in_order([event for event in events if event.time >= 0])
        if temperament != "typical":
            return events
        clear = spaced(events, edges_of(item, limits))
        if clear is not None and (item.kind == "voicing" or steady(item, clear, limits)):
            return clear
    raise RuntimeError(f"item {item.number}: expected events clear of thresholds, found none in 200 draws")


def closing(item: Item, events: list[Event], limits: Limits) -> int:
    """When an item is over, in tenths since its prompt."""
    if item.kind == "voicing":
        return round(mark_voicing(item, window_of(events), limits).captured.closed)
    if item.in_tempo:
        return round((item.end_ms or 0) * 10)
    if item.kind == "run":
        last = mark_run(item, window_of(events), limits).heard[-1]
        return round(item.seconds * 10_000) if last.completed is None else round(last.completed) + 2000
    again = sum(event.text == "hear" for event in events)
    return round(item.seconds * 10_000 + item.sound_ms * 10 * (1 + again))


def until_soon_after(events: list[Event], close: int) -> list[Event]:
    """The events without what would be struck long after an item has closed."""
    kept, dropped = [], set()
    for event in events:
        if event.kind == "on" and event.time > close + 5_000:
            dropped.add(event.value)
        elif event.kind != "off" or event.value not in dropped:
            kept.append(event)
    return kept


def cut_short(events: list[Event], close: int, chance: Random) -> int | None:
    """Now and then, when the next prompt appears before an item has closed."""
    for _ in range(20 if chance.random() < 0.06 and close > 20_000 else 0):
        cut = round(chance.uniform(0.2, 0.95) * close / 10) * 10
        away = (0, 800, 1500, 2000, 6000, 9000, 15_000, 15_800, 21_000)
        if not any(is_near(cut - event.time, away) for event in events):
            return cut
    return None


def down_after(events: list[Event]) -> set[int]:
    """The keys left down."""
    down: set[int] = set()
    for event in events:
        if event.kind == "on":
            down.add(event.value)
        elif event.kind == "off":
            down.discard(event.value)
    return down


def perform(form: Form, manner: Manner) -> list[Event]:
    """A whole sitting; times since the beginning of the file."""
    chance = Random(manner.seed)
    student = STUDENTS[manner.temperament](chance)
    limits = form.limits(Limits())
    whole: list[Event] = []
    prompt, kept = START, list[int]()
    for item in (each.slowed(manner.factor).late(manner.lag_ms) for each in form.items):
        if item.kind == "panel":
            continue
        events = played(student, item, manner.temperament, limits)
        close = closing(item, events, limits)
        events = until_soon_after(events, close)
        cut = cut_short(events, close, chance) if manner.temperament == "typical" else None
        if cut is not None:
            events = [event for event in events if event.time < cut]
        held_over = _held_over(kept, events, chance)
        kept = student.kept if item.kind == "voicing" and cut is None else []
        whole.append(Event(prompt, "mark", text=f"item {item.number}"))
        whole += [event._replace(time=event.time + prompt) for event in in_order(held_over + events)]
        last = max((event.time for event in events), default=0)
        if cut is not None:
            kept, prompt = sorted(down_after(events)), prompt + cut
            continue
        prompt += max(close + GAP, last + BREATH)
    whole += [Event(prompt, "off", key) for key in kept]
    return in_order(whole)


def _held_over(kept: list[int], events: list[Event], chance: Random) -> list[Event]:
    """Releases of keys still down from the item before; a new strike may come first."""
    released = []
    for key in kept:
        time = round(chance.uniform(40, 900)) * 10
        strikes = [event.time for event in events if event.kind == "on" and event.value == key]
        struck = min(strikes, default=None)
        if struck is not None and time >= struck:
            if chance.random() < 0.3 or struck < 200:
                continue
            time = struck - 100
        released.append(Event(time, "off", key))
    return released


def tempo_map(manner: Manner, until: int) -> list[tuple[int, int]]:
    """Ticks and the tempo that begins there, in microseconds a quarter note."""
    if manner.division != "ppq":
        return [(0, 480_000)]
    chance = Random(manner.seed + 1)
    rows, tick, time = [], 0, 0.0
    while time < until + 100_000:
        tempo = chance.choice(TEMPI)
        rows.append((tick, tempo))
        quarters = chance.randint(6, 20)
        tick, time = tick + 480 * quarters, time + quarters * tempo / 100
    return rows


def to_ticks(events: list[Event], tempi: list[tuple[int, int]]) -> Iterable[tuple[int, Event]]:
    """Each event with its nearest tick, at 480 ticks a quarter note."""
    place, begin = 0, Fraction(0)
    for event in events:
        while place + 1 < len(tempi):
            length = (tempi[place + 1][0] - tempi[place][0]) * Fraction(tempi[place][1], 48_000)
            if event.time < begin + length:
                break
            place, begin = place + 1, begin + length
        yield tempi[place][0] + round((event.time - begin) / Fraction(tempi[place][1], 48_000)), event


def messages(event: Event, chance: Random) -> mido.Message | mido.MetaMessage:
    """An event as a message, in one of its equal forms."""
    if event.kind == "on":
        channel = 0 if event.value < 56 else 1
        return mido.Message("note_on", channel=channel, note=event.value, velocity=event.velocity)
    if event.kind == "off":
        channel = 0 if event.value < 56 else 1
        name = chance.choice(("note_on", "note_off"))
        velocity = 0 if name == "note_on" else 64
        return mido.Message(name, channel=channel, note=event.value, velocity=velocity)
    if event.kind == "pedal":
        return mido.Message("control_change", control=64, value=event.value)
    return mido.MetaMessage("marker" if event.kind == "mark" else "text", text=event.text)


def write(events: list[Event], path: Path, manner: Manner) -> None:
    """Write a Standard MIDI File."""
    chance = Random(manner.seed + 2)
    smpte = ((256 - 25) << 8 | 40) - 65_536
    file = mido.MidiFile(type=manner.kind, charset="utf-8",
                         ticks_per_beat=smpte if manner.division == "smpte" else 480)
    tempi = tempo_map(manner, events[-1].time)
    rows = list(to_ticks(events, tempi))
    words = [(tick, messages(event, chance)) for tick, event in rows if event.kind in ("mark", "text")]
    keys = [(tick, messages(event, chance)) for tick, event in rows if event.kind not in ("mark", "text")]
    if manner.division != "smpte":
        words += [(tick, mido.MetaMessage("set_tempo", tempo=tempo)) for tick, tempo in tempi]
    tracks = [words + keys] if manner.kind == 0 else [words, keys]
    for row in tracks:
        track, last = mido.MidiTrack(), 0
        for tick, message in sorted(row, key=lambda pair: pair[0]):
            track.append(message.copy(time=tick - last))
            last = tick
        file.tracks.append(track)
    file.save(str(path))


def main() -> None:
    """Make one performance."""
    parser = argparse.ArgumentParser(description="Make an invented performance of a form.")
    parser.add_argument("form", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--temperament", choices=sorted(STUDENTS), default="typical")
    parser.add_argument("--perfect", dest="temperament", action="store_const", const="perfect")
    parser.add_argument("--edges", dest="temperament", action="store_const", const="edges")
    parser.add_argument("--format", type=int, choices=(0, 1), default=1)
    parser.add_argument("--division", choices=("ppq", "even", "smpte"), default=None)
    parser.add_argument("--factor", type=Fraction, default=Fraction(1))
    given = parser.parse_args()
    division = given.division or ("even" if given.temperament == "edges" else "ppq")
    if given.temperament == "edges" and division == "ppq":
        parser.error("expected --division even or smpte with --edges, found ppq")
    manner = Manner(given.seed, given.temperament, given.format, division, given.factor)
    write(perform(read_form(given.form), manner), given.out, manner)


if __name__ == "__main__":
    main()
