"""Tests of the independent marker; each names the sentence of the rules that it checks.

Chord contents, where given, follow the agreement of public theory libraries
(music21 10.5.1, pychord 1.4.1, tonal 6.4.2). Facts of voice leading are
common practice, no source.
"""

from __future__ import annotations

import itertools
import tempfile
import tomllib
import unittest
from collections.abc import Iterable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any, ClassVar

import mido

from answers import mark_answer
from compare import agrees, compare
from forms import Item, form_from
from limits import Limits
from marker import as_toml, hundredths, mark_form
from matching import has_guide_tones, is_partly_right, match
from performance import Event, Window, read_events, windows
from playback import mark_played
from runs import RunMark, mark_run
from theory import parse_symbol
from voicings import VoicingMark, mark_voicing

FOLDER = Path(__file__).parent
Spec = tuple[float, str]

AB7 = {"symbol": "Ab7", "left": ["1", "5"], "right": ["3", "b7"]}
RIGHT = (44, 51, 60, 66)
"""A♭7: A♭ and E♭ left, C under G♭ right."""
WRONG = (44, 51, 60, 67)
"""The same with G for G♭: another chord."""
OTHER = (45, 52, 61, 68)
"""A chord far from A♭7."""


def item(**table: Any) -> Item:
    """An item from the table of a form."""
    whole = {"number": 1, "section": "s", "kind": "voicing", "seconds": 6, **table}
    return form_from({"item": [whole]}).items[0]


def window(*specs: Spec | Iterable[Spec], down: Iterable[int] = (), end: float | None = None) -> Window:
    """A window from rows such as `(100, "+60")`, `(300, "-60")`, `(9, "hear")`.

    `+60@12` is struck with velocity 12; `P127` moves the pedal.
    """
    rows: list[Spec] = []
    for spec in specs:
        single = isinstance(spec, tuple) and len(spec) == 2 and isinstance(spec[1], str)
        rows += [spec] if single else list(spec)  # type: ignore[list-item, arg-type]
    events = [event(time, text) for time, text in sorted(rows, key=lambda row: row[0])]
    cut = None if end is None else round(end * 10)
    return Window(frozenset(down), events=events, end=cut)


def event(time: float, text: str) -> Event:
    """One event of a window."""
    moment = round(time * 10)
    if text[0] == "+":
        key, _, velocity = text[1:].partition("@")
        return Event(moment, "on", int(key), int(velocity or 64))
    if text[0] == "-":
        return Event(moment, "off", int(text[1:]))
    if text[0] == "P":
        return Event(moment, "pedal", int(text[1:]))
    return Event(moment, "text", text=text)


def press(time: float, keys: Iterable[int]) -> list[Spec]:
    """Keys struck together."""
    return [(time, f"+{key}") for key in keys]


def lift(time: float, keys: Iterable[int]) -> list[Spec]:
    """Keys let go together."""
    return [(time, f"-{key}") for key in keys]


def chord(time: float, keys: Iterable[int], hold: float = 400) -> list[Spec]:
    """Keys struck and let go together."""
    row = list(keys)
    return press(time, row) + lift(time + hold, row)


def marked(*specs: Any, limits: Limits = Limits(), down: Iterable[int] = (),
           end: float | None = None, **table: Any) -> VoicingMark:
    """The mark of a single voicing, A♭7 unless told otherwise."""
    asked = item(**{**AB7, **table})
    return mark_voicing(asked, window(*specs, down=down, end=end), limits)


def attempts(mark: VoicingMark) -> list[tuple[tuple[int, ...], float, int]]:
    """Keys, onset in ms and rule of each attempt."""
    return [(each.keys, each.onset / 10, each.rule) for each in mark.captured.attempts]


class Events(unittest.TestCase):
    """Section 1."""

    def test_a_foreign_key_is_one_whose_pitch_class_is_not_in_the_voicing(self) -> None:
        mark = marked(chord(300, [56, 57], 100), chord(1000, RIGHT))
        self.assertEqual([key for _, key in mark.captured.foreign], [57])

    def test_a_graze_is_listed_never_counted(self) -> None:
        mark = marked((980, "+61@19"), (1055, "-61"), chord(1000, RIGHT))
        self.assertEqual((mark.level, len(mark.captured.grazes)), (4, 1))
        self.assertEqual(mark.captured.foreign, [])

    def test_a_graze_is_softer_than_20_and_shorter_than_80_ms(self) -> None:
        for strike, release, foreign in (("+61@19", 1059, 0), ("+61@20", 1059, 1), ("+61@19", 1060, 1)):
            mark = marked((980, strike), (release, "-61"), chord(1000, RIGHT, 2000))
            self.assertEqual(len(mark.captured.foreign), foreign, strike)

    def test_a_key_grazed_while_it_is_down_has_been_let_go_unseen(self) -> None:
        def touched(again: float) -> VoicingMark:
            return marked((800, "+61@19"), (again, "+61@19"), (again + 40, "-61"), chord(1200, RIGHT))

        self.assertEqual((touched(879).level, len(touched(879).captured.grazes)), (4, 2))
        self.assertEqual((touched(880).level, len(touched(880).captured.grazes)), (3, 1))

    def test_a_soft_key_still_undecided_at_the_end_is_a_graze(self) -> None:
        for end, foreign in ((1079, 0), (1080, 1)):
            mark = marked((1000, "+61@19"), (1500, "-61"), end=end)
            self.assertEqual(len(mark.captured.foreign), foreign, end)

    def test_a_graze_is_short_by_the_finger_whatever_the_pedal_does(self) -> None:
        play = [(900, "P127"), (950, "+61@19"), (1000, "-61"), *chord(1000, RIGHT), (2500, "P0")]
        self.assertEqual(marked(play, pedal=True).level, 4)

    def test_keys_down_at_the_prompt_do_not_count_until_they_are_struck_again(self) -> None:
        self.assertEqual(marked(chord(1000, RIGHT), down=[62, 70]).level, 4)
        self.assertEqual(marked(press(1000, RIGHT[1:]), (5000, "-51"), down=[44]).level, 0)
        self.assertEqual(marked((500, "-44"), press(1000, RIGHT), down=[44]).level, 4)

    def test_a_repeated_note_on_of_a_key_down_at_the_prompt_counts(self) -> None:
        self.assertEqual(marked(chord(1000, RIGHT), down=[44]).level, 4)

    def test_repeated_note_ons_and_lost_note_offs_do_not_break_capture(self) -> None:
        mark = marked(press(1000, RIGHT), (1030, "+60"), (1900, "-60"))
        self.assertEqual(attempts(mark), [(RIGHT, 1030, 1)])

    def test_the_pedal_does_not_prolong_unless_the_section_says_so(self) -> None:
        play = [(900, "P127"), *chord(1000, RIGHT[:2], 300), *chord(1500, RIGHT[2:], 900)]
        self.assertEqual(marked(play).level, 0)
        self.assertEqual(marked(play, pedal=True).level, 4)


