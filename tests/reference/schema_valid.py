"""Hold exam scripts against the schema for editors, and the schema against its meta-schema.

    python schema_valid.py SCHEMA SCRIPTS

SCHEMA is a JSON Schema of draft 7; SCRIPTS a JSON list of objects with `name`, `script` (TOML) and
`taken`: whether the schema is to take it. The PyPI package `jsonschema` (schema-requirements.txt)
validates, Python's own `tomllib` reads. Ends with `N passed`, or lists what went otherwise and
exits with 1.
"""

from __future__ import annotations

import json
import sys
import tomllib
from pathlib import Path

from jsonschema import Draft7Validator


def main() -> int:
    schema = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    scripts = json.loads(Path(sys.argv[2]).read_text(encoding="utf-8"))
    Draft7Validator.check_schema(schema)
    assert schema["$schema"] == Draft7Validator.META_SCHEMA["$id"]
    validator = Draft7Validator(schema)
    passed = 0
    for script in scripts:
        found = list(validator.iter_errors(tomllib.loads(script["script"])))
        if (not found) == script["taken"]:
            passed += 1
            continue
        print(f"{script['name']}: {'refused' if found else 'taken'}")
        for error in found[:3]:
            print(f"  {'/'.join(map(str, error.absolute_path))}: {error.message[:200]}")
    if passed < len(scripts):
        return 1
    print(f"{passed} passed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
