"""A class worked out again by pandas, scipy and pingouin, and compared with the program's tables.

    python moderate.py PROGRAM RESULTS

Runs `PROGRAM moderate RESULTS --out ...`, reads the same results with Python's own TOML reader,
makes the same tables, and says both times. Ends with 1 at the first table that differs. Results
that were marked again must not be among them: chains are not what is compared here.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
import tomllib
from collections import defaultdict
from pathlib import Path

import numpy as np
import pandas as pd
import pingouin
from scipy import stats

TABLES = ("class.csv", "items.csv", "confusions.csv", "reliability.csv", "forms.csv", "chords.csv")


def read(folder: Path) -> list[dict]:
    """Every result of a folder, with its file."""
    results = []
    for path in sorted(folder.rglob("*.toml")):
        result = tomllib.loads(path.read_text(encoding="utf-8"))
        result["file"] = path.relative_to(folder).as_posix()
        results.append(result)
    return results


def is_void(result: dict) -> bool:
    return result["sitting"]["ended"] == "void" or result["total"]["band"] == "void"


def class_table(results: list[dict]) -> pd.DataFrame:
    rows = []
    for result in results:
        sitting, total = result["sitting"], result["total"]
        row = {
            "candidate": sitting["candidate"],
            "form": sitting["form"],
            "started": sitting["started"],
            "ended": sitting["ended"],
            "mark": total["mark"],
            "out_of": total["out_of"],
            "standard_error": total["standard_error"],
            "band": total["band"],
            "passed": "" if "passed" not in total or is_void(result) else ("no", "yes")[total["passed"]],
        }
        for section in result["section"]:
            row[f"section_{section['id']}"] = section["mark"]
        row |= {
            "hurdles_missed": " ".join(s["id"] for s in result["section"] if not (s.get("hurdle_passed", True) and s.get("each_passed", True))),
            "walked": result["profile"].get("walked", ""),
            "overruled": len(result.get("overrule", [])),
            "incidents": len(result.get("incident", [])),
            "result": result["file"],
            "digest": result["seal"]["head"],
            "by_hand": " and ".join(sitting.get("marked_by_hand_by", [])),
        }
        rows.append(row)
    return pd.DataFrame(rows).sort_values(["candidate", "started", "digest"], ignore_index=True)


def item_frame(results: list[dict]) -> pd.DataFrame:
    """A row for each item that counts, of sittings whose mark stands."""
    rows = []
    for sitting, result in enumerate(results):
        if is_void(result) or result["total"].get("provisional", False):
            continue
        for item in result["item"]:
            if item.get("voided") or item.get("awaited"):
                continue
            rows.append({
                "sitting": sitting,
                "form": result["sitting"]["form"],
                "section": item["section"],
                "kind": item["kind"],
                "cell": item["cell"],
                "number": item["number"],
                "prompt": item["prompt"],
                "right": " | ".join(item.get("right", [])),
                "answered": item.get("answered", []),
                "keys": item.get("right", []),
                "level": item["level"],
                "credit": item["credit"],
                "mark": item["mark"],
                "rest": result["total"]["mark"] - item["mark"],
            })
    return pd.DataFrame(rows)


def analysed(group: pd.DataFrame) -> dict:
    """The figures of one item or cell."""
    spread = group["mark"].nunique() > 1 and group["rest"].round(2).nunique() > 1
    return {
        "asked": len(group),
        "sittings": group["sitting"].nunique(),
        "difficulty": group["credit"].mean(),
        "share_right": (group["credit"] == 1).mean(),
        **{f"level_{level}": int((group["level"] == level).sum()) for level in range(5)},
        "discrimination": stats.pearsonr(group["mark"], group["rest"])[0] if spread else np.nan,
    }


def rare(group: pd.DataFrame, labels: dict) -> str:
    """Wrong answers chosen by under 5 %."""
    if group["kind"].iloc[0] != "ear":
        return ""
    words = []
    section = group["section"].iloc[0]
    # The chords of a dictation ask the same in turn.
    questions = max((part for name, part in labels if name == section), default=1)
    for part, right in enumerate(group["keys"].iloc[0]):
        chosen = group["answered"].map(lambda answers: answers[part]).value_counts()
        for label in labels[section, part % questions + 1]:
            count = int(chosen.get(label, 0))
            if label != right and count < 0.05 * len(group):
                words.append(f"{part + 1}: {label} {count}")
    return "; ".join(words)


def item_table(frame: pd.DataFrame, labels: dict) -> dict[tuple, dict]:
    table = {}
    for key, group in frame.groupby(["section", "kind", "prompt", "right"]):
        table["item", key[0], key[1], "", key[2], key[3]] = {**analysed(group), "rare_distractors": rare(group, labels)}
    for (section, cell), group in frame.groupby(["section", "cell"]):
        table["cell", section, group["kind"].iloc[0], str(cell), "", ""] = {**analysed(group), "rare_distractors": ""}
    return table


def confusion_table(results: list[dict]) -> dict[tuple, dict]:
    sums: dict[tuple, np.ndarray] = {}
    for result in results:
        if is_void(result):
            continue
        for ear in result["profile"].get("ear", []):
            key = (ear["section"], ear["part"], tuple(ear["labels"]))
            sums[key] = sums.get(key, 0) + np.array(ear["confusion"])
    table = {}
    for (section, part, labels), counts in sums.items():
        for row, sounded in enumerate(labels):
            signals, others = counts[row].sum(), counts.sum() - counts[row].sum()
            hits, alarms = counts[row, row], counts[:, row].sum() - counts[row, row]
            if signals and others:
                shares = (hits + 0.5) / (signals + 1), (alarms + 0.5) / (others + 1)
                d_prime = stats.norm.ppf(shares[0]) - stats.norm.ppf(shares[1])
            else:
                d_prime = np.nan
            for column, answered in enumerate((*labels, "no answer")):
                table[section, str(part), sounded, answered] = {
                    "count": counts[row, column], "of": signals, "d_prime": d_prime,
                    "share": counts[row, column] / signals if signals else np.nan,
                }
    return table


def reliability_table(results: list[dict], frame: pd.DataFrame) -> dict[tuple, dict]:
    """Over forms by an analysis of variance, within forms by pingouin's alpha."""
    table = {}
    points = {section["id"]: section["out_of"] for section in results[0]["section"]}
    error = 0.0
    for section, group in frame.groupby("section"):
        sizes = group.groupby("sitting").size()
        of = {"sittings": len(sizes), "items": sizes.mean(), "over_forms": np.nan, "error_in_marks": np.nan}
        if (sizes > 1).any():
            people = group.groupby("sitting")["credit"]
            within = (people.var(ddof=0) * sizes).sum() / (sizes.sum() - len(sizes))
            table_of = pingouin.anova(data=group, dv="credit", between="sitting", detailed=True)
            assert abs(table_of["MS"].iloc[1] - within) < 1e-9
            of["over_forms"] = 1 - within / table_of["MS"].iloc[0]
            own = points[section] ** 2 * within / sizes.mean()
            of["error_in_marks"] = np.sqrt(own)
            error += own
        table["all", section] = of
    totals = frame.groupby("sitting").agg(mark=("mark", "first"), rest=("rest", "first")).sum(axis=1)
    table["all", "whole"] = {
        "sittings": len(totals), "over_forms": 1 - error / totals.var(ddof=1), "error_in_marks": np.sqrt(error),
    }
    for form, group in frame.groupby("form"):
        for section, part in [*group.groupby("section"), ("whole", group)]:
            wide = part.pivot(index="sitting", columns="number", values="mark" if section == "whole" else "credit")
            if len(wide) < 2 or wide.shape[1] < 2 or wide.isna().any(axis=None) or wide.sum(axis=1).nunique() < 2:
                continue
            alpha = pingouin.cronbach_alpha(wide)[0]
            deviation = wide.sum(axis=1).std(ddof=0) * np.sqrt(1 - min(max(alpha, 0), 1))
            per = 1 if section == "whole" else points[section] / wide.shape[1]
            table[form, section] = {"sittings": len(wide), "alpha": alpha, "error_in_marks": deviation * per}
    return table