class Match(unittest.TestCase):
    """Section 2, "H matches when"."""

    def check(self, keys: Iterable[int], expected: bool, **table: Any) -> None:
        """Match keys against A♭7 with changes."""
        voicing = item(**{**AB7, **table}).voicing
        assert voicing is not None
        self.assertEqual(match(keys, voicing, Limits()) is not None, expected, (keys, table))

    def test_it_has_n_keys(self) -> None:
        self.check(RIGHT, True)
        self.check(RIGHT[1:], False)
        self.check((*RIGHT, 72), False)

    def test_the_pitch_classes_from_low_to_high_are_the_voicings(self) -> None:
        self.check((44, 51, 54, 60), False)
        self.check((51, 56, 60, 66), False)

    def test_inside_a_hand_each_key_is_the_nearest_above_unless_open(self) -> None:
        no_register = {"register": {"left_lowest": [0, 127], "right_lowest": [0, 127]}}
        self.check((32, 51, 60, 66), False, **no_register, span=24)
        self.check((32, 51, 60, 66), True, **no_register, span=24, open=True)
        self.check((32, 51, 60, 66), False, **no_register, open=True)

    def test_between_the_hands_any_distance_will_do(self) -> None:
        self.check((44, 51, 72, 78), True)

    def test_no_hand_spans_more_than_12(self) -> None:
        tenth = {"left": ["1", "3"], "right": ["b7", "5"], "open": True}
        self.check((44, 60, 66, 75), False, **tenth)
        self.check((44, 60, 66, 75), True, **tenth, span=16)

    def test_the_register_of_two_hand_guide_tones_is_the_default(self) -> None:
        self.check((32, 39, 60, 66), False)
        self.check((44, 51, 72, 78), True)
        self.check((44, 51, 84, 90), False)
        low = {"symbol": "Bb7", "right": ["3", "b7"]}
        self.check((34, 41, 50, 56), False, **low)
        self.check((34, 41, 62, 68), True, **low)

    def test_a_narrower_register_is_the_items_own(self) -> None:
        self.check((44, 51, 72, 78), False, register={"right_lowest": [52, 63]})
        self.check((44, 51, 60, 66), False, register={"top": [60, 65]})

    def test_octave_doublings_of_the_left_hand_are_set_aside_where_the_voicing_says(self) -> None:
        self.check((44, 51, 56, 60, 66), False)
        self.check((44, 51, 56, 60, 66), True, doubling=True)
        self.check((44, 51, 60, 66, 72), False, doubling=True)
        self.check((44, 51, 63, 66, 72), False, doubling=True)
        self.check((39, 44, 51, 60, 66), False, doubling=True)

    def test_joined_hands_lie_next_to_one_another(self) -> None:
        self.check((44, 51, 60, 66), True, joined=True)
        self.check((44, 51, 72, 78), False, joined=True)

    def test_a_natural_fifth_may_be_left_out_only_where_it_is_optional(self) -> None:
        self.check((44, 60, 66), False)
        self.check((44, 60, 66), True, optional=["5"])
        self.check((44, 51, 66), False, optional=["5"])

    def test_matching_any_equal_answer_matches(self) -> None:
        table = {"symbol": "F13", "left": ["3", "13", "b7", "9"], "right": [],
                 "equal": [{"left": ["b7", "9", "3", "13"]}]}
        self.check((57, 62, 63, 67), True, **table)
        self.check((51, 55, 57, 62), True, **table)
        self.check((55, 57, 62, 63), False, **table)


class Offer(unittest.TestCase):
    """Section 2, "A chord is offered as an attempt"."""

    def test_rule_1_when_it_matches_and_no_key_is_struck_within_80_ms(self) -> None:
        mark = marked(press(1000, RIGHT), (1081, "+71"))
        self.assertEqual(attempts(mark)[0], (RIGHT, 1000, 1))

    def test_rule_1_a_key_struck_within_80_ms_belongs_to_the_attempt(self) -> None:
        mark = marked(press(1000, RIGHT), (1079, "+71"))
        self.assertEqual(attempts(mark), [((*RIGHT, 71), 1079, 2)])

    def test_rule_1_a_match_let_go_early_is_one_attempt(self) -> None:
        self.assertEqual(attempts(marked(chord(1000, RIGHT, 40))), [(RIGHT, 1000, 4)])
        one_key = marked(press(1000, RIGHT), (1040, "-66"), (3000, "-44"))
        self.assertEqual(attempts(one_key), [(RIGHT, 1000, 1)])

    def test_rule_1_a_match_reached_by_lifting_counts_by_rule_2_only(self) -> None:
        held = marked(press(1000, (*RIGHT, 71)), lift(1300, [71]), lift(1901, RIGHT))
        self.assertEqual(attempts(held), [(RIGHT, 1000, 2)])
        left = marked(press(1000, (*RIGHT, 71)), lift(1300, [71]), lift(1899, RIGHT))
        self.assertEqual(attempts(left), [((*RIGHT, 71), 1000, 4)])
        struck = marked(press(1000, (*RIGHT, 71)), lift(1300, [71]), (1500, "+69"), (1520, "-69"))
        self.assertNotIn(3, [rule for _, _, rule in attempts(struck)])

    def test_rule_2_when_it_has_not_changed_for_600_ms_and_has_n_keys(self) -> None:
        mark = marked(press(1000, WRONG), lift(1601, [67]), press(1610, [66]))
        self.assertEqual(attempts(mark)[0], (WRONG, 1000, 2))
        few = marked(press(1000, WRONG[:3]), press(2000, [66]))
        self.assertEqual(attempts(few), [(RIGHT, 2000, 1)])
        self.assertEqual(few.level, 4)

    def test_rule_3_a_key_more_than_200_ms_later_with_something_released_between(self) -> None:
        def play(strike: float, released: bool) -> list[tuple[tuple[int, ...], float, int]]:
            off = lift(1100, [67]) if released else []
            return attempts(marked(press(1000, WRONG), off, press(strike, [66])))

        self.assertEqual(play(1201, True), [(WRONG, 1000, 3), (RIGHT, 1201, 1)])
        self.assertEqual(play(1200, True), [(RIGHT, 1200, 1)])
        self.assertEqual(play(1201, False), [((44, 51, 60, 66, 67), 1201, 2)])

    def test_rule_3_only_when_it_had_n_keys(self) -> None:
        mark = marked(press(1000, WRONG[1:]), lift(1100, [67]), press(1300, [44, 66]))
        self.assertEqual(attempts(mark), [(RIGHT, 1300, 1)])

    def test_rule_4_when_it_falls_to_one_key_the_largest_set(self) -> None:
        mark = marked(press(1000, WRONG), lift(1200, WRONG[1:]))
        self.assertEqual(attempts(mark)[0], (WRONG, 1000, 4))
        fewer = marked(chord(1000, WRONG[:3], 200), end=3000)
        self.assertEqual(attempts(fewer), [(WRONG[:3], 1000, 4)])
        too_few = marked(chord(1000, WRONG[:2], 200), end=3000)
        self.assertEqual(attempts(too_few), [])

    def test_rule_4_the_latest_among_equals(self) -> None:
        mark = marked(press(1000, WRONG[:3]), lift(1050, [60]), press(1100, [61]), lift(1150, [44, 51, 61]))
        self.assertEqual(attempts(mark)[0], ((44, 51, 61), 1100, 4))

    def test_rule_5_when_the_item_closes_what_is_held(self) -> None:
        mark = marked(press(11900, RIGHT[:3]))
        self.assertEqual(attempts(mark), [(RIGHT[:3], 11900, 5)])
        self.assertEqual(mark.captured.closed, 120000)
        self.assertEqual(attempts(marked()), [])

    def test_after_an_offer_a_new_one_needs_a_new_note_on(self) -> None:
        mark = marked(press(1000, WRONG), lift(1700, [67]), lift(2400, [44, 51, 60]))
        self.assertEqual(attempts(mark), [(WRONG, 1000, 2)])

    def test_at_most_2_attempts(self) -> None:
        mark = marked(chord(500, OTHER), chord(1500, WRONG), chord(2500, RIGHT))
        self.assertEqual(len(mark.captured.attempts), 2)
        self.assertEqual(mark.captured.closed, 19000)
        three = marked(chord(500, OTHER), chord(1500, WRONG), chord(2500, RIGHT), limits=Limits(tries=3))
        self.assertEqual((len(three.captured.attempts), three.level), (3, 2))

    def test_the_onset_is_that_of_the_last_sounding_note(self) -> None:
        rolled = [(1000 + 150 * place, f"+{key}") for place, key in enumerate(RIGHT)]
        self.assertEqual(attempts(marked(rolled)), [(RIGHT, 1450, 1)])


