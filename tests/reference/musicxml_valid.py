"""Hold the MusicXML of forms against the schema of MusicXML 4.0.

    python musicxml_valid.py FILE...                    checks these files
    python musicxml_valid.py --program PATH             writes those of the scripts here, checks them

The schema is W3C's `musicxml.xsd` of version 4.0, as the PyPI package `musicxml` carries it
(musicxml-requirements.txt); lxml validates. Ends with `N passed` and exits with 1 at the first
fault.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

import musicxml
from lxml import etree

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = Path(musicxml.__file__).parent / "generate_classes" / "musicxml_4_0.xsd"


def schema() -> etree.XMLSchema:
    """The schema without its two imports, which name addresses of the web.

    What they define is languages and links (`xml:`, `xlink:`). No score of ours has any, so that
    without them nothing that we write is let through that the whole would refuse: an attribute
    that is not declared is refused.
    """
    tree = etree.parse(SCHEMA, etree.XMLParser(no_network=True))
    for node in list(tree.getroot().iter("{http://www.w3.org/2001/XMLSchema}*")):
        is_foreign = (node.get("ref") or "").startswith(("xml:", "xlink:"))
        if is_foreign or etree.QName(node).localname == "import":
            node.getparent().remove(node)
    return etree.XMLSchema(etree.fromstring(etree.tostring(tree)))


def duration(measure: etree._Element) -> dict[str, int]:
    """How long each staff of a measure is filled, in divisions."""
    filled: dict[str, int] = {}
    for note in measure.iter("note"):
        if note.find("chord") is None:
            staff = note.findtext("staff") or "1"
            filled[staff] = filled.get(staff, 0) + int(note.findtext("duration") or 0)
    return filled


def check(path: Path, against: etree.XMLSchema) -> None:
    parser = etree.XMLParser(load_dtd=False, no_network=True, resolve_entities=False)
    tree = etree.parse(path, parser)
    against.assertValid(tree)
    measures = list(tree.getroot().iter("measure"))
    assert measures, f"{path}: no measure"
    for measure in measures:
        filled = duration(measure)
        assert set(filled.values()) == {12} and len(filled) == 2, (
            f"{path}: measure {measure.get('number')}: {filled}"
        )


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--program", type=Path)
    arguments = parser.parse_args()
    against = schema()
    passed = 0
    with tempfile.TemporaryDirectory() as folder:
        files = list(arguments.files)
        if arguments.program:
            scripts = [*ROOT.glob("exams/*.toml"), ROOT / "tests/fixtures/scripts/ears.toml"]
            scripts += ROOT.glob("tests/fixtures/scripts/good/*.toml")
            for script in sorted(scripts):
                file = Path(folder) / f"{script.stem}.musicxml"
                command = [arguments.program, "form", script, "--musicxml", file]
                subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
                files.append(file)
        for file in files:
            try:
                check(file, against)
            except (etree.DocumentInvalid, etree.XMLSyntaxError, AssertionError) as fault:
                print(f"{file}: {fault}")
                return 1
            passed += 1
    print(f"{passed} passed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
