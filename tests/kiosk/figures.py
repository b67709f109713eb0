"""Measures the kiosk in its real window: first page, processor, memory, and how soon a key is echoed on the page.

    figures.py PROGRAM [--size 1280x720]

PROGRAM is a build with the feature `jack`. Prints figures and sets no limits: they are the machine's as much as the
program's. The echo is the time from just before a player in another process sends a note to the first picture of the
strip of keys that differs, looked at again and again.
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from pathlib import Path

from Xlib import X, display
from sit import LIVE, Player, Recorder, Room, Window, check, strike


def processor(pid: int) -> float:
    """Seconds that a process has had."""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(") ", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def share(pid: int, seconds: float) -> float:
    before, begun = processor(pid), time.monotonic()
    time.sleep(seconds)
    return 100 * (processor(pid) - before) / (time.monotonic() - begun)


def echoes(room: Room, player: Player, size: str, count: int) -> list[float]:
    """Milliseconds from sending a note to seeing it, for keys of the middle of the strip."""
    root = display.Display(room.environment["DISPLAY"]).screen().root
    width, height = map(int, size.split("x"))
    top, rows = round(height * 880 / 1080) - 4, round(height * 56 / 1080) + 8

    def picture() -> bytes:
        return root.get_image(0, top, width, rows, X.ZPixmap, 0xFFFFFFFF).data

    times = []
    for number in range(count):
        key = 48 + number % 24
        before, begun = picture(), time.monotonic()
        player.tell("strike", key, 70)
        while picture() == before and time.monotonic() < begun + 1:
            pass
        times.append(1000 * (time.monotonic() - begun))
        player.expect("DONE")
        player.tell("release", key)
        player.expect("DONE")
        time.sleep(0.06 + 0.013 * (number % 5))
    return sorted(times)


def main() -> None:
    parser = argparse.ArgumentParser(description="Measure the kiosk in its real window.")
    parser.add_argument("program", type=Path)
    parser.add_argument("--size", default="1280x720")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        room = Room(given.size, folder)
        try:
            recorder = Recorder(room, folder / "sound.f32")
            player = Player(room)
            player.tell("open")
            player.expect("OPENED")
            begun = time.monotonic()
            kiosk = room.start(given.program, "kiosk", "--exam", LIVE / "two-of-each.toml", "--results", folder / "results")
            window = Window(room, folder)
            window.wait("Practice examination for jazz piano")
            print(f"first page: {1000 * (time.monotonic() - begun):.0f} ms, the look for its window included")
            time.sleep(2)
            print(f"cover: {share(kiosk.pid, 10):.1f} % of one core")
            strike(player, 60)
            window.wait("Your candidate number")
            window.key("3", "1", "1", "8", "Return")
            check(window, player, recorder)
            window.key("Return")
            window.wait("the first section")
            window.key("Return")
            window.wait("Play")
            print(f"an item: {share(kiosk.pid, 4):.1f} % of one core")
            window.wait("Next", within=20)
            window.wait("Play", within=20)
            times = echoes(room, player, given.size, 30)
            print(f"echo of a key: median {statistics.median(times):.1f} ms, p95 {times[round(0.95 * len(times)) - 1]:.1f} ms, "
                  f"most {times[-1]:.1f} ms, of {len(times)}")
            status = dict(line.split(":", 1) for line in Path(f"/proc/{kiosk.pid}/status").read_text().splitlines() if ":" in line)
            print("memory: " + ", ".join(f"{key} {status[key].strip()}" for key in ("VmRSS", "RssAnon", "RssFile", "RssShmem")))
        finally:
            room.leave()


if __name__ == "__main__":
    main()