class Closing(unittest.TestCase):
    """Section 2, "The item closes"."""

    def test_in_a_graded_exam_1500_ms_after_any_offer_right_or_wrong(self) -> None:
        for keys in (RIGHT, WRONG):
            mark = marked(chord(1000, keys), chord(3500, RIGHT))
            self.assertEqual(len(mark.captured.attempts), 1)
        self.assertEqual(marked(chord(1000, RIGHT)).captured.closed, 25800)
        self.assertEqual(marked(chord(1000, WRONG)).captured.closed, 29000)

    def test_not_while_a_new_key_has_come(self) -> None:
        mark = marked(chord(1000, WRONG), (2899, "+44"), press(5000, RIGHT[1:]))
        self.assertEqual(attempts(mark)[1], (RIGHT, 5000, 1))
        late = marked(chord(1000, WRONG), (2901, "+44"), press(5000, RIGHT[1:]))
        self.assertEqual(len(late.captured.attempts), 1)

    def test_in_practice_as_soon_as_it_matches(self) -> None:
        practice = Limits(graded=False)
        right = marked(chord(1000, RIGHT), limits=practice)
        self.assertEqual(right.captured.closed, 10800)
        patient = marked(chord(1000, WRONG), chord(5000, RIGHT), limits=practice)
        self.assertEqual(patient.level, 3)

    def test_at_the_latest_at_grace_times_the_limit(self) -> None:
        self.assertEqual(marked(press(11999, RIGHT)).level, 2)
        self.assertEqual(marked(press(12001, RIGHT)).level, 0)
        self.assertEqual(marked(press(5999, RIGHT), grace=1).level, 4)
        self.assertEqual(marked(press(6001, RIGHT), grace=1).level, 0)

    def test_the_limit_is_the_sections_times_the_candidates_factor(self) -> None:
        slow = Limits(factor=Fraction(3, 2))
        self.assertEqual(marked(press(8999, RIGHT), limits=slow).level, 4)
        self.assertEqual(marked(press(9001, RIGHT), limits=slow).level, 3)


class Level(unittest.TestCase):
    """Section 2, the table of levels."""

    def check(self, level: int, *specs: Any, **table: Any) -> None:
        """Compare the level and its credit."""
        mark = marked(*specs, **table)
        self.assertEqual(mark.level, level)
        self.assertEqual(mark.credit, Fraction(level, 4))

    def test_4_matches_first_attempt_no_foreign_key_onset_within_the_limit(self) -> None:
        self.check(4, chord(6000, RIGHT))
        self.check(4, chord(2000, RIGHT[:1], 100), chord(6000, RIGHT))

    def test_3_after_one_earlier_attempt(self) -> None:
        self.check(3, chord(1000, WRONG), chord(2500, RIGHT))
        self.check(3, chord(1000, OTHER), chord(2500, RIGHT))

    def test_3_with_one_or_two_foreign_keys_before_it(self) -> None:
        self.check(3, chord(1000, [61], 100), chord(2500, RIGHT))
        self.check(3, chord(1000, [61], 100), chord(1500, [62], 100), chord(2500, RIGHT))

    def test_3_as_level_4_within_one_and_a_half_limits(self) -> None:
        self.check(3, chord(6001, RIGHT))
        self.check(3, chord(9000, RIGHT))

    def test_2_matches_within_two_limits_otherwise(self) -> None:
        self.check(2, chord(9001, RIGHT))
        self.check(2, chord(11990, RIGHT))
        self.check(2, chord(1000, WRONG), (2500, "+44"), press(6001, RIGHT[1:]))
        self.check(2, chord(1000, [61], 100), chord(6001, RIGHT))
        slips = [*chord(500, [61], 100), *chord(700, [62], 100), *chord(900, [62], 100)]
        self.check(2, slips, chord(2500, RIGHT))

    def test_2_right_pitch_classes_in_the_wrong_order_or_register(self) -> None:
        self.check(2, chord(1000, (44, 51, 54, 60)))
        self.check(2, chord(1000, (44, 51, 84, 90)))
        self.check(2, chord(9000, (44, 51, 54, 60)))
        self.check(0, chord(9001, (44, 51, 54, 60)))

    def test_2_right_pitch_classes_with_the_wrong_span_or_doubling(self) -> None:
        self.check(2, chord(1000, (44, 60, 66, 75)), left=["1", "3"], right=["b7", "5"], open=True)
        self.check(2, chord(1000, (*RIGHT, 72)))

    def test_1_root_third_and_seventh_with_a_wrong_missing_or_added_fifth_or_colour(self) -> None:
        self.check(1, chord(1000, (44, 52, 60, 66)))
        self.check(1, chord(1000, (44, 60, 66)))
        self.check(1, chord(1000, (44, 51, 60, 66, 70)))
        self.check(1, chord(9000, (44, 60, 66)))
        self.check(0, chord(9001, (44, 60, 66)))

    def test_1_needs_the_root_lowest_where_the_voicing_has_a_root(self) -> None:
        self.check(0, chord(1000, (48, 56, 66)))
        rootless = {"symbol": "F13", "left": ["3", "13", "b7", "9"], "right": []}
        self.check(1, chord(1000, (57, 60, 63, 67)), **rootless)

    def test_1_the_sharp_nine_is_no_third(self) -> None:
        self.check(1, chord(1000, (44, 51, 60, 66, 71)))
        minor = {"symbol": "Abm7", "right": ["b3", "b7"]}
        self.check(0, chord(1000, (44, 51, 59, 60, 66)), **minor)

    def test_1_no_other_third_or_seventh_beside_them(self) -> None:
        self.check(0, chord(1000, (44, 51, 60, 66, 67)))

    def test_1_the_6_and_the_4_stand_for_the_seventh_and_the_third(self) -> None:
        sixth = {"symbol": "C6", "left": ["1", "5"], "right": ["3", "6"]}
        self.check(1, chord(1000, (48, 64, 69)), **sixth)
        suspended = {"symbol": "C7sus4", "left": ["1", "5"], "right": ["4", "b7"]}
        self.check(1, chord(1000, (48, 65, 70)), **suspended)
        self.check(0, chord(1000, (48, 64, 65, 70)), **suspended)

    def test_0_a_wrong_third_or_seventh_is_another_chord(self) -> None:
        self.check(0, chord(1000, WRONG))
        self.check(0, chord(1000, (44, 51, 59, 66)))
        self.check(0)

    def test_a_substitute_is_proved_by_its_root_only(self) -> None:
        plain = {"symbol": "C7", "left": ["1"], "right": ["3", "b7"]}
        substitute = {"symbol": "Gb7", "left": ["1"], "right": ["3", "b7"]}
        self.check(4, chord(1000, (48, 64, 70)), **plain)
        self.check(4, chord(1000, (42, 58, 64)), **substitute)
        self.check(0, chord(1000, (48, 64, 70)), **substitute)

    def test_the_best_attempt_counts(self) -> None:
        self.check(4, chord(1000, RIGHT), chord(2500, WRONG))

    def test_walked_reaches_level_2_at_most(self) -> None:
        for step in (5, -5, -7):
            neighbour = [key + step for key in RIGHT]
            mark = marked(chord(1000, neighbour), chord(2500, RIGHT))
            self.assertEqual((mark.level, mark.walked), (2, True), step)
        whole_tone = marked(chord(1000, [key + 2 for key in RIGHT]), chord(2500, RIGHT))
        self.assertEqual((whole_tone.level, whole_tone.walked), (3, False))

    def test_walked_in_any_order_of_the_form(self) -> None:
        turned = (49, 56, 71, 77)
        orders = [{"left": ["1", "5"], "right": ["b7", "3"]}]
        for others, level in ((orders, 2), ([], 3)):
            mark = marked(chord(1000, turned), chord(2500, RIGHT), other_orders=others)
            self.assertEqual((mark.level, mark.walked), (level, level == 2))

    def test_walked_through_a_set_held_for_200_ms(self) -> None:
        neighbour = [key + 5 for key in RIGHT]

        def play(start: float) -> VoicingMark:
            # Keys of the asked chord are added before the neighbour's are let go,
            # so that no earlier attempt is offered.
            first = press(start, neighbour) + press(1000, RIGHT[:1]) + lift(1040, neighbour)
            return marked(first, press(1050, RIGHT[1:]))

        self.assertEqual((play(800).level, play(800).walked), (2, True))
        self.assertFalse(play(801).walked)


