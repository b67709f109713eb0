"""Performances as Standard MIDI Files, cut into one window an item."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import floor
from pathlib import Path
from typing import NamedTuple

import mido

DROP_FRAME_RATE = Fraction(30000, 1001)
DEFAULT_TEMPO = 500_000


class Event(NamedTuple):
    """Something that happened; times are tenths of a millisecond.

    `kind` is `on`, `off`, `pedal`, `mark` or `text`; `value` is a key or a
    pedal position; `velocity` belongs to `on`. `place` tells events of a
    numbered window apart that happened at the same time.
    """

    time: int
    kind: str
    value: int = 0
    velocity: int = 0
    text: str = ""
    place: int = -1


class Note(NamedTuple):
    """One strike of a key; `off` is missing where no release was seen."""

    on: int
    off: int | None
    key: int
    velocity: int
    place: int = -1

    def down_at(self, time: int) -> bool:
        """Whether the key is down after what happens at this time."""
        return self.on <= time and (self.off is None or self.off > time)


@dataclass
class Window:
    """What happened from one prompt to the next, timed from the prompt."""

    down: frozenset[int] = frozenset()
    ringing: frozenset[int] = frozenset()
    pedal: bool = False
    events: list[Event] = field(default_factory=list)
    end: int | Fraction | None = None

    def numbered(self) -> Window:
        """The window with its events numbered."""
        events = [event._replace(place=place) for place, event in enumerate(self.events)]
        return replace(self, events=events)

    def notes(self) -> list[Note]:
        """Every strike with its release, in order; a new strike ends the old one."""
        notes: list[Note] = []
        open_at: dict[int, int] = {}
        for event in self.events:
            if event.kind in ("on", "off") and event.value in open_at:
                index = open_at.pop(event.value)
                notes[index] = notes[index]._replace(off=event.time)
            if event.kind == "on":
                open_at[event.value] = len(notes)
                notes.append(Note(event.time, None, event.value, event.velocity, event.place))
        return notes

    def sustained(self) -> Window:
        """The window with keys held until the pedal lets go of them."""
        events: list[Event] = []
        ringing, pedal = set(self.ringing), self.pedal
        for event in self.events:
            if event.kind == "pedal":
                pedal = event.value >= 64
                if not pedal:
                    events += [Event(event.time, "off", key) for key in sorted(ringing)]
                    ringing.clear()
            if event.kind == "off" and pedal:
                ringing.add(event.value)
                continue
            if event.kind == "on":
                ringing.discard(event.value)
            events.append(event)
        return Window(self.down | self.ringing, frozenset(), self.pedal, events, self.end)


def read_events(path: Path, transpose: int = 0) -> list[Event]:
    """All events of a file in the order of time, then of the file."""
    file = mido.MidiFile(str(path), charset="utf-8")
    timed: list[tuple[int, mido.Message]] = []
    for track in file.tracks:
        tick = 0
        for message in track:
            tick += message.time
            timed.append((tick, message))
    timed.sort(key=lambda pair: pair[0])
    return _translated(timed, file.ticks_per_beat, transpose)


def _translated(timed: list[tuple[int, mido.Message]], division: int, transpose: int) -> list[Event]:
    events: list[Event] = []
    per_tick = _milliseconds_per_tick(division, DEFAULT_TEMPO)
    now, last = Fraction(0), 0
    for tick, message in timed:
        now += (tick - last) * per_tick
        last = tick
        if message.type == "set_tempo":
            per_tick = _milliseconds_per_tick(division, message.tempo)
        event = _event(floor(now * 10 + Fraction(1, 2)), message, transpose)
        if event is not None:
            events.append(event)
    return events


def _milliseconds_per_tick(division: int, tempo: int) -> Fraction:
    if division > 0:
        return Fraction(tempo, 1000 * division)
    frames, ticks = 256 - ((division >> 8) & 0xFF), division & 0xFF
    rate = DROP_FRAME_RATE if frames == 29 else Fraction(frames)
    return 1000 / (rate * ticks)


def _event(time: int, message: mido.Message, transpose: int) -> Event | None:
    if message.type == "note_on" and message.velocity > 0:
        return Event(time, "on", message.note + transpose, message.velocity)
    if message.type in ("note_on", "note_off"):
        return Event(time, "off", message.note + transpose)
    if message.type == "control_change" and message.control == 64:
        return Event(time, "pedal", message.value)
    if message.type == "marker":
        return Event(time, "mark", text=message.text.strip())
    if message.type == "text":
        return Event(time, "text", text=message.text.strip())
    return None


def windows(events: Iterable[Event]) -> dict[int, Window]:
    """One window an item number; a prompt that appears again starts afresh."""
    found: dict[int, Window] = {}
    window, prompt = None, 0
    down: set[int] = set()
    ringing: set[int] = set()
    pedal = False
    for event in events:
        number = re.fullmatch(r"item (\d+)", event.text) if event.kind == "mark" else None
        if number is not None:
            if window is not None:
                window.end = event.time - prompt
            window, prompt = Window(frozenset(down), frozenset(ringing), pedal), event.time
            found[int(number.group(1))] = window
            continue
        if window is not None:
            window.events.append(event._replace(time=event.time - prompt))
        pedal = event.value >= 64 if event.kind == "pedal" else pedal
        _follow(event, down, ringing, pedal)
    return found


def _follow(event: Event, down: set[int], ringing: set[int], pedal: bool) -> None:
    if event.kind == "on":
        down.add(event.value)
        ringing.discard(event.value)
    elif event.kind == "off" and event.value in down:
        down.remove(event.value)
        if pedal:
            ringing.add(event.value)
    elif event.kind == "pedal" and not pedal:
        ringing.clear()
