"""Sits an exam in the kiosk's real window: real keys, real MIDI from another process, sound recorded from the output.

    sit.py PROGRAM [--exam FILE] [--performance FILE] [--size 1280x720] [--out DIR] [--whole | --heard]

PROGRAM is a build with the feature `jack`. Starts a virtual display, a sound server and a MIDI server without hardware,
opens the kiosk on them, goes from the cover to the last page as a candidate would (typing, tapping along, playing the
performance item by item, answering by keys), keeps a picture of every page in DIR, and compares the result with the one
that the same performance gives from its file: same items, same credits. Ends with 0 if they agree.

Needs Debian's xvfb openbox xdotool imagemagick x11-utils jackd2 pulseaudio pulseaudio-utils and requirements.txt of
tests/servers.
"""

from __future__ import annotations

import argparse
import json
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
import tomllib
from pathlib import Path

import mido

ROOT = Path(__file__).resolve().parents[2]
SERVERS = ROOT / "tests/servers"
LIVE = ROOT / "tests/fixtures/sittings/live"
ACCIDENTALS = {"b": ["minus"], "bb": ["underscore"], "#": ["numbersign"], "##": ["asterisk"], "": []}


class Room:
    """Servers, window and player, ended when it is left."""

    def __init__(self, size: str, folder: Path) -> None:
        self.size, self.folder, self.started = size, folder, []
        number = next(n for n in range(80, 180) if not Path(tempfile.gettempdir(), f".X11-unix/X{n}").exists())
        self.name = f"kiosk-{os.getpid()}"
        self.environment = {
            **os.environ,
            "DISPLAY": f":{number}",
            "PULSE_SERVER": f"unix:{folder}/pulse.sock",
            "JACK_DEFAULT_SERVER": self.name,
            "JACK_NO_START_SERVER": "1",
            "JACK_NO_AUDIO_RESERVATION": "1",
        }
        self.environment.pop("WAYLAND_DISPLAY", None)
        self.run("bash", SERVERS / "start_screen.sh", folder, str(number), size)
        self.run("bash", SERVERS / "start_pulse.sh", folder)
        self.run("sh", SERVERS / "start_jack.sh", folder, self.name)

    def run(self, *command: object) -> str:
        done = subprocess.run(list(map(str, command)), env=self.environment, check=True, text=True, stdout=subprocess.PIPE)
        return done.stdout

    def start(self, *command: object, **keywords: object) -> subprocess.Popen:
        process = subprocess.Popen(list(map(str, command)), env=self.environment, **keywords)
        self.started.append(process)
        return process

    def leave(self) -> None:
        for process in reversed(self.started):
            process.terminate()
            try:
                process.wait(5)
            except subprocess.TimeoutExpired:
                process.kill()
        # A server that ends before it has missed its clients keeps its place among the few that a machine can have.
        time.sleep(1)
        for name in ("jack", "pulse", "wm", "xvfb"):
            path = self.folder / f"{name}.pid"
            if path.exists():
                try:
                    os.kill(int(path.read_text()), signal.SIGTERM)
                except ProcessLookupError:
                    pass


class Player:
    """The independent player on JACK."""

    def __init__(self, room: Room) -> None:
        self.process = room.start(sys.executable, SERVERS / "send_keys_jack.py", stdin=subprocess.PIPE,
                                  stdout=subprocess.PIPE, text=True)
        self.expect("READY")

    def tell(self, *words: object) -> None:
        print(*words, file=self.process.stdin, flush=True)

    def expect(self, word: str) -> None:
        while word not in (line := self.process.stdout.readline()):
            if not line:
                raise RuntimeError(f"the player ended before it said {word}")


