"""Read a data set with other engines and compare it with the results it was made from.

    python dataset.py --program PATH                    makes results and a data set, checks it
    python dataset.py --dataset DIR --results DIR       checks one that is there

The results are read by Python's tomllib; the data set by DuckDB, Polars and
PyArrow (dataset-requirements.txt), each by itself. Ends with `N passed` and
exits with 1 at the first difference.
"""

from __future__ import annotations

import argparse
import datetime
import subprocess
import sys
import tempfile
import tomllib
from collections import Counter
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

import duckdb
import polars
import pyarrow
import pyarrow.dataset

ROOT = Path(__file__).resolve().parents[2]
TABLES = ("sittings", "items", "events")
TYPES = {
    "sittings": {
        "result": "VARCHAR", "remark_of": "VARCHAR", "candidate": "VARCHAR", "form": "VARCHAR",
        "edition": "VARCHAR", "exam_digest": "VARCHAR", "started": "TIMESTAMP WITH TIME ZONE",
        "length_us": "BIGINT", "ended": "VARCHAR", "time_factor_percent": "INTEGER",
        "mark_hundredths": "BIGINT", "out_of_hundredths": "BIGINT", "band": "VARCHAR",
        "passed": "BOOLEAN", "standard_error": "DOUBLE", "provisional": "BOOLEAN",
        "walked": "INTEGER", "overruled": "INTEGER", "incidents": "INTEGER",
        "program": "VARCHAR", "rubric": "INTEGER", "by_hand": "VARCHAR", "date": "DATE", "exam": "VARCHAR",
    },
    "items": {
        "result": "VARCHAR", "place": "INTEGER", "number": "INTEGER", "section": "VARCHAR",
        "kind": "VARCHAR", "cell": "INTEGER", "prompt": "VARCHAR", "chord": "VARCHAR",
        "counts": "BOOLEAN", "reached": "BOOLEAN", "level": "INTEGER",
        "credit_hundredths": "BIGINT", "mark_hundredths": "BIGINT", "out_of_hundredths": "BIGINT",
        "overruled": "BOOLEAN", "reason": "VARCHAR", "right": "VARCHAR", "answered": "VARCHAR",
        "time_us": "BIGINT", "walked": "BOOLEAN", "attempts": "INTEGER", "hearings": "INTEGER",
        "keys": "VARCHAR", "date": "DATE", "exam": "VARCHAR",
    },
    "events": {
        "result": "VARCHAR", "place": "INTEGER", "number": "INTEGER", "at_us": "BIGINT",
        "action": "VARCHAR", "key": "INTEGER", "velocity": "INTEGER", "pedal": "INTEGER",
        "text": "VARCHAR", "date": "DATE", "exam": "VARCHAR",
    },
}
"""The columns of each table as DuckDB calls their types."""
checks = 0


def same(what: str, found: object, expected: object) -> None:
    """Counts a check; ends the program where it fails."""
    global checks
    if found == expected:
        checks += 1
        return
    sys.exit(f"{what}:\nfound    {str(found)[:2000]}\nexpected {str(expected)[:2000]}")


def hundredths(number: object) -> int:
    """A number with two decimals, exactly."""
    return int(Decimal(str(number)) * 100)


def microseconds(ms: object) -> int:
    """Milliseconds with one decimal, exactly."""
    return int(Decimal(str(ms)) * 1000)


@dataclass
class Expected:
    """The rows as the results have them."""

    sittings: dict[str, tuple] = field(default_factory=dict)
    items: dict[tuple[str, int], tuple] = field(default_factory=dict)
    events: dict[tuple[str, int, int], tuple] = field(default_factory=dict)

    def add(self, result: dict) -> None:
        """Adds what one result states."""
        sitting, total = result["sitting"], result["total"]
        digest = result["seal"]["head"]
        started = datetime.datetime.fromisoformat(sitting["started"]).astimezone(datetime.UTC)
        where = (sitting["exam"], started.date())
        self.sittings[digest] = where + (
            sitting["candidate"], sitting["form"], started, microseconds(sitting["length_ms"]) if "length_ms" in sitting else None,
            sitting["ended"], hundredths(sitting["time_factor"]), hundredths(total["mark"]),
            hundredths(total["out_of"]), total["band"], total.get("passed"),
            result["result"].get("remark_digest"), len(result.get("overrule", [])),
            len(result.get("incident", [])))
        for place, item in enumerate(result.get("item", []), 1):
            complete = item.get("complete_ms", item.get("answered_ms"))
            self.items[digest, place] = where + (
                item["number"], item["section"], item["kind"], item["prompt"],
                not item.get("voided", False), "shown_ms" in item, item["level"],
                None if item.get("awaited") else hundredths(item["credit"]),
                hundredths(item["mark"]), hundredths(item["out_of"]),
                None if complete is None else microseconds(complete),
                " ".join(map(str, item.get("keys", []))) or None)
            for number, line in enumerate(item.get("evidence", []), 1):
                self.events[digest, place, number] = where + event(line)


