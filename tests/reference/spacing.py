"""Keeps invented performances clear of every threshold.

Where two events stand so that a rule turns between them, an error of a
millisecond in a file's ticks could change a mark. The later one is moved.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from performance import Event

MARGIN = 35
"""Tenths to keep between an event and a threshold."""
ROUNDS = 400


@dataclass(frozen=True)
class Edges:
    """Where rules turn, in tenths: moments since the prompt, and distances of events."""

    moments: tuple[int, ...] = ()
    neighbours: tuple[int, ...] = (800, 2000, 6000)
    any_pair: tuple[int, ...] = (15000, 15800, 21000)
    releases: tuple[int, ...] = ()


def is_near(distance: int, edges: tuple[int, ...]) -> bool:
    """Whether a distance is nearly one of the edges."""
    return any(abs(distance - edge) < MARGIN for edge in edges)


def offenders(events: list[Event], edges: Edges) -> Iterator[int]:
    """The indices of events that stand on an edge."""
    timed = [(index, event) for index, event in enumerate(events) if event.kind in ("on", "off")]
    strikes = [(index, event) for index, event in timed if event.kind == "on"]
    loud = without_soft(timed)
    for row in (timed, strikes, loud, [each for each in loud if each[1].kind == "on"]):
        for (_, before), (index, after) in pairwise(row):
            if is_near(after.time - before.time, edges.neighbours):
                yield index
    for index, event in timed:
        if is_near(event.time, edges.moments):
            yield index
        wanted = edges.any_pair if event.kind == "on" else edges.releases
        for _, before in strikes if event.kind == "off" else timed:
            if before.time < event.time and is_near(event.time - before.time, wanted):
                yield index
    yield from _holds(timed)


def without_soft(timed: list[tuple[int, Event]]) -> list[tuple[int, Event]]:
    """The events without soft strikes, which may not count, and their releases."""
    kept, soft = [], set()
    for index, event in timed:
        if event.kind == "on" and event.velocity < 20:
            soft.add(event.value)
        elif event.kind == "off" and event.value in soft:
            soft.remove(event.value)
        else:
            kept.append((index, event))
    return kept


def _holds(timed: list[tuple[int, Event]]) -> Iterator[int]:
    down: dict[int, int] = {}
    for index, event in timed:
        if event.kind == "on":
            down[event.value] = event.time
        elif event.value in down and is_near(event.time - down.pop(event.value), (800,)):
            yield index


def in_order(events: list[Event]) -> list[Event]:
    """The events by time, otherwise as they were."""
    return sorted(events, key=lambda event: event.time)


def spaced(events: list[Event], edges: Edges) -> list[Event] | None:
    """The events with none on an edge, or nothing where moving them does not help."""
    events = in_order(events)
    for turn in range(ROUNDS):
        index = next(offenders(events, edges), None)
        if index is None:
            return events
        event = events[index]
        events[index] = event._replace(time=event.time + 2 * MARGIN + 10 * (turn % 3))
        events = in_order(events)
    return None