RUN: dict[str, Any] = {
    "kind": "run", "seconds": 18, "beat_ms": 750, "end_ms": 15000,
    "chord": [
        {"symbol": "C7", "left": ["1", "5"], "right": ["b7", "3"], "at_ms": 3000},
        {"symbol": "F7", "left": ["1", "5"], "right": ["3", "b7"], "at_ms": 6000},
        {"symbol": "Bb7", "left": ["1", "5"], "right": ["b7", "3"], "at_ms": 9000},
        {"symbol": "Eb7", "left": ["1", "5"], "right": ["3", "b7"], "at_ms": 12000},
    ],
}
LINE = [(36, 43, 70, 76), (41, 48, 69, 75), (46, 53, 68, 74), (39, 46, 67, 73)]
FREE: dict[str, Any] = {
    "kind": "run", "seconds": 24, "chord_seconds": 6,
    "chord": [{name: value for name, value in each.items() if name != "at_ms"} for each in RUN["chord"]],
}
FULL = [Fraction(1)] * 4
HALF = Fraction(1, 2)


def run(table: dict[str, Any], *specs: Any, limits: Limits = Limits(), **changed: Any) -> RunMark:
    """The mark of a run."""
    return mark_run(item(**{**table, **changed}), window(*specs), limits)


def line(shift: dict[int, float] | None = None, keys: Mapping[int, Iterable[int]] | None = None,
         hold: float = 2400) -> list[list[Spec]]:
    """The four chords on their beats, some of them moved or changed."""
    return [
        chord(3000 * (index + 1) + (shift or {}).get(index, 0), (keys or {}).get(index, row), hold)
        for index, row in enumerate(LINE)
    ]


