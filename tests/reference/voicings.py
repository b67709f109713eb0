"""The level of a single voicing."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from capture import Asked, Attempt, Captured, capture
from forms import Item, Voicing
from limits import Limits, tenths
from matching import has_exact_classes, is_neighbour, is_partly_right, match
from performance import Window

CREDIT = {level: Fraction(level, 4) for level in range(5)}


@dataclass
class VoicingMark:
    """The level of an item with the facts beside it."""

    level: int = 0
    walked: bool = False
    levels: list[int] = field(default_factory=list)
    captured: Captured = field(default_factory=Captured)

    @property
    def credit(self) -> Fraction:
        """The credit of the level."""
        return CREDIT[self.level]


def asked_of(voicing: Voicing, limits: Limits) -> Asked:
    """What capture must know of a voicing."""
    sizes = frozenset(len(shape.classes) for shape in voicing.shapes)
    return Asked(lambda keys: match(keys, voicing, limits) is not None, voicing.classes, sizes)


def time_limit(item: Item, limits: Limits) -> Fraction:
    """T in tenths of a millisecond."""
    return item.seconds * 1000 * 10 * limits.factor


def closing_time(item: Item, window: Window, limits: Limits) -> Fraction:
    """When an item closes at the latest."""
    grace = limits.grace if item.grace is None else item.grace
    latest = grace * time_limit(item, limits)
    return latest if window.end is None else min(latest, Fraction(window.end))


def mark_voicing(item: Item, window: Window, limits: Limits) -> VoicingMark:
    """Mark one single voicing."""
    assert item.voicing is not None
    voicing, limit = item.voicing, time_limit(item, limits)
    closes = closing_time(item, window, limits)
    captured = capture(window, asked_of(voicing, limits), limits, closes, item.pedal)
    mark = VoicingMark(captured=captured)
    for index, attempt in enumerate(captured.attempts):
        walked = was_walked(index, captured, voicing, limits)
        level = level_of(attempt, index, voicing, limit, limits)
        mark.walked |= walked
        mark.levels.append(min(level, 2) if walked else level)
    mark.level = max(mark.levels, default=0)
    return mark


def level_of(attempt: Attempt, earlier: int, voicing: Voicing, limit: Fraction,
             limits: Limits) -> int:
    """The level of one attempt after so many earlier ones, walking set aside."""
    onset = attempt.onset
    if match(attempt.keys, voicing, limits) is not None and onset <= 2 * limit:
        clean = earlier == 0 and attempt.foreign_before == 0
        if clean and onset <= limit:
            return 4
        forgiven = earlier == 1 or (earlier == 0 and attempt.foreign_before in (1, 2))
        if (forgiven and onset <= limit) or (clean and 2 * onset <= 3 * limit):
            return 3
        return 2
    if 2 * onset > 3 * limit:
        return 0
    if has_exact_classes(attempt.keys, voicing):
        return 2
    return 1 if is_partly_right(attempt.keys, voicing) else 0


def was_walked(index: int, captured: Captured, voicing: Voicing, limits: Limits) -> bool:
    """Whether the same form on a neighbour came before an attempt."""
    attempt = captured.attempts[index]
    before = [frozenset(each.keys) for each in captured.attempts[:index]]
    before += [
        past.keys
        for past in captured.history
        if past.end <= attempt.offered and past.end - past.start >= tenths(limits.walked_ms)
    ]
    return any(
        is_neighbour(keys, voicing, limits) and match(keys, voicing, limits) is None
        for keys in before
        if keys != frozenset(attempt.keys)
    )