def form_table(results: list[dict]) -> dict[tuple, dict]:
    marks = pd.DataFrame([
        {"form": result["sitting"]["form"], "mark": result["total"]["mark"]}
        for result in results if not is_void(result) and not result["total"].get("provisional", False)
    ])
    groups = marks.groupby("form")["mark"]
    sizes = groups.size()
    pooled = np.sqrt((groups.var(ddof=1).fillna(0) * (sizes - 1)).sum() / (sizes - 1).sum()) if (sizes > 1).any() else np.nan
    return {(form,): {
        "sittings": len(of), "mean": of.mean(), "deviation": of.std(ddof=1), "pooled_error": pooled / np.sqrt(len(of)),
    } for form, of in groups}


def chord_table(results: list[dict]) -> dict[tuple, dict]:
    frame = pd.DataFrame([chord for result in results if not is_void(result) for chord in result["profile"].get("chord", [])])
    if frame.empty:
        return {}
    if "complete_ms" not in frame:
        frame["complete_ms"] = np.nan
    return {key: {
        "asked": len(of), "mean_level": of["level"].mean(), "whole": of["complete_ms"].count(),
        "median_ms": of["complete_ms"].median(), "cold": of["cold"].sum(), "share_cold": of["cold"].mean(),
    } for key, of in frame.groupby(["root", "quality"])}