class InTempo(unittest.TestCase):
    """Section 3, runs in tempo."""

    def test_a_perfect_run_has_full_marks(self) -> None:
        mark = run(RUN, *line())
        self.assertEqual(mark.credit, 1)
        self.assertEqual(set(mark.criteria), {"harmony", "voicing", "leading", "time"})

    def test_a_slot_begins_half_a_beat_early_or_400_ms(self) -> None:
        self.assertEqual(run(RUN, *line({1: -374})).harmony, FULL)
        self.assertEqual(run(RUN, *line({1: -376})).harmony[1], 0)
        slow = run(RUN, *line({1: -399}), beat_ms=1000)
        self.assertEqual(slow.harmony, FULL)
        self.assertEqual(run(RUN, *line({1: -401}), beat_ms=1000).harmony[1], 0)

    def test_a_late_chord_counts_one_half(self) -> None:
        self.assertEqual(run(RUN, *line({1: 374})).harmony[1], 1)
        late = run(RUN, *line({1: 376}))
        self.assertEqual((late.harmony[1], late.voicing[1]), (HALF, HALF))

    def test_a_chord_that_becomes_right_later_counts_as_late(self) -> None:
        wrong = chord(6000, (41, 48, 69, 76), 300)
        mark = run(RUN, line()[0], wrong, chord(7000, LINE[1], 1800), *line()[2:])
        self.assertEqual(mark.harmony, [1, HALF, 1, 1])

    def test_the_last_slot_ends_as_if_another_beat_followed(self) -> None:
        self.assertEqual(run(RUN, *line({3: 2624})).harmony[3], HALF)
        self.assertEqual(run(RUN, *line({3: 2626})).harmony[3], 0)

    def test_the_cluster_is_strikes_no_more_than_200_ms_apart(self) -> None:
        def rolled(gap: float) -> RunMark:
            slow = press(6000, LINE[1][:2]) + press(6000 + gap, LINE[1][2:]) + lift(6100, LINE[1][:2])
            return run(RUN, line()[0], slow, lift(8800, LINE[1][2:]), *line()[2:])

        self.assertEqual(rolled(200).harmony[1], 1)
        self.assertEqual(rolled(201).harmony[1], 0)

    def test_keys_of_the_chord_before_still_down_after_150_ms_belong_to_the_sounding(self) -> None:
        def common(release: float) -> RunMark:
            first = press(3000, LINE[0]) + lift(5900, (36, 70, 76)) + [(release, "-43")]
            return run(RUN, first, *line()[1:])

        self.assertEqual(common(6149).harmony[1], 1)
        self.assertEqual(common(6151).harmony[1], HALF)
        self.assertEqual(common(8900).harmony[1], 0)

    def test_a_chord_that_becomes_right_by_lifting_counts_as_late(self) -> None:
        def lifted(at: float, until: float) -> RunMark:
            more = [*press(6000, (*LINE[1], 76)), (at, "-76"), (until, "-75"), *lift(8900, LINE[1][:3])]
            return run(RUN, line()[0], more, *line()[2:])

        self.assertEqual(lifted(6500, 6650).harmony, [1, HALF, 1, 1])
        self.assertEqual(lifted(6500, 6650).voicing, [1, HALF, 1, 1])
        self.assertEqual(lifted(6500, 6649).harmony[1], 0)
        self.assertEqual(lifted(8624, 8900).harmony[1], HALF)
        self.assertEqual(lifted(8626, 8900).harmony[1], 0)

    def test_a_strike_ends_what_lifting_left(self) -> None:
        def struck(at: float) -> RunMark:
            more = [*press(6000, (*LINE[1], 76)), (6500, "-76"), (at, "+76"), *lift(8900, (*LINE[1], 76))]
            return run(RUN, line()[0], more, *line()[2:])

        self.assertEqual(struck(6650).harmony[1], HALF)
        self.assertEqual(struck(6649).harmony[1], 0)

    def test_what_is_not_struck_in_its_slot_is_not_played(self) -> None:
        chords = [{"symbol": name, "at_ms": 3000 * (place + 1)} for place, name in enumerate(("C7", "C7"))]
        held = [*press(3000, (48, 52, 58, 59)), (7000, "-59"), *lift(8900, (48, 52, 58))]
        self.assertEqual(run(RUN, held, voicing="any", chord=chords, end_ms=9000).harmony, [0, 0])

    def test_a_graze_is_listed_never_counted(self) -> None:
        touch = [(6100, "+78@19"), (6179, "-78")]
        self.assertEqual(run(RUN, touch, *line()).harmony, FULL)
        self.assertEqual(run(RUN, [(6100, "+78@20"), (6179, "-78")], *line()).harmony[1], HALF)
        before = [(5800, "+78@19"), (5870, "-78")]
        self.assertEqual(run(RUN, before, *line({1: 380})).harmony, [1, HALF, 1, 1])

    def test_the_last_note_sounds_on_where_its_release_was_lost(self) -> None:
        more = [*press(12000, (*LINE[3], 76)), (14000, "-76")]
        self.assertEqual(run(RUN, *line()[:3], more).harmony, [1, 1, 1, HALF])

    def test_a_common_tone_may_be_held_through(self) -> None:
        minor = [{"symbol": "Cm7", "left": ["1", "5"], "right": ["b3", "b7"], "at_ms": 3000},
                 {"symbol": "Fm7", "left": ["1", "5"], "right": ["b7", "b3"], "at_ms": 6000}]
        play = [*press(3000, (48, 55, 63, 70)), *lift(5900, (55, 70)), *press(6000, (41, 68))]
        mark = run(RUN, play, chord=minor, end_ms=9000)
        self.assertEqual((mark.harmony, mark.voicing), ([1, 1], [1, 1]))

    def test_the_right_root_is_part_of_the_harmony(self) -> None:
        mark = run(RUN, *line(keys={1: (36, 41, 69, 75)}))
        self.assertEqual(mark.harmony[1], 0)

    def test_a_slash_bass_is_part_of_the_harmony(self) -> None:
        slash = [{"symbol": "C7/E", "left": ["3", "b7"], "right": ["1", "5"], "at_ms": 3000}]
        right = run(RUN, chord(3000, (40, 46, 60, 67)), chord=slash, end_ms=6000)
        wrong = run(RUN, chord(3000, (36, 46, 52, 67)), chord=slash, end_ms=6000)
        self.assertEqual((right.harmony, wrong.harmony), ([1], [0]))

    def test_voicing_is_the_share_that_matches_the_asked_form(self) -> None:
        mark = run(RUN, *line(keys={2: (46, 53, 62, 68)}))
        self.assertEqual(mark.harmony, FULL)
        self.assertEqual(mark.voicing, [1, 1, 0, 1])

    def test_the_register_binds_the_first_chord_only(self) -> None:
        high = {index: [*row[:2], row[2] + 12, row[3] + 12] for index, row in enumerate(LINE)}
        mark = run(RUN, *line(keys=high))
        self.assertEqual(mark.voicing, [0, 1, 1, 1])

    def test_time_is_the_mean_distance_from_the_beat_the_mean_lag_removed(self) -> None:
        lagging = run(RUN, *line({index: 100 for index in range(4)}))
        self.assertEqual(lagging.deviation, 0)
        for off, step in ((37, 4), (38, 3), (60, 3), (61, 2), (97, 2), (98, 1)):
            mark = run(RUN, *line({0: off, 1: -off, 2: off, 3: -off}))
            self.assertEqual(mark.deviation, Fraction(off, 750))
            self.assertEqual(mark.criteria["time"], Fraction(step, 4), off)

    def test_the_onset_of_a_chord_is_the_median_of_its_note_ons(self) -> None:
        rolled = [(3000 + 20 * place, f"+{key}") for place, key in enumerate(LINE[0])] + lift(5800, LINE[0])
        mark = run(RUN, rolled, *line()[1:])
        self.assertEqual(mark.heard[0].soundings[0].onset, 30300)

    def test_time_and_leading_are_scaled_by_harmony(self) -> None:
        mark = run(RUN, *line()[:3])
        self.assertEqual(mark.criteria["time"], Fraction(3, 4))
        self.assertEqual(mark.criteria["leading"], Fraction(3, 4))

    def test_the_mark_is_the_weighted_mean_of_the_criteria_that_apply(self) -> None:
        mark = run(RUN, *line(keys={2: (46, 53, 62, 68)}))
        self.assertEqual(mark.credit, (40 + 20 * Fraction(3, 4) + 10 + 15) / 85)

    def test_a_time_factor_divides_the_tempo(self) -> None:
        slow = [(time * 2, text) for row in line() for time, text in row]
        self.assertEqual(run(RUN, slow, limits=Limits(factor=Fraction(2))).credit, 1)

    def test_any_voicing_asks_for_third_and_seventh_and_no_foreign_ones(self) -> None:
        chords = [{"symbol": "C7", "at_ms": 3000}, {"symbol": "F7", "at_ms": 6000}]
        loose: dict[str, Any] = {"voicing": "any", "chord": chords}
        mark = run(RUN, chord(3000, (52, 58, 62), 900), chord(6000, (51, 57, 56), 900), **loose, end_ms=9000)
        self.assertEqual(mark.harmony, [1, 1])
        wrong = run(RUN, chord(3000, (52, 58, 59), 900), **loose, end_ms=9000)
        self.assertEqual(wrong.harmony, [0, 0])

    def test_any_voicing_is_judged_by_harmony_and_time_alone(self) -> None:
        chords = [{"symbol": "C7", "at_ms": 3000}, {"symbol": "F7", "at_ms": 6000}]
        half = run(RUN, chord(3000, (52, 58), 900), chord=chords, voicing="any", end_ms=9000)
        self.assertEqual(half.criteria, {"harmony": HALF, "time": HALF})

    def test_where_the_order_is_open_the_line_goes_on_as_it_began(self) -> None:
        both: dict[str, Any] = {"start": "open", "chord": [
            dict(each, equal=[{"line": 2, "left": each["left"], "right": each["right"][::-1]}])
            for each in RUN["chord"]]}
        turned = {0: (36, 43, 64, 70), 1: (41, 48, 63, 69), 2: (46, 53, 62, 68), 3: (39, 46, 61, 67)}
        self.assertEqual(run(RUN, *line(keys=turned), **both).voicing, FULL)
        self.assertEqual(run(RUN, *line(), **both).voicing, FULL)
        mixed = run(RUN, *line(keys={1: turned[1], 2: turned[2], 3: turned[3]}), **both)
        self.assertEqual(mixed.voicing, [1, 0, 0, 0])
        unsaid = run(RUN, *line(keys={0: WRONG, 2: turned[2], 3: turned[3]}), **both)
        self.assertEqual(unsaid.voicing, [0, 0, 1, 1])

    def test_equal_answers_may_be_mixed_where_the_order_is_not_open(self) -> None:
        both = [dict(each, equal=[{"left": each["left"], "right": each["right"][::-1]}])
                for each in RUN["chord"]]
        turned = {1: (41, 48, 63, 69)}
        self.assertEqual(run(RUN, *line(keys=turned), chord=both).voicing, FULL)

    def test_joined_hands_and_what_is_optional_bind_runs_too(self) -> None:
        drop = [{"symbol": "Cmaj7", "left": ["5", "1"], "right": ["3", "7"], "joined": True,
                 "optional": ["5"], "at_ms": 3000}]
        for keys, credit in (((43, 48, 52, 59), 1), ((43, 48, 64, 71), 0), ((48, 52, 59), 1), ((48, 52), 0)):
            self.assertEqual(run(RUN, chord(3000, keys), chord=drop, end_ms=6000).voicing, [credit], keys)

    def test_the_weights_are_those_of_the_section(self) -> None:
        mark = run(RUN, *line(keys={2: (46, 53, 62, 68)}), weights={"harmony": 10, "voicing": 90})
        self.assertEqual(mark.credit, (10 + 90 * Fraction(3, 4) + 10 + 15) / 125)


