"""Ear and spelling items."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from forms import Item
from limits import Limits
from performance import Window
from theory import plain


@dataclass
class AnswerMark:
    """The credit of an answer; times are tenths, pauses for hearings taken out."""

    credit: Fraction = Fraction(0)
    answer: str | None = None
    time: Fraction | int | None = None
    hearings: int = 0
    too_late: int = 0


class Clock:
    """Answer time: it starts after the compulsory hearing and stops while a hearing sounds."""

    def __init__(self, sound: Fraction) -> None:
        self.sound, self.stopped = sound, Fraction(0)
        self.silent_from = sound

    def at(self, time: int) -> Fraction:
        """The answer time at a moment since the prompt; negative before the end of the sound."""
        sounding = max(Fraction(0), self.silent_from - time) if self.stopped else Fraction(0)
        return time - self.sound - self.stopped + sounding

    def hear(self, time: int) -> bool:
        """Stop for one more hearing, unless one sounds already."""
        if time < self.silent_from:
            return False
        self.stopped += self.sound
        self.silent_from = time + self.sound
        return True


def mark_answer(item: Item, window: Window, limits: Limits) -> AnswerMark:
    """Mark the last answer that came in time."""
    limit = item.seconds * 10_000 * limits.factor
    is_ear = item.kind == "ear"
    clock = Clock(item.sound_ms * 10 if is_ear else Fraction(0))
    mark = AnswerMark(hearings=1 if is_ear else 0)
    for event in window.events:
        if event.kind != "text":
            continue
        time = clock.at(event.time)
        in_time = time <= limit
        answer = re.fullmatch(r"answer(?: (.*))?", event.text)
        if event.text == "hear" and is_ear and in_time:
            allowed = item.hearings is None or mark.hearings < item.hearings
            mark.hearings += 1 if allowed and clock.hear(event.time) else 0
        elif answer is not None and in_time:
            mark.answer, mark.time = (answer.group(1) or "").strip() or None, time
        elif answer is not None:
            mark.too_late += 1
    mark.credit = credit_of(item, mark.answer)
    return mark


def credit_of(item: Item, answer: str | None) -> Fraction:
    """The credit of an answer's text."""
    if answer is None:
        return Fraction(0)
    if item.kind == "spell":
        return spelling_credit(item.answers, answer)
    if is_dictation(item):
        return dictated_credit(item.answers, answer)
    return max((named_credit(accepted, answer) for accepted in item.answers), default=Fraction(0))


def is_dictation(item: Item) -> bool:
    """Whether each part has its own accepted texts."""
    return bool(item.answers) and not isinstance(item.answers[0], str)


def usual(item: Item) -> str:
    """The first accepted answer, in words."""
    if is_dictation(item):
        return " / ".join(texts[0] for texts in item.answers)
    return item.answers[0]


def dictated_credit(accepted: tuple[list[str], ...], answer: str) -> Fraction:
    """Each part of a dictation an equal share; a part may be left out."""
    given = parts(answer)
    right = sum(text in map(written, texts) for texts, text in zip(accepted, given))
    return Fraction(right, len(accepted))


def named_credit(accepted: str, answer: str) -> Fraction:
    """Right 1, wrong 0, each of two parts a half."""
    wanted, given = parts(accepted), parts(answer)
    if len(wanted) == 1 < len(given):
        return Fraction(0)
    right = sum(each == other for each, other in zip(wanted, given))
    return Fraction(right, len(wanted))


def parts(text: str) -> list[str]:
    """The parts of an answer, plainly written; a stroke on its own stands between."""
    rows: list[list[str]] = [[]]
    for word in text.split():
        if word == "/":
            rows.append([])
        else:
            rows[-1].append(word)
    return [written(" ".join(row)) for row in rows]


def written(text: str) -> str:
    """A text plainly written."""
    return " ".join(plain(text).split())


def spelling_credit(accepted: tuple[str, ...], answer: str) -> Fraction:
    """The share of the notes above the free root that are spelled right."""
    rows = [notes(text) for text in accepted]
    given = notes(answer)
    asked = len(rows[0])
    if given and (given[0] == rows[0][0] or len(given) >= asked):
        given = given[1:]
    right = 0
    for place, note in zip(range(1, asked), given):
        right += any(place < len(row) and row[place] == note for row in rows)
    return Fraction(right, asked - 1)


def notes(text: str) -> list[str]:
    """The spelled notes of an answer, in one manner of writing."""
    written = plain(text).replace("x", "##").replace(",", " ").split()
    return [each[0].upper() + each[1:] for each in written]
