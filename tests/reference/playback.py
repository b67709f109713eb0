"""Items that are played back: what of the asked steps is in the try that counts."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from answers import AnswerMark, Clock
from forms import Item
from limits import Limits, tenths
from performance import Window

SILENCE_MS = 1000
"""So long with no key down, and the next key begins another try."""

Steps = list[set[int]]


@dataclass
class BackMark(AnswerMark):
    """The credit of a try, and its steps."""

    steps: Steps = field(default_factory=list)


@dataclass
class Taker:
    """Cuts strikes into steps and tries."""

    asked: int
    single: bool
    apart: int
    tries: list[Steps] = field(default_factory=list)
    down: set[int] = field(default_factory=set)
    last: int | None = None
    silent: int | None = None
    fresh: bool = True

    def strike(self, time: int, key: int) -> None:
        """A key goes down."""
        apart = self.single or self.last is None or time - self.last > self.apart
        waited = not self.down and self.silent is not None and time - self.silent >= tenths(SILENCE_MS)
        if self.fresh or waited or not self.tries or (apart and len(self.tries[-1]) >= self.asked):
            self.tries.append([{key}])
        elif apart:
            self.tries[-1].append({key})
        else:
            self.tries[-1][-1].add(key)
        self.fresh, self.last, self.silent = False, time, None
        self.down.add(key)

    def release(self, time: int, key: int) -> None:
        """A key comes up."""
        if self.down == {key}:
            self.silent = time
        self.down.discard(key)

    def withdraw(self) -> None:
        """All that was played is taken back."""
        self.tries, self.fresh = [], True


def mark_played(item: Item, window: Window, limits: Limits) -> BackMark:
    """Mark what was played back."""
    asked = item.steps or ()
    limit = item.seconds * 10_000 * limits.factor
    clock = Clock(item.sound_ms * 10)
    taker = Taker(len(asked), all(len(step) == 1 for step in asked), tenths(limits.cluster_ms))
    mark = BackMark(hearings=1)
    for event in window.events:
        if clock.at(event.time) > limit:
            break
        if event.kind == "on" and event.time >= clock.silent_from:
            taker.strike(event.time, event.value)
        elif event.kind == "off":
            taker.release(event.time, event.value)
        elif event.kind == "text" and event.text == "hear":
            allowed = item.hearings is None or mark.hearings < item.hearings
            mark.hearings += 1 if allowed and clock.hear(event.time) else 0
        elif event.kind == "text" and re.fullmatch(r"answer\s*", event.text):
            taker.withdraw()
    whole = [steps for steps in taker.tries if len(steps) >= len(asked)]
    mark.steps = (whole or taker.tries or [[]])[-1]
    mark.credit = share(asked, mark.steps)
    return mark


def share(asked: tuple[tuple[int, ...], ...], played: Steps) -> Fraction:
    """The longest common subsequence at the best octave, over the longer of the two."""
    best = 0
    for octave in range(-10, 11):
        moved = [{key + 12 * octave for key in step} for step in asked]
        best = max(best, common(moved, played))
    return Fraction(best, max(len(asked), len(played), 1))


def common(one: Steps, other: Steps) -> int:
    """The length of the longest common subsequence."""
    table = [[0] * (len(other) + 1) for _ in range(len(one) + 1)]
    for row, mine in enumerate(one, 1):
        for column, theirs in enumerate(other, 1):
            if mine == theirs:
                table[row][column] = table[row - 1][column - 1] + 1
            else:
                table[row][column] = max(table[row - 1][column], table[row][column - 1])
    return table[-1][-1]