class Leading(unittest.TestCase):
    """Section 3, voice leading, and the known facts."""

    def test_no_pair_that_matches_scores_0(self) -> None:
        mark = run(RUN, *line(keys={1: WRONG, 3: WRONG}))
        self.assertEqual((mark.ratio, mark.criteria["leading"]), (None, 0))

    def test_one_octave_displacement_of_the_whole_hand_is_free(self) -> None:
        jump = {1: (41, 48, 57, 63), 2: (46, 53, 56, 62), 3: (39, 46, 55, 61)}
        once = run(RUN, *line(keys=jump))
        self.assertEqual((once.ratio, once.criteria["leading"]), (1, 1))
        back = run(RUN, *line(keys={1: (41, 48, 57, 63)}))
        self.assertEqual(back.ratio, Fraction(2 + 22 + 2, 6))
        self.assertEqual(back.criteria["leading"], Fraction(1, 4))

    def circle(self, quality: str, third: str, seventh: str) -> list[tuple[int, ...]]:
        """Right-hand keys round the cycle of fourths, nearest above, and the ratio checked."""
        roots = ["C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G", "C"]
        chords, keys = [], []
        right = (70, 76) if (third, seventh) == ("3", "b7") else (71, 76) if seventh == "7" else (70, 75)
        for place, name in enumerate(roots):
            order = [seventh, third] if place % 2 == 0 else [third, seventh]
            at_ms = 1000 * (place + 1)
            chords.append({"symbol": name + quality, "left": ["1"], "right": order, "at_ms": at_ms})
            root = parse_symbol(name).root
            if place:
                asked = [(root + {"3": 4, "b3": 3, "b7": 10, "7": 11}[degree]) % 12 for degree in order]
                right = tuple(max(k for k in range(key + 1) if k % 12 == a) for key, a in zip(right, asked))  # type: ignore[assignment]
            keys.append((36 + root - (12 if root > 9 else 0), *right))
        table = {**RUN, "chord": chords, "end_ms": 14000, "beat_ms": 250}
        play = [chord(1000 * (place + 1), row, 900) for place, row in enumerate(keys)]
        mark = run(table, *play)
        self.assertEqual((mark.harmony, mark.ratio), ([Fraction(1)] * 13, Fraction(1)), quality)
        return [row[1:] for row in keys]

    def test_dominants_move_2_semitones_a_change_and_end_an_octave_lower(self) -> None:
        hands = self.circle("7", "3", "b7")
        moves = [tuple(a - b for a, b in zip(x, y)) for x, y in itertools.pairwise(hands)]
        self.assertEqual(set(moves), {(1, 1)})
        self.assertEqual(tuple(a - b for a, b in zip(hands[0], hands[-1])), (12, 12))

    def test_major_and_minor_sevenths_move_2_one_voice_held_in_turn(self) -> None:
        for quality, third, seventh in (("maj7", "3", "7"), ("m7", "b3", "b7")):
            hands = self.circle(quality, third, seventh)
            moves = [tuple(a - b for a, b in zip(x, y)) for x, y in itertools.pairwise(hands)]
            self.assertEqual(set(moves), {(0, 2), (2, 0)})
            self.assertEqual(tuple(a - b for a, b in zip(hands[0], hands[-1])), (12, 12))

    def test_guide_tones_of_a_major_two_five_one_move_1_semitone_a_change(self) -> None:
        chords = [{"symbol": "Dm7", "left": ["1"], "right": ["b3", "b7"], "at_ms": 3000},
                  {"symbol": "G7", "left": ["1"], "right": ["b7", "3"], "at_ms": 6000},
                  {"symbol": "Cmaj7", "left": ["1"], "right": ["3", "7"], "at_ms": 9000}]
        keys = [(38, 65, 72), (43, 65, 71), (36, 64, 71)]
        play = [chord(3000 * (place + 1), row, 2000) for place, row in enumerate(keys)]
        self.assertEqual(run(RUN, *play, chord=chords, end_ms=12000).ratio, 1)


def freely(times: Iterable[float], keys: Mapping[int, Iterable[int]] | None = None) -> list[list[Spec]]:
    """The four chords at some times."""
    return [chord(time, (keys or {}).get(index, LINE[index]), 700) for index, time in enumerate(times)]


class Free(unittest.TestCase):
    """Section 3, free runs."""

    def test_a_perfect_run_has_full_marks(self) -> None:
        mark = run(FREE, *freely((2000, 4000, 6000, 8000)))
        self.assertEqual(mark.credit, 1)
        self.assertEqual(set(mark.criteria), {"harmony", "voicing", "leading", "readiness"})

    def test_a_slot_begins_where_the_chord_before_was_completed(self) -> None:
        mark = run(FREE, *freely((2000, 4000, 6500, 8000)))
        self.assertEqual([slot.start for slot in mark.heard], [0, 20000, 40000, 65000])

    def test_a_chord_is_given_up_when_the_next_sounding_has_the_next_chords_pitch_classes(self) -> None:
        mark = run(FREE, *freely((2000, 4000, 6000, 8000), {1: (41, 48, 69, 76)}))
        self.assertEqual(mark.harmony, [1, 0, 1, 1])
        self.assertEqual(mark.heard[2].start, 60000)

    def test_a_skipped_chord_is_given_up(self) -> None:
        play = freely((2000, 4000, 6000, 8000))
        self.assertEqual(run(FREE, play[0], play[2], play[3]).harmony, [1, 0, 1, 1])

    def test_a_chord_is_given_up_after_its_seconds(self) -> None:
        mark = run(FREE, *freely((2000, 8001, 9000, 10000)))
        self.assertEqual([slot.start for slot in mark.heard[:3]], [0, 20000, 80000])
        self.assertEqual(run(FREE, *freely((2000, 7999, 9000, 10000))).harmony, FULL)

    def test_a_note_after_its_seconds_belongs_to_the_next_chord(self) -> None:
        rolled = press(7990, LINE[1][:2]) + press(8010, LINE[1][2:]) + lift(8500, LINE[1])
        play = freely((2000, 4000, 9000, 10000))
        mark = run(FREE, play[0], rolled, *play[2:])
        self.assertEqual(mark.harmony, [1, 0, HALF, 1])
        self.assertEqual([slot.start for slot in mark.heard[:3]], [0, 20000, 80000])

    def test_a_chord_completed_by_lifting_is_complete_at_the_lift(self) -> None:
        play = freely((2000, 4000, 6000, 8000))
        more = [*press(4000, (*LINE[1], 76)), (4800, "-76"), *lift(5500, LINE[1])]
        mark = run(FREE, play[0], more, *play[2:])
        self.assertEqual((mark.harmony, mark.voicing), ([1, HALF, 1, 1], [1, HALF, 1, 1]))
        self.assertEqual([slot.start for slot in mark.heard], [0, 20000, 48000, 60000])
        brief = [*press(4000, (*LINE[1], 76)), (4800, "-76"), *lift(4949, LINE[1])]
        self.assertEqual(run(FREE, play[0], brief, *play[2:]).harmony[1], 0)

    def test_what_lifting_leaves_after_the_next_chord_began_is_too_late(self) -> None:
        play = freely((2000, 4000, 6000, 8000))
        more = [*press(4000, (*LINE[1], 76)), *lift(5900, (*LINE[1], 76))]
        self.assertEqual(run(FREE, play[0], more, *play[2:]).harmony, [1, 0, 1, 1])

    def test_the_first_slot_begins_after_the_look_or_with_the_first_strike(self) -> None:
        play = freely((2000, 4000, 6000, 8000))
        for look, start in ((1000, 10000), (3000, 20000)):
            self.assertEqual(run(FREE, *play, look_ms=look).heard[0].start, start)
        slow = run(FREE, *play, look_ms=1000, limits=Limits(factor=Fraction(3, 2)))
        self.assertEqual(slow.heard[0].start, 15000)

    def test_a_chord_that_becomes_right_later_counts_as_late(self) -> None:
        play = freely((2000, 4000, 6000, 8000))
        mark = run(FREE, play[0], chord(3000, (41, 48, 69, 76), 500), *play[1:])
        self.assertEqual(mark.harmony, [1, HALF, 1, 1])

    def test_what_is_played_after_a_silence_still_counts(self) -> None:
        twice = [*freely((1000, 2000)), chord(3000, LINE[1], 500)]
        late = [chord(4000, WRONG, 500), chord(10001, LINE[3], 500)]
        self.assertEqual(run(FREE, *twice, *late).harmony, [1, 1, 0, 1])
        in_time = [chord(4000, WRONG, 500), chord(10000, LINE[3], 500)]
        self.assertEqual(run(FREE, *twice, *in_time).harmony, [1, 1, 0, 1])
        practice = Limits(graded=False)
        self.assertEqual(run(FREE, *twice, *late, limits=practice).harmony, [1, 1, 0, 1])

    def test_keys_held_through_clusters_count_once_in_each(self) -> None:
        # Four clusters, three of them whole: the run is still open after six seconds.
        play = [press(1000, (40,)), press(2000, (41, 42, 43)), press(3000, (45,)), press(3300, (46,))]
        mark = run(FREE, *play, lift(4000, (40, 41, 42, 43, 45, 46)), chord(20000, LINE[3], 700))
        self.assertEqual(mark.harmony, [0, 0, 0, 1])

    def test_readiness_is_the_median_time_to_complete_over_the_limit(self) -> None:
        for gap, step in ((2400, 4), (2401, 3), (3600, 3), (3601, 2), (5100, 2), (5101, 1)):
            mark = run(FREE, *freely([gap * (place + 1) for place in range(4)]))
            self.assertEqual(mark.criteria["readiness"], Fraction(step, 4), gap)

    def test_an_uncompleted_chord_counts_as_the_limit(self) -> None:
        mark = run(FREE, *freely((1000, 2000))[:2])
        self.assertEqual(mark.readiness, Fraction(3500, 6000))