def tables(folder: Path) -> dict[str, object]:
    results = read(folder)
    labels = defaultdict(list)
    for result in results:
        for ear in result["profile"].get("ear", []):
            known = labels[ear["section"], ear["part"]]
            known.extend(label for label in ear["labels"] if label not in known)
    frame = item_frame(results)
    return {
        "class.csv": class_table(results),
        "items.csv": item_table(frame, labels),
        "confusions.csv": confusion_table(results),
        "reliability.csv": reliability_table(results, frame),
        "forms.csv": form_table(results),
        "chords.csv": chord_table(results),
    }


def harmless(value: object) -> str:
    """What a text is written as, so that no spreadsheet reckons with it."""
    text = str(value)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def same(found: str, expected: object, decimals: int) -> bool:
    if isinstance(expected, str):
        return found == harmless(expected)
    if expected is None or np.isnan(expected):
        return found == ""
    # Half a unit of the last place, and what floating sums lose.
    return found != "" and abs(float(found) - float(expected)) <= 0.5 * 10.0**-decimals + 1e-6


DECIMALS = {"standard_error": 2, "error_in_marks": 2, "mean": 2, "deviation": 2, "pooled_error": 2, "items": 2,
            "mark": 2, "median_ms": 1, "level_0": 0}
KEYS = {
    "items.csv": ["scope", "section", "kind", "cell", "prompt", "right"],
    "confusions.csv": ["section", "part", "sounded", "answered"],
    "reliability.csv": ["form", "section"],
    "forms.csv": ["form"],
    "chords.csv": ["root", "quality"],
}


def compare(name: str, path: Path, expected: object) -> int:
    """Compares every figure that both have; returns how many."""
    found = pd.read_csv(path, dtype=str, keep_default_na=False)
    checked = 0
    if name == "class.csv":
        rows = list(zip(found.to_dict("records"), expected.to_dict("records"), strict=True))
    else:
        by_key = {tuple(row[key] for key in KEYS[name]): row for row in found.to_dict("records")}
        keys = {tuple(map(harmless, key)): row for key, row in expected.items()}
        extra = {"forms.csv": {("all",)}}.get(name, set())
        told = {key for key, row in by_key.items() if name != "reliability.csv" or row["alpha"] or row["over_forms"]}
        wanted = {key for key, row in keys.items() if name != "reliability.csv" or not np.isnan(row.get("alpha", row.get("over_forms")))}
        if told - extra != wanted:
            raise SystemExit(f"{name}: rows of one alone: {sorted((told - extra) ^ wanted)[:5]}")
        rows = [(by_key[key], keys[key]) for key in sorted(wanted)]
    for row, own in rows:
        for column, value in own.items():
            counts_only = row.get("basis") == "counts only"
            if counts_only and column in ("difficulty", "share_right", "discrimination", "rare_distractors"):
                value = ""
            if value is np.nan and row.get("discrimination_is") == "":
                continue
            value = value if isinstance(value, str) else float(value)
            if not same(row[column], value, DECIMALS.get(column, 4)):
                raise SystemExit(f"{name}, {column}: expected {value!r}, found {row[column]!r} in {row}")
            checked += 1
    return checked


def main() -> None:
    program, folder = sys.argv[1], Path(sys.argv[2])
    with tempfile.TemporaryDirectory() as out:
        start = time.perf_counter()
        subprocess.run([program, "moderate", folder, "--out", out], check=True, stdout=subprocess.DEVNULL)
        took = time.perf_counter() - start
        start = time.perf_counter()
        expected = tables(folder)
        own = time.perf_counter() - start
        (written,) = Path(out).iterdir()
        for name in TABLES:
            print(f"{name}: {compare(name, written / name, expected[name])} figures agree")
    print(f"moderate {took:.2f} s, this script {own:.2f} s, {own / took:.0f} times as long")


if __name__ == "__main__":
    main()