def event(line: str) -> tuple:
    """Reads a line such as `1234.5 down 60 80`."""
    at, action, *rest = line.split(" ", 2)
    rest = rest[0] if rest else ""
    key = velocity = pedal = text = None
    if action == "down":
        key, velocity = map(int, rest.split())
    elif action == "up":
        key = int(rest)
    elif action == "pedal":
        pedal = int(rest)
    elif action == "answer":
        text = rest
    return microseconds(at), action, key, velocity, pedal, text


COLUMNS = {
    "sittings": "result, exam, date, candidate, form, started, length_us, ended, "
                "time_factor_percent, mark_hundredths, out_of_hundredths, band, passed, "
                "remark_of, overruled, incidents",
    "items": "result, place, exam, date, number, section, kind, prompt, counts, reached, level, "
             "credit_hundredths, mark_hundredths, out_of_hundredths, time_us, keys",
    "events": "result, place, number, exam, date, at_us, action, key, velocity, pedal, text",
}
KEYS = {"sittings": 1, "items": 2, "events": 3}


def by_key(table: str, rows: list[tuple]) -> dict:
    """Rows by their key, which none has in common with another."""
    split = KEYS[table]
    found = {row[0] if split == 1 else row[:split]: row[split:] for row in rows}
    same(f"{table}: keys", len(found), len(rows))
    return found


def check_rows(engine: str, table: str, rows: list[tuple], expected: Expected) -> None:
    """Compares a table row by row."""
    found, wanted = by_key(table, rows), getattr(expected, table)
    same(f"{engine}, {table}: rows", set(found), set(wanted))
    for key, row in wanted.items():
        if found[key] != row:
            same(f"{engine}, {table}, {key}", found[key], row)
    same(f"{engine}, {table}", len(found), len(wanted))


def check_duckdb(folder: Path, expected: Expected) -> None:
    """Reads with DuckDB: types, rows, sums and joins."""
    engine = duckdb.connect()
    engine.execute("SET TimeZone = 'UTC'")
    for table in TABLES:
        engine.execute(f"CREATE VIEW {table} AS SELECT * FROM read_parquet("
                       f"'{folder}/{table}/*/*/*.parquet', hive_partitioning = true)")
        types = {name: kind for name, kind, *_ in engine.execute(f"DESCRIBE {table}").fetchall()}
        same(f"DuckDB, {table}: types", types, TYPES[table])
        rows = engine.execute(f"SELECT {COLUMNS[table]} FROM {table}").fetchall()
        if table == "sittings":
            place = COLUMNS[table].split(", ").index("started")
            rows = [row[:place] + (row[place].astimezone(datetime.UTC),) + row[place + 1:]
                    for row in rows]
        check_rows("DuckDB", table, rows, expected)

    lost = engine.execute(
        "SELECT (SELECT count(*) FROM items ANTI JOIN sittings USING (result)), "
        "(SELECT count(*) FROM events ANTI JOIN items USING (result, place))").fetchone()
    same("DuckDB: rows that join nothing", lost, (0, 0))
    # The marks of the items, joined to their sittings, summed by exam and day.
    found = engine.execute(
        "SELECT s.exam, s.date, sum(i.mark_hundredths)::BIGINT, sum(i.credit_hundredths)::BIGINT "
        "FROM sittings s JOIN items i USING (result) GROUP BY ALL").fetchall()
    marks, credits = Counter(), Counter()
    for (_, _), row in expected.items.items():
        marks[row[:2]] += row[10]
        credits[row[:2]] += row[9] or 0
    same("DuckDB: sums over the join",
         {row[:2]: row[2:] for row in found},
         {where: (marks[where], credits[where]) for where in marks})
    found = engine.execute(
        "SELECT i.kind, e.action, count(*), sum(e.at_us)::BIGINT "
        "FROM items i JOIN events e USING (result, place) GROUP BY ALL").fetchall()
    counts, times = Counter(), Counter()
    for (result, place, _), row in expected.events.items():
        key = expected.items[result, place][4], row[3]
        counts[key] += 1
        times[key] += row[2]
    same("DuckDB: events by kind of item and action",
         {row[:2]: row[2:] for row in found}, {key: (counts[key], times[key]) for key in counts})


