"""Writes the tables by others and their truth: tests/data/foreign_tables/f01 to f60.

    python scripts/make_foreign_tables.py [FOLDER]

The same files each time. The people are in tests/worlds/foreign_people_*.py, their golf in tests/worlds/table_golf.py.
"""

import json
import sys
from importlib import import_module
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from worlds.foreign_pages import PEOPLE  # noqa: E402


def write_all(folder: Path) -> int:
    for part in (1, 2, 3, 4, 5, 6):
        import_module(f"worlds.foreign_people_{part}")
    folder.mkdir(parents=True, exist_ok=True)
    for key, builder in sorted(PEOPLE.items()):
        page = builder(Random(f"foreign table {key}"))
        (folder / f"{key}.{page.ending}").write_bytes(page.content())
        truth = json.dumps(page.truth(), ensure_ascii=False, indent=None, separators=(",", ": "))
        (folder / f"{key}.json").write_text(truth.replace('{"row"', '\n{"row"') + "\n", encoding="utf-8")
    return len(PEOPLE)


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "tests" / "data" / "foreign_tables"
    print(f"{write_all(target)} tables written to {target}")