class Figures(unittest.TestCase):
    """Figures that an exam changes."""

    def test_a_form_says_which_figures_its_exam_has(self) -> None:
        form = form_from({"tries": 3, "settle_ms": 900, "feedback": True,
                          "rubric": {"apart_ms": 150, "graze_velocity": 30, "time": [3, 6, 10]}})
        limits = form.limits(Limits(factor=Fraction(3, 2)))
        expected = Limits(tries=3, settle_ms=900, graded=False, regather_ms=150, cluster_ms=150,
                          graze_velocity=30, time_percents=(3, 6, 10), factor=Fraction(3, 2))
        self.assertEqual(limits, expected)

    def test_the_steps_of_a_criterion_are_those_of_the_exam(self) -> None:
        strict = Limits(time_percents=(3, 4, 5))
        play = line({0: 37, 1: -37, 2: 37, 3: -37})
        self.assertEqual(run(RUN, *play, limits=strict).criteria["time"], Fraction(1, 2))


class Answers(unittest.TestCase):
    """Section 4."""

    EAR: ClassVar[dict[str, Any]] = {
        "kind": "ear", "seconds": 10, "sound_ms": 2000, "hearings": 2, "answers": ["m7"],
    }

    def credit(self, table: dict[str, Any], *specs: Any) -> Fraction:
        """The credit of what was answered."""
        return mark_answer(item(**table), window(*specs), Limits()).credit

    def test_right_1_wrong_0_no_answer_0(self) -> None:
        self.assertEqual(self.credit(self.EAR, (4000, "answer m7")), 1)
        self.assertEqual(self.credit(self.EAR, (4000, "answer maj7")), 0)
        self.assertEqual(self.credit(self.EAR), 0)

    def test_the_last_answer_in_time_counts(self) -> None:
        self.assertEqual(self.credit(self.EAR, (4000, "answer 7"), (5000, "answer m7")), 1)
        self.assertEqual(self.credit(self.EAR, (4000, "answer m7"), (12001, "answer 7")), 1)

    def test_time_runs_from_the_end_of_the_compulsory_hearing(self) -> None:
        self.assertEqual(self.credit(self.EAR, (12000, "answer m7")), 1)
        self.assertEqual(self.credit(self.EAR, (12001, "answer m7")), 0)

    def test_an_answer_before_the_end_of_the_hearing_counts(self) -> None:
        self.assertEqual(self.credit(self.EAR, (500, "answer m7")), 1)

    def test_a_hearing_on_request_stops_the_clock_while_it_sounds(self) -> None:
        self.assertEqual(self.credit(self.EAR, (5000, "hear"), (13999, "answer m7")), 1)
        self.assertEqual(self.credit(self.EAR, (5000, "hear"), (14001, "answer m7")), 0)

    def test_a_hearing_beyond_the_number_allowed_is_not_given(self) -> None:
        twice = [(4000, "hear"), (7000, "hear")]
        mark = mark_answer(item(**self.EAR), window(twice, (14001, "answer m7")), Limits())
        self.assertEqual((mark.credit, mark.hearings), (0, 2))

    def test_number_of_hearings_and_answer_time_are_recorded(self) -> None:
        mark = mark_answer(item(**self.EAR), window((4000, "hear"), (7000, "answer m7")), Limits())
        self.assertEqual((mark.hearings, mark.time), (2, 30000))

    def test_a_question_in_two_parts_gives_a_half_each(self) -> None:
        two = {**self.EAR, "answers": ["7 / b7"]}
        for answer, credit in (("7 / b7", 1), ("7 / 3", HALF), ("m7 / b7", HALF), ("b7 / 7", 0), ("7", HALF)):
            self.assertEqual(self.credit(two, (4000, f"answer {answer}")), credit, answer)

    def test_each_bass_and_quality_of_a_dictation_is_an_equal_share(self) -> None:
        four = {**self.EAR, "answers": [["II", "two"], ["m7", "-7"], ["bV", "#IV"], ["7"]]}
        shares = (("II / m7 / bV / 7", "1"), ("two / -7 / #IV / 7", "1"), ("II / m7", "1/2"), ("/ m7 / / 7", "1/2"),
                  ("II /  /  / 7", "1/2"), ("m7 / II / 7 / bV", "0"), ("♯IV / m7 / ♯IV / x", "1/2"), ("/ / /", "0"))
        for answer, share in shares:
            self.assertEqual(self.credit(four, (4000, f"answer {answer}")), Fraction(share), answer)

    def played(self, sounds: list[list[int]], *specs: Any) -> Fraction:
        """The credit of what was played back: each key is down for 150 ms."""
        table = {"kind": "ear", "seconds": 10, "sound_ms": 2000, "hearings": 2, "play_back": True,
                 "sound": [{"keys": keys} for keys in sounds]}
        events = [each for spec in specs for each in self.strikes(*spec)]
        ordered = sorted(events, key=lambda event: event.time)
        return mark_played(item(**table), Window(events=ordered), Limits()).credit

    @staticmethod
    def strikes(time: int, what: str) -> list[Event]:
        """Keys down and up, or a word."""
        if not what[0].isdigit():
            return [Event(time * 10, "text", text=what)]
        keys = [int(key) for key in what.split()]
        return [Event((time + late) * 10, kind, key, 70) for kind, late in (("on", 0), ("off", 150)) for key in keys]

    def test_what_is_played_back_is_the_common_part_of_the_last_whole_try(self) -> None:
        motive = [[60], [62], [63], [67]]
        right = [(2500, "60"), (2800, "62"), (3100, "63"), (3400, "67")]
        octave = [(2500, "72"), (2800, "74"), (3100, "75"), (3400, "79")]
        cases = (((), "0"), (right, "1"), (octave, "1"), (right[:3], "3/4"), ([*right[:2], *octave[2:]], "1/2"),
                 ([*right, (3700, "61")], "1"), ([*right, (3700, "answer")], "0"),
                 ([(100, "60"), *right[1:]], "3/4"), ([*right[:3], (12001, "67")], "3/4"),
                 ([(2100, "60"), (3249, "60"), (3500, "62"), (3700, "63")], "3/4"),
                 ([(2100, "60"), (3250, "60"), (3500, "62"), (3700, "63"), (3900, "67")], "1"))
        for specs, share in cases:
            self.assertEqual(self.played(motive, *specs), Fraction(share), specs)

    def test_chords_are_played_back_in_clusters(self) -> None:
        line = [[50, 60, 65], [55, 59, 65]]
        second = (3400, "55 59 65")
        for first, share in (([(2500, "50 60 65")], "1"), ([(2500, "50"), (2700, "60 65")], "1"),
                             ([(2500, "50"), (2701, "60 65")], "0"), ([(2500, "50 60")], "1/2")):
            self.assertEqual(self.played(line, *first, second), Fraction(share), first)

    def test_where_two_names_fit_both_are_right(self) -> None:
        both = {**self.EAR, "answers": ["6", "m7"]}
        self.assertEqual(self.credit(both, (4000, "answer 6")), 1)
        self.assertEqual(self.credit(both, (4000, "answer m7")), 1)

    def test_a_spelling_asks_letter_and_accidental_and_the_root_is_free(self) -> None:
        table = {"kind": "spell", "seconds": 20, "answers": ["Ab C Eb Gb"]}
        shares = (("Ab C Eb Gb", "1"), ("Ab C Eb F#", "2/3"), ("Ab C D# F#", "1/3"), ("C Eb Gb", "1"),
                  ("A♭ C E♭ G♭", "1"), ("Ab C", "1/3"), ("Ab", "0"), ("G# C Eb Gb", "1"))
        for answer, share in shares:
            self.assertEqual(self.credit(table, (9000, f"answer {answer}")), Fraction(share), answer)
        self.assertEqual(self.credit(table, (20001, "answer Ab C Eb Gb")), 0)

    def test_the_printed_respelling_of_a_double_accidental_is_right_too(self) -> None:
        table = {"kind": "spell", "seconds": 20, "answers": ["C Eb Gb Bbb", "C Eb Gb A"]}
        self.assertEqual(self.credit(table, (9000, "answer C Eb Gb A")), 1)
        self.assertEqual(self.credit(table, (9000, "answer C Eb Gb B𝄫")), 1)
        self.assertEqual(self.credit(table, (9000, "answer C D# Gb A")), Fraction(2, 3))