class Window:
    """The kiosk's window, as somebody in front of it has it."""

    def __init__(self, room: Room, out: Path) -> None:
        self.room, self.out, self.pictures = room, out, 0

    def title(self) -> str:
        found = subprocess.run(["xdotool", "search", "--name", "^Viva Voicing", "getwindowname"], text=True,
                               env=self.room.environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, check=False)
        return found.stdout.strip().removeprefix("Viva Voicing · ")

    def wait(self, *titles: str, within: float = 30) -> str:
        """Waits for a page."""
        end = time.monotonic() + within
        while (title := self.title()) not in titles:
            if time.monotonic() > end:
                raise RuntimeError(f"expected a page {titles}, found {title!r}")
            time.sleep(0.02)
        return title

    def key(self, *names: str) -> None:
        self.room.run("xdotool", "key", *names)

    def picture(self, name: str) -> None:
        self.pictures += 1
        path = self.out / f"{self.pictures:02}-{name}.png"
        self.room.run("import", "-window", "root", path)


class Recorder:
    """What comes out of the output, kept and listened to."""

    def __init__(self, room: Room, path: Path) -> None:
        self.process = room.start("parec", "--raw", "--device=exam.monitor", "--rate=48000", "--channels=2",
                                  "--format=float32le", "--latency-msec=20", stdout=subprocess.PIPE)
        self.path, self.sounding, self.onsets, self.quiet, self.heard = path, False, [], 1.0, False
        threading.Thread(target=self.listen, daemon=True).start()

    def listen(self) -> None:
        with self.path.open("wb") as file:
            while block := self.process.stdout.read1(1 << 14):
                file.write(block)
                # Silence is exact on an output without hardware.
                if any(block):
                    if self.quiet > 0.1:
                        self.onsets.append(time.monotonic())
                    self.quiet, self.heard = 0.0, True
                else:
                    self.quiet += len(block) / 8 / 48000

    def next_onset(self, within: float = 10) -> float:
        """When the next sound after a silence was heard."""
        count, end = len(self.onsets), time.monotonic() + within
        while len(self.onsets) == count:
            if time.monotonic() > end:
                raise RuntimeError("nothing is heard")
            time.sleep(0.001)
        return self.onsets[-1]


class Journal:
    """The journal of the sitting, read while it grows: what was shown, and when it was read."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.read = folder, 0

    def events(self) -> list[dict]:
        paths = sorted(self.folder.glob("journals/*.journal"))
        if not paths:
            return []
        lines = paths[0].read_text(encoding="utf-8").split("\n")[:-1]
        new, self.read = lines[self.read:], len(lines)
        return [json.loads(line)["b"] for line in new]


def answers(performance: Path) -> dict[int, list[tuple[float, str]]]:
    """What the performance does on the screen in each item: seconds since its marker, and the answer or `hear`."""
    doings: dict[int, list[tuple[float, str]]] = {}
    now, zero, item = 0.0, 0.0, 0
    for message in mido.MidiFile(performance):
        now += message.time
        if message.type == "marker" and message.text.startswith("item "):
            zero, item = now, int(message.text.split()[1])
        elif message.type == "text" and (message.text == "hear" or message.text.startswith("answer")):
            # The library takes texts as Latin-1; ours are UTF-8.
            doings.setdefault(item, []).append((now - zero, message.text.encode("latin-1").decode("utf-8")))
    return doings


def look(item: dict) -> str:
    """What its page looks like, in a word."""
    if item.get("play_back"):
        return "play-back"
    return "dictation" if item["kind"] == "ear" and isinstance(item["options"][0], list) else item["kind"]


def place(answer: str, options: list[str], accepted: list[str]) -> str:
    """The key that fills a place of what is taken down."""
    if answer in accepted:
        answer = next(option for option in options if option in accepted)
    return "1234567890abcdefghijklmnop"[options.index(answer)]


def keys_of(doing: str, item: dict, written: int) -> list[str]:
    """The computer's keys that do it: a figure for an option, letters and accidentals for a spelling."""
    if doing == "hear":
        return ["space"]
    answer = doing.removeprefix("answer").strip()
    if item.get("play_back"):
        return []
    if item["kind"] == "ear":
        options = item["options"]
        if isinstance(options[0], list):
            parts = zip((part.strip() for part in answer.split("/")), options, item["answers"], strict=True)
            keys = [place(*part) for part in parts]
            # Along the basses first, then along the qualities, as the page goes on by itself.
            return keys[::2] + keys[1::2]
        # Any accepted name of the right option is that option.
        if answer in item["answers"]:
            answer = next((option for option in options if option in item["answers"]), answer)
        return [str((options.index(answer) + 1) % 10)] if answer in options else []
    names = []
    for name in answer.split():
        names += [name[0].lower(), *ACCIDENTALS[name[1:]]]
    return ["BackSpace"] * written + names


