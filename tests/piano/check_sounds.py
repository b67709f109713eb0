"""Hear what was rendered: is it what the answer key says, and does nothing else give it away?

    check_sounds.py FONT.sf2 FORM_WITH_KEY.toml SOUNDS_DIR [...more pairs of form and folder]

For each sound: as many strikes as the key says, each within 10 ms of its time, and in each exactly
the keys asked (hearing.py); as long as stated; no sample above -1 dBFS; both ends fade. For each
section, over all forms: levels before roving within 1 dB; and neither the level heard, nor the
length, nor the register tells the answer, nor does the register drift (cues.py). The register is the
bass that a sound begins with, of an interval the middle of its two keys. The bass under what hands
play is heard as well: under a voicing as any sound is, under a run on each chord's beat, between the
clicks. Ends with `N passed, M failed`.
"""

from __future__ import annotations

import pathlib
import sys
import tomllib

import numpy as np

import cues
from hearing import RATE, Ears, read_wav, strikes

PEAK_DB = -1.0
# Sixteen bits round by half a step.
ROUNDING = 0.5 / 32767
SPREAD_DB = 1.0
LATE_MS = 10.0
FADE = RATE // 100
# A click has died away after so long.
CLICK_MS = 100.0


def decibels(value: float) -> float:
    return 20 * float(np.log10(max(value, 1e-12)))