class Grade(unittest.TestCase):
    """Section 5, "Section mark = points × mean credit of its items"."""

    def form(self) -> Any:
        """Two right-or-wrong items worth 10 points, one of them never reached."""
        ear = {"section": "ear", "kind": "ear", "seconds": 10, "answers": ["m7"]}
        return form_from({"section": [{"id": "ear", "points": 10}],
                          "item": [{"number": number, **ear} for number in (1, 2, 3)]})

    def test_a_section_is_points_times_mean_and_an_item_not_reached_scores_0(self) -> None:
        found = {1: window((1000, "answer m7")), 2: window((1000, "answer 7"))}
        marks = mark_form(self.form(), found)
        self.assertEqual((marks.sections[0].mark, marks.total), (Fraction(10, 3), Fraction(10, 3)))

    def test_a_voided_item_leaves_the_denominator(self) -> None:
        found = {1: window((1000, "answer m7")), 2: window((1000, "answer 7"))}
        self.assertEqual(mark_form(self.form(), found, voided=frozenset([3])).total, 5)

    def test_sums_are_exact_and_printed_in_hundredths(self) -> None:
        self.assertEqual(hundredths(Fraction(10, 3)), "3.33")
        self.assertEqual(hundredths(Fraction(1, 8)), "0.13")

    def test_a_panel_item_is_marked_by_a_person(self) -> None:
        form = form_from({"section": [{"id": "p", "points": 10}],
                          "item": [{"number": 1, "section": "p", "kind": "panel"}]})
        self.assertIsNone(mark_form(form, {}).total)
        self.assertEqual(mark_form(form, {}, given={1: Fraction(7, 10)}).total, 7)


class Theory(unittest.TestCase):
    """Symbols and their guide tones."""

    def test_guide_tones_of_symbols(self) -> None:
        table = {"C": (4, None), "Cm": (3, None), "Cmaj7": (4, 11), "C7": (4, 10), "Cm7": (3, 10),
                 "Cm7b5": (3, 10), "Cø7": (3, 10), "Cdim7": (3, 9), "C°7": (3, 9), "Cm(maj7)": (3, 11),
                 "C6": (4, 9), "Cm6": (3, 9), "C6/9": (4, 9), "C7sus4": (5, 10), "C9": (4, 10),
                 "Cmaj9": (4, 11), "Cm9": (3, 10), "C13": (4, 10), "C7(b9)": (4, 10), "C7alt": (4, 10),
                 "Cmaj7#11": (4, 11), "CMA7": (4, 11), "CMI7": (3, 10), "C△": (4, 11), "C-7": (3, 10),
                 "Cadd9": (4, None), "C+": (4, None), "C7#5": (4, 10), "C9sus4": (5, 10)}
        for text, expected in table.items():
            symbol = parse_symbol(text)
            self.assertEqual((symbol.third, symbol.seventh), expected, text)

    def test_roots_and_slash_basses(self) -> None:
        self.assertEqual(parse_symbol("F#m7").root, 6)
        self.assertEqual(parse_symbol("Cb").root, 11)
        self.assertEqual((parse_symbol("Bb/C").root, parse_symbol("Bb/C").bass), (10, 0))
        self.assertIsNone(parse_symbol("C6/9").bass)

    def test_a_guide_tone_beside_another_third_is_none(self) -> None:
        voicing = item(**AB7).voicing
        assert voicing is not None
        self.assertTrue(has_guide_tones((48, 54), voicing))
        self.assertFalse(has_guide_tones((48, 54, 55), voicing))
        self.assertFalse(is_partly_right((), voicing))


class Files(unittest.TestCase):
    """Standard MIDI Files: formats, divisions and what must not break capture."""

    def write(self, division: int, tracks: list[list[Any]], kind: int = 1) -> list[Event]:
        """Write a file and read its events."""
        file = mido.MidiFile(type=kind, ticks_per_beat=division, charset="utf-8")
        for messages in tracks:
            file.tracks.append(mido.MidiTrack(messages))
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "a.mid"
            file.save(str(path))
            return read_events(path)

    def test_tempo_changes_move_all_tracks(self) -> None:
        conductor = [mido.MetaMessage("marker", text="item 1", time=480),
                     mido.MetaMessage("set_tempo", tempo=1_000_000, time=0)]
        keys = [mido.Message("note_on", note=60, velocity=9, time=960),
                mido.Message("note_on", note=60, velocity=0, time=48)]
        events = self.write(480, [conductor, keys])
        self.assertEqual([(each.time, each.kind) for each in events],
                         [(5000, "mark"), (15000, "on"), (16000, "off")])

    def test_smpte_divisions_count_frames(self) -> None:
        keys = [mido.Message("note_on", note=60, velocity=9, time=1234)]
        self.assertEqual(self.write(((256 - 25) << 8 | 40) - 65536, [keys], 0)[0].time, 12340)
        self.assertEqual(self.write(((256 - 29) << 8 | 100) - 65536, [keys], 0)[0].time, 4117)

    def test_a_window_begins_at_its_prompt_and_knows_what_was_down(self) -> None:
        events = [Event(0, "on", 60, 9), Event(10, "mark", text="item 2"), Event(30, "on", 62, 9),
                  Event(40, "mark", text="item 3")]
        found = windows(events)
        self.assertEqual((found[2].down, found[2].end, found[2].events[0].time), ({60}, 30, 20))
        self.assertEqual(found[3].down, {60, 62})

    def test_a_prompt_that_appears_again_starts_afresh(self) -> None:
        found = windows([Event(0, "mark", text="item 1"), Event(5, "text", text="answer 7"),
                         Event(9, "mark", text="item 1")])
        self.assertEqual(found[1].events, [])


class Compare(unittest.TestCase):
    """The comparison with a result file."""

    def test_hundredths_agree_with_the_exact_fraction(self) -> None:
        self.assertTrue(agrees(0.25, Fraction(1, 4)))
        self.assertTrue(agrees(Fraction("0.33"), Fraction(1, 3)))
        self.assertTrue(agrees(Fraction("0.12"), Fraction(1, 8)))
        self.assertFalse(agrees(Fraction("0.34"), Fraction(1, 3)))
        self.assertFalse(agrees(None, Fraction(0)))

    def test_a_result_agrees_with_itself_and_differences_are_shown(self) -> None:
        table = {"number": 1, "section": "v", "kind": "voicing", "seconds": 6, **AB7}
        form = form_from({"section": [{"id": "v", "points": 10}], "item": [table]})
        marks = mark_form(form, {1: window(chord(1000, RIGHT))})
        result = tomllib.loads(as_toml(marks), parse_float=Fraction)
        self.assertEqual(compare(marks, result), [])
        result["item"][0].update(level=3, credit=Fraction("0.75"))
        lines = "\n".join(compare(marks, result))
        self.assertIn("level 4 here, 3 in the result", lines)
        self.assertIn("credit 1.00 (1) here, 3/4 in the result", lines)


if __name__ == "__main__":
    unittest.main()