def check(window: Window, player: Player, recorder: Recorder) -> None:
    """The check of keyboard and sound, as the page asks."""
    done = False
    while not done:
        title = window.wait("Play the lowest key", "Play middle C", "Is the chord comfortable to hear?",
                            "Tap along with the beats", "The plan of the examination", within=60)
        if title == "Play the lowest key":
            window.picture("lowest")
            strike(player, 21)
        elif title == "Play middle C":
            window.picture("middle-c")
            strike(player, 60)
        elif title == "Is the chord comfortable to hear?":
            time.sleep(0.5)
            window.key("Right")
            time.sleep(0.5)
            window.picture("level")
            window.key("Return")
        elif title == "Tap along with the beats":
            # Four beats count in, at 90 a minute; then a tap for each beat, as it is heard.
            first, beat = recorder.next_onset(), 60 / 90
            for tap in range(4, 12):
                time.sleep(max(0.0, first + tap * beat - time.monotonic()))
                strike(player, 60)
            time.sleep(1.5)
            window.picture("tap")
        else:
            done = True
        end = time.monotonic() + 20
        while not done and window.title() == title and time.monotonic() < end:
            if title == "Tap along with the beats":
                window.key("Return")
            time.sleep(0.1)


def strike(player: Player, key: int) -> None:
    player.tell("strike", key, 70)
    player.expect("DONE")
    time.sleep(0.06)
    player.tell("release", key)
    player.expect("DONE")


def sit(window: Window, player: Player, journal: Journal, form: dict, doings: dict, within: float) -> float:
    """The sitting: each prompt is answered as the performance does."""
    items = {item["number"]: item for item in [*form["item"], *form.get("reserve", [])]}
    plan: list[tuple[float, str, int]] = []
    seen: set[str] = set()
    written = 0
    end = time.monotonic() + within
    item, lag, pressed = 0, 0.0, 0.0
    while time.monotonic() < end:
        now = time.monotonic()
        for event in journal.events():
            if "lag" in event:
                lag = event["lag"] / 10
            elif "shown" in event:
                item, written = event["shown"], 0
                # Whoever taps late plays late, where there are beats.
                player.tell("item", item, round(1000 * lag) if "beat_ms" in items[item] else 0)
                plan = [(now + at, doing, item) for at, doing in doings.get(item, [])]
                if look(items[item]) not in seen:
                    plan.append((now + 1.2, "picture", item))
        while plan and min(plan)[0] <= now:
            entry = min(plan)
            plan.remove(entry)
            _, doing, number = entry
            if doing == "picture":
                seen.add(look(items[number]))
                window.picture(f"item-{look(items[number])}")
                continue
            keys = keys_of(doing, items[number], written)
            if items[number]["kind"] == "spell":
                written = len(doing.removeprefix("answer").split())
            if keys:
                window.key(*keys)
        title = window.title()
        if title == "the first section":
            if title not in seen:
                window.picture("section")
                seen.add(title)
            if now > pressed + 1:
                window.key("Return")
                pressed = now
        if title == "Thank you":
            return lag
        time.sleep(0.004)
    raise RuntimeError("the sitting did not end in time")


def credits(result: Path) -> dict[int, tuple]:
    table = tomllib.loads(result.read_text(encoding="utf-8"))
    return {item["number"]: (item["credit"], tuple(item["reasons"])) for item in table["item"]}


