"""An invented student: what is played and answered for each item.

Nothing here is measured; the mixture only has to reach every rule.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from answers import is_dictation, notes, usual
from forms import Item, Voicing
from gestures import (
    MS,
    Hands,
    altered,
    fifth_place,
    guide_place,
    neighbour,
    wrong_order,
    wrong_register,
)
from matching import Keys
from performance import Event
from theory import degree_semitones

Events = list[Event]
Habit = Callable[["Student", Item, float], Events]


class Student(Hands):
    """A student of typical faults."""

    def __init__(self, chance: Random) -> None:
        super().__init__(chance)
        self.kept: list[int] = []

    def voicing(self, item: Item) -> Events:
        """A single voicing in one of the habits, and how it is let go."""
        assert item.voicing is not None
        self.kept = []
        limit = float(item.seconds * 1000)
        names, weights = zip(*((habit, weight) for habit, weight in HABITS))
        habit: Habit = self.chance.choices(names, weights)[0]
        events = habit(self, item, limit)
        return self._with_accidents(events)

    def _with_accidents(self, events: Events) -> Events:
        strikes = [event for event in events if event.kind == "on"]
        if strikes and self.chance.random() < 0.06:
            again = self.chance.choice(strikes)
            events.append(again._replace(time=again.time + round(self.between(10, 60)) * MS))
        if strikes and self.chance.random() < 0.15:
            start = strikes[0].time
            events.append(Event(max(0, start - 900), "pedal", 127))
            events.append(Event(start + round(self.between(300, 1500)) * MS, "pedal", 0))
        return events

    def let_go(self, onset: float, keys: Keys) -> Events:
        """One of the ways of ending a chord."""
        way = self.chance.choices(("short", "long", "kept", "sloppy", "lost"), (30, 40, 15, 12, 3))[0]
        if way == "short":
            return self.lift(onset + self.between(110, 500), keys)
        if way == "long":
            return self.lift(onset + self.between(700, 1400), keys)
        if way == "sloppy":
            return self.lift(onset + self.between(250, 700), keys, spread=450)
        self.kept = list(keys)
        lost = self.kept.pop() if way == "lost" else None
        return [] if lost is None else self.lift(onset + 900, self.kept)

    def whole(self, onset: float, keys: Keys, spread: float | None = None) -> Events:
        """A chord with its end."""
        return self.press(onset, keys, spread) + self.let_go(onset, keys)

    def run(self, item: Item) -> Events:
        """A run of chords, a key touched by accident now and then."""
        events = self.in_tempo(item) if item.in_tempo else self.free(item)
        touched: Events = []
        for event in [each for each in events if each.kind == "on"]:
            if self.chance.random() < 0.03:
                voicing = self.chance.choice(item.chords).voicing
                key = self.foreign_key(voicing, voicing.example)
                touched += self.graze(event.time / MS + self.between(-300, 300), key)
        if item.pedal and self.chance.random() < 0.6:
            for event in [each for each in events if each.kind == "on" and self.chance.random() < 0.2]:
                touched.append(event._replace(time=event.time + 800, kind="pedal", value=127))
                let_go = event.time + round(self.between(300, 2500)) * MS
                touched.append(Event(let_go, "pedal", 0))
        return events + touched

    def in_tempo(self, item: Item) -> Events:
        """Chords near their beats; each is let go near the next."""
        assert item.beat_ms is not None and item.end_ms is not None
        beat = float(item.beat_ms)
        sway = beat * self.chance.choice((0.02, 0.05, 0.08, 0.14))
        lag = self.between(-40, 60)
        starts = [float(chord.at_ms or 0) for chord in item.chords]
        ends = [*starts[1:], float(item.end_ms)]
        events: Events = []
        held: set[int] = set()
        displaced = 0
        for chord, start, end in zip(item.chords, starts, ends):
            displaced += self.chance.choices((0, 12, -12), (94, 3, 3))[0]
            keys = self._displaced(chord.voicing, displaced)
            onset = start + lag + max(-beat * 0.4, min(beat * 0.4, self.chance.gauss(0, sway)))
            fault = self.chance.choices(("none", "late", "early", "silent"), (86, 6, 5, 3))[0]
            if fault == "silent":
                continue
            onset += {"late": beat * 0.7, "early": -beat * 0.8}.get(fault, 0.0)
            events += self._run_chord(chord.voicing, keys, round(onset), (end - start, held))
        return events

    def _displaced(self, voicing: Voicing, step: int) -> Keys:
        first = len(voicing.hands[0].left)
        moved = tuple(key + step for key in voicing.example[first:])
        keys = voicing.example[:first] + moved
        clear = not moved or (moved[0] > max(keys[:first], default=0) and moved[-1] < 100)
        return keys if clear else voicing.example

    def _run_chord(self, voicing: Voicing, keys: Keys, onset: float,
                   around: tuple[float, set[int]]) -> Events:
        """One chord of a run; common tones may stay down from the one before."""
        length, held = around
        played = self._spoiled(voicing, keys)
        through = held & set(played) if self.chance.random() < 0.5 else set()
        struck = [key for key in played if key not in through] or list(played)
        events: Events = []
        manner = self.chance.choices(("press", "roll", "split"), (85, 10, 5))[0]
        if manner == "press":
            events += self.press(onset, struck, self.between(0, 40))
        elif manner == "roll":
            events += self.roll(onset + 60, struck, 30, 110)
        else:
            events += self.press(onset, struck[:2], 10) + self.press(onset + 320, struck[2:], 10)
        repaired = played != keys and self.chance.random() < 0.5
        if repaired:
            events += self.lift(onset + length * 0.3, set(played) - set(keys))
            events += self.press(onset + length * 0.35, sorted(set(keys) - set(played)), 10)
        last = keys if repaired else played
        stays = {key for key in last if self.chance.random() < 0.15}
        overlap = self.between(-260, -60) if self.chance.random() < 0.8 else self.between(20, 260)
        events += self.lift(onset + length + overlap, set(last) - stays)
        events += self.lift(onset + length * 1.5, stays)
        held.clear()
        held |= stays
        return events

    def _spoiled(self, voicing: Voicing, keys: Keys) -> Keys:
        """The chord, with a fault now and then."""
        faults = ("none", "order", "guide", "fifth", "less", "more")
        fault = self.chance.choices(faults, (80, 5, 5, 4, 3, 3))[0]
        if voicing.optional and self.chance.random() < 0.3:
            spare = {degree_semitones(degree) for degree in voicing.optional}
            return tuple(key for key in keys if (key - voicing.symbol.root) % 12 not in spare)
        place = {"guide": guide_place(voicing, self.chance), "fifth": fifth_place(voicing)}.get(fault)
        if fault == "order":
            return wrong_order(voicing, keys)
        if place is not None:
            return altered(keys, place, self.chance.choice((-1, 1)))
        if fault == "less":
            return keys[:-1]
        return tuple(sorted({*keys, self.foreign_key(voicing, keys)})) if fault == "more" else keys

    def free(self, item: Item) -> Events:
        """Chords one after another; now and then one is skipped or takes too long."""
        assert item.chord_seconds is not None
        limit = float(item.chord_seconds * 1000)
        pace = self.chance.choice((0.25, 0.45, 0.7))
        time, events = float(item.look_ms), list[Event]()
        if self.chance.random() < 0.2:
            time *= 0.5
        for chord in item.chords:
            keys = chord.voicing.example
            ways = ("none", "skipped", "stuck", "rolled", "again")
            fault = self.chance.choices(ways, (80, 5, 5, 5, 5))[0]
            if fault == "skipped":
                continue
            if fault == "rolled":
                time = round(time + limit * self.chance.uniform(0.8, 1.1))
                events += self.roll(time, keys, 60, 190) + self.lift(time + self.between(250, 500), keys)
                continue
            time += limit * (1.2 if fault == "stuck" else pace * self.chance.uniform(0.7, 1.4))
            played = self._spoiled(chord.voicing, keys)
            hold = self.between(350, 650)
            if played != keys and set(keys) < set(played):
                events += self.press(round(time), played)
                events += self.lift(round(time + hold), set(played) - set(keys), 0)
                time += hold + self.between(100, 700)
                events += self.lift(round(time), keys, 0)
                continue
            events += self.tap(round(time), played, hold)
            if fault == "again":
                time += hold + self.between(250, 700)
                events += self.tap(round(time), played, self.between(200, 400))
            if played != keys and self.chance.random() < 0.5:
                time += hold + self.between(250, 700)
                events += self.tap(round(time), keys, self.between(350, 650))
        return events

    def answer(self, item: Item) -> Events:
        """What is answered, and the hearings asked for."""
        limit = float(item.seconds * 1000)
        sound = float(item.sound_ms) if item.kind == "ear" else 0.0
        if item.steps is not None:
            return self.back(item, item.steps, sound, limit)
        ways = ("once", "changed", "late", "hear", "none", "eager")
        way = self.chance.choices(ways, (50, 15, 8, 15, 6, 6))[0]
        if way == "none":
            return []
        when = sound + self.between(0.15 * limit, 0.8 * limit)
        if way == "late":
            return [self.say(sound + limit + self.between(30, 900), item)]
        if way == "eager" and item.kind == "ear":
            return [self.say(self.between(0.3 * sound, 0.9 * sound), item)]
        if way == "hear" and item.kind == "ear":
            asked = sound + self.between(0.1 * limit, 0.5 * limit)
            heard = [Event(round(asked * MS), "text", text="hear")]
            return [*heard, self.say(asked + sound + self.between(200, 0.4 * limit), item)]
        changed = [self.say(when - self.between(100, 500), item)] if way == "changed" else []
        return [*changed, self.say(when, item)]

    def back(self, item: Item, asked: tuple[Keys, ...], sound: float, limit: float) -> Events:
        """Plays it back: right, wrong, short, again, in another octave, too soon, with a hearing between."""
        events: Events = []
        time = sound + self.between(-600, 0.3 * limit)
        single = all(len(step) == 1 for step in asked)
        for _ in range(self.chance.choice((0, 1, 1, 1, 2, 3))):
            octave = 12 * self.chance.choice((-1, 0, 0, 1))
            for step in asked:
                way = self.chance.choices(("right", "wrong", "none", "twice"), (80, 10, 6, 4))[0]
                keys = [key + octave + (way == "wrong") for key in step]
                for _ in range({"none": 0, "twice": 2}.get(way, 1)):
                    hold = self.between(60, 420)
                    events += self.press(max(time, 0), keys) + self.lift(max(time, 0) + hold + 120, keys)
                    time += self.between(140, 600) if single else self.between(230, 900)
            # Words never stand at the time of a key: what comes first is then the file's business.
            time = max(time, 60) + self.chance.choice((0, 300, 1000, 1400, 2500)) + 20
            way = self.chance.random()
            if way < 0.15:
                events.append(Event(round(max(time, 0) * MS), "text", text="answer"))
            elif way < 0.35 and item.hearings != 1:
                events.append(Event(round(max(time, 0) * MS), "text", text="hear"))
                time += self.chance.choice((200, sound + 50, sound + 400))
            time += 20
        return sorted(events, key=lambda event: event.time)

    def say(self, time: float, item: Item) -> Event:
        """One answer, right or wrong."""
        text = self.spelled(item) if item.kind == "spell" else self.named(item)
        return Event(round(time * MS), "text", text=f"answer {text}")

    def named(self, item: Item) -> str:
        """A name: mostly right."""
        if is_dictation(item):
            return self.dictated(item)
        if self.chance.random() < 0.6 or not item.options:
            return self.chance.choice(item.answers)
        if isinstance(item.options[0], str):
            return str(self.chance.choice(item.options))
        return " / ".join(self.chance.choice(part) for part in item.options)

    def dictated(self, item: Item) -> str:
        """Bass and quality of each chord: mostly right, some wrong, some left out, the end too."""
        rows = []
        for accepted, options in zip(item.answers, item.options):
            way = self.chance.choices(("right", "any", "none"), (70, 22, 8))[0]
            rows.append({"right": self.chance.choice(accepted), "any": self.chance.choice(options), "none": ""}[way])
        if self.chance.random() < 0.15:
            del rows[self.chance.randrange(1, len(rows)):]
        return " / ".join(rows)

    def spelled(self, item: Item) -> str:
        """Notes: right, respelled, wrong in one place, or too few."""
        row = notes(self.chance.choice(item.answers))
        ways = ("right", "respelled", "wrong", "few", "bare", "scant", "more")
        way = self.chance.choices(ways, (42, 20, 18, 8, 5, 4, 3))[0]
        place = self.chance.randrange(1, len(row))
        if way == "respelled":
            row[place] = RESPELLED.get(row[place], row[place] + "b")
        elif way == "wrong":
            row[place] = self.chance.choice("ABCDEFG")
        elif way == "more":
            row.append("D")
        few = {"few": row[:place], "bare": row[1:], "scant": row[1 : place + 1]}
        return " ".join(few.get(way, row))


RESPELLED = {
    "Ab": "G#", "Bb": "A#", "Db": "C#", "Eb": "D#", "Gb": "F#", "Cb": "B", "Fb": "E",
    "G#": "Ab", "A#": "Bb", "C#": "Db", "D#": "Eb", "F#": "Gb", "B#": "C", "E#": "F", "Bbb": "A",
}


def _keys(item: Item) -> tuple[Voicing, Keys]:
    assert item.voicing is not None
    return item.voicing, item.voicing.example


def at_once(student: Student, item: Item, limit: float) -> Events:
    """Right, in good time."""
    return student.whole(student.between(0.15 * limit, 0.9 * limit), _keys(item)[1])


def late(student: Student, item: Item, limit: float) -> Events:
    """Right, but late, later or too late."""
    share = student.chance.choices((1.2, 1.7, 2.02), (5, 3, 1))[0]
    return student.whole(round(share * limit + student.between(-100, 100)), _keys(item)[1])


def corrected(student: Student, item: Item, limit: float) -> Events:
    """One wrong key, let go and replaced while the others stay down."""
    _, keys = _keys(item)
    place = student.chance.randrange(len(keys))
    wrong = altered(keys, place, student.chance.choice((-2, -1, 1, 2)))
    onset = student.between(0.2 * limit, 0.6 * limit)
    change = onset + student.between(90, 900)
    events = student.press(onset, wrong) + student.lift(change, [wrong[place]])
    fixed = change + student.between(20, 250)
    return events + student.press(fixed, [keys[place]]) + student.let_go(fixed, keys)


def twice(student: Student, item: Item, limit: float) -> Events:
    """A wrong chord let go, then the right one, perhaps beyond the second try."""
    _, keys = _keys(item)
    time, events = student.between(0.1 * limit, 0.4 * limit), list[Event]()
    for _ in range(student.chance.choices((1, 2), (4, 1))[0]):
        step = student.chance.choice((-2, -1, 1, 2, 3))
        events += student.tap(time, [key + step for key in keys], student.between(200, 900))
        time += student.between(1100, 2300)
    return events + student.whole(time, keys)


def walked(student: Student, item: Item, limit: float) -> Events:
    """Through a neighbour of the cycle, as an attempt or in passing."""
    _, keys = _keys(item)
    before = neighbour(keys, student.chance)
    onset = student.between(0.15 * limit, 0.5 * limit)
    hold = student.between(120, 700)
    after = onset + hold + student.between(150, 900)
    if student.chance.random() < 0.3:
        after = onset + hold
        events = student.press(onset, before) + student.press(after, keys[:1], 0)
        rest = [key for key in keys[1:] if key not in before]
        events += student.lift(after + 20, [key for key in before if key not in keys], 10)
        return events + student.press(after + 60, rest, 15) + student.let_go(after + 60, keys)
    return student.tap(onset, before, hold) + student.whole(after, keys)


def misplaced(student: Student, item: Item, limit: float) -> Events:
    """The right pitch classes in a wrong order, register or with a doubling."""
    voicing, keys = _keys(item)
    way = student.chance.choice(("order", "register", "doubled"))
    played = wrong_order(voicing, keys)
    if way == "register":
        played = wrong_register(voicing, keys, student.chance)
    if way == "doubled":
        played = tuple(sorted({*keys, keys[0] + 12}))
    return student.whole(student.between(0.2 * limit, 1.3 * limit), played)


def fifth_wrong(student: Student, item: Item, limit: float) -> Events:
    """The fifth missing or wrong."""
    voicing, keys = _keys(item)
    place = fifth_place(voicing)
    place = len(keys) - 1 if place is None else place
    played = altered(keys, place, student.chance.choice((-1, 1)))
    if student.chance.random() < 0.5:
        played = keys[:place] + keys[place + 1:]
    return student.whole(student.between(0.2 * limit, 1.4 * limit), played)


def guide_wrong(student: Student, item: Item, limit: float) -> Events:
    """The third or the seventh a semitone off."""
    voicing, keys = _keys(item)
    place = guide_place(voicing, student.chance) or 0
    played = altered(keys, place, student.chance.choice((-1, 1)))
    return student.whole(student.between(0.2 * limit, 0.9 * limit), played)


def grazed(student: Student, item: Item, limit: float) -> Events:
    """Right, with a neighbouring key touched."""
    voicing, keys = _keys(item)
    onset = student.between(0.2 * limit, 0.9 * limit)
    touched = onset + student.between(-60, 90)
    return student.graze(touched, student.foreign_key(voicing, keys)) + student.whole(onset, keys)


def slipped(student: Student, item: Item, limit: float) -> Events:
    """A few foreign keys before the right chord, or one within it."""
    voicing, keys = _keys(item)
    time, events = student.between(0.1 * limit, 0.3 * limit), list[Event]()
    if student.chance.random() < 0.3:
        key = student.foreign_key(voicing, keys)
        events = student.press(time, [*keys, key]) + student.lift(time + student.between(100, 900), [key], 0)
        return events + student.let_go(time + 900, keys)
    for _ in range(student.chance.choices((1, 2, 3), (5, 3, 2))[0]):
        events += student.tap(time, [student.foreign_key(voicing, keys)], student.between(90, 250))
        time += student.between(300, 600)
    return events + student.whole(time, keys)


def rolled(student: Student, item: Item, limit: float) -> Events:
    """Rolled from the bottom, or built note by note."""
    _, keys = _keys(item)
    low, high = student.chance.choice(((40, 75), (90, 180), (220, 480)))
    onset = student.between(0.5 * limit, 0.95 * limit)
    return student.roll(onset, keys, low, high) + student.let_go(onset, keys)


def little(student: Student, item: Item, limit: float) -> Events:
    """Nothing, one key, or all but one."""
    _, keys = _keys(item)
    count = student.chance.choice((0, 1, len(keys) - 1))
    return student.tap(student.between(0.3 * limit, 0.9 * limit), keys[:count], student.between(200, 800))


def staccato(student: Student, item: Item, limit: float) -> Events:
    """Right, but let go at once."""
    return student.tap(student.between(0.2 * limit, 0.9 * limit), _keys(item)[1], student.between(35, 60))


HABITS: tuple[tuple[Habit, int], ...] = (
    (at_once, 28), (late, 10), (corrected, 10), (twice, 9), (walked, 7), (misplaced, 9), (fifth_wrong, 7),
    (guide_wrong, 5), (grazed, 6), (slipped, 7), (rolled, 7), (little, 4), (staccato, 3),
)


class Perfect(Student):
    """Plays every example in good time and answers everything right."""

    def voicing(self, item: Item) -> Events:
        """The example."""
        self.kept = []
        return self.tap(round(0.4 * float(item.seconds * 1000)), _keys(item)[1], 700)

    def in_tempo(self, item: Item) -> Events:
        """Every chord on its beat."""
        assert item.end_ms is not None
        starts = [float(chord.at_ms or 0) for chord in item.chords]
        events: Events = []
        for chord, start, end in zip(item.chords, starts, [*starts[1:], float(item.end_ms)]):
            keys = chord.voicing.example
            events += self.press(start, keys, 0) + self.lift(start + 0.8 * (end - start), keys, 0)
        return events

    def free(self, item: Item) -> Events:
        """Every chord after a third of its time."""
        assert item.chord_seconds is not None
        pace, look = round(float(item.chord_seconds) * 333), round(float(item.look_ms))
        rows = [(look + pace * (place + 1), chord.voicing.example) for place, chord in enumerate(item.chords)]
        return [event for time, keys in rows for event in self.tap(time, keys, 0.7 * pace)]

    def answer(self, item: Item) -> Events:
        """The first accepted answer, or what sounded."""
        if item.steps is not None:
            start = float(item.sound_ms) + 300
            return [event for place, keys in enumerate(item.steps)
                    for event in self.tap(start + 700 * place, keys, 400)]
        moment = round((float(item.sound_ms) + 300 * float(item.seconds)) * MS)
        return [Event(moment, "text", text=f"answer {usual(item)}")]
