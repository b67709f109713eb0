"""Whether a set of keys is an asked voicing."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations, pairwise
from typing import NamedTuple

from forms import Hands, Shape, Voicing
from limits import Limits
from theory import Symbol, degree_semitones

Keys = tuple[int, ...]


class Played(NamedTuple):
    """Keys that match, split between the hands as inferred from pitch."""

    left: Keys
    right: Keys


def classes_of(keys: Iterable[int]) -> frozenset[int]:
    """The pitch classes of some keys."""
    return frozenset(key % 12 for key in keys)


def match(keys: Iterable[int], voicing: Voicing, limits: Limits,
          register: bool = True) -> Played | None:
    """The keys by hand where they match any answer."""
    found = match_any(keys, voicing, limits, register)
    return None if found is None else found[0]


def match_any(keys: Iterable[int], voicing: Voicing, limits: Limits,
              register: bool = True) -> tuple[Played, Shape] | None:
    """The keys by hand where they match any answer, and the shape that they match."""
    for shape in voicing.shapes:
        played = match_shape(tuple(sorted(keys)), shape, voicing, limits, register)
        if played is not None:
            return played, shape
    return None


def match_shape(keys: Keys, shape: Shape, voicing: Voicing, limits: Limits,
                register: bool = True) -> Played | None:
    """The keys by hand where they match one shape."""
    surplus = len(keys) - len(shape.classes)
    if surplus < 0 or (surplus > 0 and not voicing.doubling):
        return None
    span = limits.span if voicing.span is None else voicing.span
    for aside in combinations(keys, surplus):
        kept = tuple(key for key in keys if key not in aside)
        played = _match_exactly(kept, shape, voicing, limits, register)
        if played is not None and _doubles_left(aside, played, span):
            return played
    return None


def _doubles_left(aside: Keys, played: Played, span: int) -> bool:
    """Whether each key doubles one of the left hand below it, within the reach of that hand."""
    if not aside:
        return True
    above = all(any(key > low and (key - low) % 12 == 0 for low in played.left) for key in aside)
    hand = played.left + aside
    return above and max(hand) - min(hand) <= span and max(aside) < min(played.right, default=128)


def _match_exactly(keys: Keys, shape: Shape, voicing: Voicing, limits: Limits,
                   register: bool) -> Played | None:
    if tuple(key % 12 for key in keys) != shape.classes:
        return None
    played = Played(keys[: len(shape.left)], keys[len(shape.left):])
    span = limits.span if voicing.span is None else voicing.span
    if not all(hand_holds(hand, voicing.open, span) for hand in played):
        return None
    if voicing.joined and played.left and played.right and played.right[0] - played.left[-1] > 12:
        return None
    return played if not register or _register_holds(played, shape) else None


def hand_holds(hand: Keys, is_open: bool, span: int) -> bool:
    """Whether one hand keeps to its span and, unless open, to close position."""
    if not hand:
        return True
    gaps = [above - below for below, above in pairwise(hand)]
    return hand[-1] - hand[0] <= span and (is_open or all(gap <= 12 for gap in gaps))


def _register_holds(played: Played, shape: Shape) -> bool:
    whole = played.left + played.right
    found = {"left_lowest": played.left[:1], "right_lowest": played.right[:1], "top": whole[-1:]}
    return all(low <= key <= high for name, (low, high) in shape.register for key in found[name])


def has_exact_classes(keys: Iterable[int], voicing: Voicing) -> bool:
    """Whether the keys sound exactly the pitch classes of an answer."""
    heard = classes_of(keys)
    return any(heard == frozenset(shape.classes) for shape in voicing.shapes)


def thirds_and_sevenths(voicing: Voicing) -> tuple[set[int], set[int]]:
    """The symbol's own third and seventh, and all others, as semitones above the root.

    Over a major third, or where the voicing names it, the minor third is a
    sharp nine and no third.
    """
    symbol = voicing.symbol
    own = {symbol.third} if symbol.seventh is None else {symbol.third, symbol.seventh}
    other = {3, 4, 10, 11} - own
    named = any("#9" in hands.degrees for hands in voicing.hands)
    if symbol.third == 4 or named:
        other.discard(3)
    return own, other


def has_guide_tones(keys: Iterable[int], voicing: Voicing) -> bool:
    """Whether the symbol's own third and seventh are there, and no other."""
    own, other = thirds_and_sevenths(voicing)
    heard = {(key - voicing.symbol.root) % 12 for key in keys}
    return own <= heard and not other & heard


def is_neighbour(keys: Iterable[int], voicing: Voicing, limits: Limits) -> bool:
    """Whether the keys are the same form, in any of its orders, a fourth up or down."""
    row = tuple(sorted(keys))
    return any(
        match_shape(row, shape.moved(step), voicing, limits, register=False) is not None
        for shape in voicing.same_form
        for step in (5, 7)
    )


def bass_of(hands: Hands, symbol: Symbol) -> int | None:
    """The pitch class that must lie lowest: the root, a slash bass, or a substitute's root."""
    degrees = hands.degrees
    if degrees[:1] == ("1",):
        return symbol.root
    if degrees and symbol.bass == (symbol.root + degree_semitones(degrees[0])) % 12:
        return symbol.bass
    if is_substitute(hands, symbol):
        return (symbol.root + 6) % 12
    return None


def is_substitute(hands: Hands, symbol: Symbol) -> bool:
    """Whether the left hand has root, or root and fifth, of the tritone substitute."""
    return symbol.third == 4 and symbol.seventh == 10 and hands.left in (("b5",), ("b5", "b9"))


def bass_is_right(keys: Iterable[int], voicing: Voicing) -> bool:
    """Whether the lowest key is the bass asked for, where there is one."""
    bass = bass_of(voicing.hands[0], voicing.symbol)
    return bass is None or min(keys) % 12 == bass


def is_partly_right(keys: Iterable[int], voicing: Voicing) -> bool:
    """The chord of level 1: only fifths or colour tones are amiss."""
    row = tuple(keys)
    root, symbol = voicing.symbol.root, voicing.symbol
    if not row or not has_guide_tones(row, voicing):
        return False
    kept = {0, symbol.third, symbol.seventh}
    for hands in voicing.hands:
        asked = {degree_semitones(degree) for degree in hands.degrees}
        heard = {(key - root) % 12 for key in row}
        bass = bass_of(hands, symbol)
        if bass is not None and min(row) % 12 != bass or 0 in asked - heard:
            continue
        if (asked ^ heard) - kept:
            return True
    return False