def main() -> int:
    parser = argparse.ArgumentParser(description="Sit an exam in the kiosk's real window.")
    parser.add_argument("program", type=Path)
    parser.add_argument("--exam", type=Path, default=LIVE / "two-of-each.toml")
    parser.add_argument("--performance", type=Path, default=LIVE / "two-of-each.mid")
    parser.add_argument("--whole", action="store_true", help="the whole shipped exam")
    parser.add_argument("--heard", action="store_true", help="what is played back, taken down and played over a bass")
    parser.add_argument("--size", default="1280x720")
    parser.add_argument("--text", default="100")
    parser.add_argument("--out", type=Path, default=ROOT / "target/kiosk")
    given = parser.parse_args()
    if given.whole:
        given.exam, given.performance = ROOT / "exams/guide-tones.toml", ROOT / "exams/demo/first-sitting.mid"
    if given.heard:
        given.exam, given.performance = LIVE / "play-back.toml", LIVE / "play-back.mid"
    out = given.out / given.size
    out.mkdir(parents=True, exist_ok=True)

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        form = tomllib.loads(subprocess.run([given.program, "form", given.exam, "--key"], check=True, text=True,
                                            stdout=subprocess.PIPE).stdout)
        room = Room(given.size, folder)
        try:
            recorder = Recorder(room, out / "sound.f32")
            player = Player(room)
            player.tell("open")
            player.expect("OPENED")
            player.tell("load", given.performance.resolve())
            player.expect("DONE")
            results = folder / "results"
            kiosk = room.start(given.program, "kiosk", "--exam", given.exam, "--results", results,
                               "--text", given.text)
            begun = time.monotonic()
            window = Window(room, out)
            window.wait("Practice examination for jazz piano")
            print(f"cover after {time.monotonic() - begun:.2f} s")
            time.sleep(1)
            window.picture("cover")
            strike(player, 60)
            window.wait("Your candidate number")
            window.key("3", "1", "1", "8")
            time.sleep(0.3)
            window.picture("sign-in")
            window.key("Return")
            check(window, player, recorder)
            window.wait("The plan of the examination")
            window.picture("plan")
            window.key("Return")
            lag = sit(window, player, Journal(results), form, answers(given.performance), 3000 if given.whole else 300)
            time.sleep(0.5)
            window.picture("end")
            spent(kiosk.pid, time.monotonic() - begun)
            [result] = results.glob("*.toml")
            subprocess.run([given.program, "sit", given.exam, "--performance", given.performance, "--results",
                            folder / "expected", "--lag", str(lag)], check=True, stdout=subprocess.DEVNULL)
            [expected] = (folder / "expected").glob("*.toml")
            found, wanted = credits(result), credits(expected)
        finally:
            room.leave()
        differ = {number: (wanted.get(number), found.get(number)) for number in sorted(wanted | found)
                  if wanted.get(number) != found.get(number)}
        for number, (want, have) in differ.items():
            print(f"item {number}: {want} from the file, {have} in the window")
        print(f"{len(wanted) - len(differ)} of {len(wanted)} items agree; lag {lag:.1f} ms; sound {'was' if recorder.heard else 'was not'} "
              f"heard; pictures in {out}")
        return 0 if not differ and recorder.heard else 1


def spent(pid: int, wall: float) -> None:
    """What the kiosk took: processor time and memory, as the kernel counts them."""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(") ", 1)[1].split()
    ticks = (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
    status = dict(line.split(":", 1) for line in Path(f"/proc/{pid}/status").read_text().splitlines() if ":" in line)
    print(f"{ticks:.1f} s of processor in {wall:.0f} s ({100 * ticks / wall:.1f} %), memory {status['VmHWM'].strip()} at most; now "
          f"{status['RssAnon'].strip()} of its own, {status['RssFile'].strip()} of files, {status['RssShmem'].strip()} shared "
          "with servers")


if __name__ == "__main__":
    sys.exit(main())