def check_polars(folder: Path, expected: Expected) -> None:
    """Reads with Polars: rows, one day alone, sums over a join."""
    scans = {table: polars.scan_parquet(folder / table, hive_partitioning=True)
             for table in TABLES}
    for table, scan in scans.items():
        schema = scan.collect_schema()
        same(f"Polars, {table}: columns", set(schema.names()), set(TYPES[table]))
        same(f"Polars, {table}: date", schema["date"], polars.Date())
        same(f"Polars, {table}: unsigned",
             [name for name, kind in schema.items() if kind.is_unsigned_integer()], [])
        rows = scan.select(COLUMNS[table].split(", ")).collect().rows()
        check_rows("Polars", table, rows, expected)
    same("Polars: started", scans["sittings"].collect_schema()["started"],
         polars.Datetime("ms", "UTC"))

    day = max(row[1] for row in expected.sittings.values())
    found = (scans["sittings"].filter(polars.col("date") == day)
             .join(scans["events"], on="result").group_by("result").len().collect().rows())
    counts = Counter(result for (result, *_), row in expected.events.items() if row[1] == day)
    same(f"Polars: events on {day}", dict(found), dict(counts))


def check_arrow(folder: Path, expected: Expected) -> None:
    """Reads with PyArrow: how many rows, and no number that is unsigned."""
    for table in TABLES:
        data = pyarrow.dataset.dataset(folder / table, format="parquet", partitioning="hive")
        same(f"PyArrow, {table}", data.count_rows(), len(getattr(expected, table)))
        kinds = [field.type for field in data.schema]
        same(f"PyArrow, {table}: unsigned",
             [kind for kind in kinds if pyarrow.types.is_unsigned_integer(kind)], [])


def make(program: Path, folder: Path) -> tuple[Path, Path]:
    """Has the program sit an exam over some days, and write the data set twice."""
    results, dataset = folder / "results", folder / "dataset"
    sit = [program, "sit", ROOT / "exams/guide-tones.toml",
           "--performance", ROOT / "exams/demo/first-sitting.mid", "--results", results]
    for candidate in range(8):
        subprocess.run([*sit, "--candidate", str(3100 + candidate), "--started",
                        f"2026-03-{12 + candidate % 3}T10:{candidate:02}:00Z"],
                       check=True, stdout=subprocess.DEVNULL)
    subprocess.run([program, "remark", sorted(results.glob("*.toml"))[0]],
                   check=True, stdout=subprocess.DEVNULL)
    for result in (ROOT / "tests/fixtures/results/v1").glob("*.toml"):
        (results / f"old-{result.name}").write_bytes(result.read_bytes())
    for _ in range(2):
        # The class is small, so that the program may have something to say.
        subprocess.run([program, "moderate", results, "--dataset", dataset],
                       check=True, stdout=subprocess.DEVNULL)
    return dataset, results


def main() -> None:
    """Checks one data set."""
    arguments = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    arguments.add_argument("--program", type=Path)
    arguments.add_argument("--dataset", type=Path)
    arguments.add_argument("--results", type=Path)
    given = arguments.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        if given.program:
            dataset, results = make(given.program.resolve(), Path(folder))
        elif given.dataset and given.results:
            dataset, results = given.dataset, given.results
        else:
            arguments.error("--program, or --dataset with --results")
        expected = Expected()
        for path in sorted(results.glob("*.toml")):
            expected.add(tomllib.loads(path.read_text(encoding="utf-8")))
        same("there are results", bool(expected.events), True)
        check_duckdb(dataset, expected)
        check_polars(dataset, expected)
        check_arrow(dataset, expected)
    print(f"{len(expected.sittings)} sittings, {len(expected.items)} items, "
          f"{len(expected.events)} events; {checks} passed")


if __name__ == "__main__":
    main()