def faded(ends: np.ndarray) -> bool:
    """Whether a sound comes from nothing over 10 ms, and not at once."""
    size = np.abs(ends).max(axis=1)
    return size[0] == 0 and size[: FADE // 10].max() <= 0.1 * size[: 2 * FADE].max() + ROUNDING


def register(sound: list[dict]) -> float:
    keys = [key for strike in sound for key in strike["keys"]]
    return float(np.mean(keys)) if len(set(keys)) == 2 else float(min(sound[0]["keys"]))


class Section:
    """What is compared from sound to sound."""

    def __init__(self) -> None:
        self.answers: list[str] = []
        self.levels: list[float] = []
        self.roved: list[float] = []
        self.lengths: list[float] = []
        self.registers: list[float] = []
        self.strikes: list[int] = []


class Report:
    def __init__(self) -> None:
        self.passed = self.failed = 0

    def check(self, fine: bool, message: str) -> None:
        self.passed, self.failed = self.passed + bool(fine), self.failed + (not fine)
        if not fine:
            print("FAILED", message)


def hear(ears: Ears, name: str, item: dict, frames: np.ndarray, report: Report) -> None:
    """Holds one sound against its key."""
    sound = item["sound"]
    report.check(np.abs(frames).max() <= 10 ** (PEAK_DB / 20) + ROUNDING, f"{name}: louder than {PEAK_DB} dBFS")
    report.check(faded(frames) and faded(frames[::-1]), f"{name}: an end does not fade")
    length = 1000 * len(frames) / RATE
    report.check(abs(length - item["sound_ms"]) < 0.1, f"{name}: {length} ms long, stated {item['sound_ms']}")

    times = [strike["at_ms"] for strike in sound]
    found = strikes(frames)
    right = len(found) == len(times) and all(0 <= a - b <= LATE_MS for a, b in zip(found, times))
    report.check(right, f"{name}: struck at {found} ms, key says {times}")
    for strike in sound:
        begin = int(strike["at_ms"] * RATE / 1000)
        end = begin + int(strike["held_ms"] * RATE / 1000)
        keys = ears.heard(frames, begin, end)
        report.check(keys == sorted(strike["keys"]), f"{name}: heard {keys}, key says {strike['keys']}")


def hear_backing(ears: Ears, name: str, item: dict, frames: np.ndarray, report: Report) -> None:
    """Holds the bass under a run against its key, in the beat after each of its strikes."""
    bass = item["bass"]
    report.check(np.abs(frames).max() <= 10 ** (PEAK_DB / 20) + ROUNDING, f"{name}: louder than {PEAK_DB} dBFS")
    first = item["end_ms"] - bass[-1]["at_ms"] - bass[-1]["held_ms"]
    length = 1000 * len(frames) / RATE
    report.check(abs(length - first - item["bass_ms"]) < 1, f"{name}: {length} ms long")
    for strike in bass:
        begin = first + strike["at_ms"] + CLICK_MS
        end = first + strike["at_ms"] + item["beat_ms"]
        keys = ears.heard(frames, int(begin * RATE / 1000), int(end * RATE / 1000))
        report.check(keys == strike["keys"], f"{name}: heard {keys}, key says {strike['keys']}")


def compare(sections: dict[str, Section], report: Report) -> None:
    """Looks in each section for what else might tell the answer."""
    limit = cues.ALARM / (4 * max(len(sections), 1))
    for name, section in sections.items():
        spread = max(section.levels) - min(section.levels)
        report.check(spread <= SPREAD_DB, f"section {name}: levels before roving {spread:.2f} dB apart")
        words = [f"section {name}: {len(section.answers)} sounds, {spread:.2f} dB apart before roving"]
        # Sounds of as many strikes are as long as one another; how many there are is for all to hear.
        lengths = {(strikes, length) for strikes, length in zip(section.strikes, section.lengths)}
        report.check(len(lengths) == len(set(section.strikes)), f"section {name}: lengths {sorted(lengths)}")
        for what, values in (("level", section.roved), ("register", section.registers)):
            share, chance = cues.chance_of(section.answers, values)
            report.check(chance > limit, f"section {name}: the {what} tells {share:.2f} of the answer (p {chance:.4f})")
            words.append(f"{what} explains {share:.3f} (p {chance:.2f})")
        along, chance = cues.drift(section.registers)
        report.check(chance > limit, f"section {name}: the register drifts by r {along:.2f} (p {chance:.4f})")
        words.append(f"register drifts {along:+.2f} (p {chance:.2f})")
        print("; ".join(words))


def main(arguments: list[str]) -> int:
    ears = Ears(arguments[0])
    report = Report()
    sections: dict[str, Section] = {}
    count = struck = 0

    for form_path, folder in zip(arguments[1::2], arguments[2::2]):
        form = tomllib.loads(pathlib.Path(form_path).read_text())
        items = {item["number"]: item for item in form["item"] + form.get("reserve", [])}
        index = tomllib.loads((pathlib.Path(folder) / "index.toml").read_text())
        asked = [number for number, item in items.items() if item["kind"] == "ear" or "bass" in item]
        report.check([sound["item"] for sound in index["sound"]] == asked, f"{form['form']}: not every sound is there")
        for sound in index["sound"]:
            item = items[sound["item"]]
            frames = read_wav(pathlib.Path(folder) / sound["file"])
            name = f"{form['form']} item {sound['item']}"
            if "bass" in item:
                count, struck = count + 1, struck + len(item["bass"])
                if item["kind"] == "run":
                    hear_backing(ears, name, item, frames, report)
                else:
                    hear(ears, name, item | {"sound": item["bass"], "sound_ms": item["bass_ms"]}, frames, report)
                continue
            hear(ears, name, item, frames, report)
            count, struck = count + 1, struck + len(item["sound"])
            if item.get("play_back"):
                # What is played back has no options that anything could tell.
                continue

            section = sections.setdefault(f"{form['exam']}/{item['section']}", Section())
            held = max(strike["at_ms"] + strike["held_ms"] for strike in item["sound"])
            level = decibels(np.sqrt(np.mean(frames[: int(held * RATE / 1000)] ** 2)))
            section.answers.append(str(item["answers"][0]))
            section.levels.append(level - sound["rove_db"])
            section.roved.append(level)
            section.lengths.append(item["sound_ms"])
            section.registers.append(register(item["sound"]))
            section.strikes.append(len(item["sound"]))

    compare(sections, report)
    print(f"{count} sounds with {struck} strikes heard")
    print(f"{report.passed} passed, {report.failed} failed")
    return 1 if report.failed or not count else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
