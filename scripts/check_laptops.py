"""Do the locked requirements install where coaches work? Asks uv for each system, processor and Python; nothing is installed.

    python scripts/check_laptops.py        (needs uv on the PATH and the registry; `make requirements` runs it)

Only ready-made wheels count: nobody on a laptop has a compiler. What was found is kept in requirements/laptops.json, with a
digest of the file it was found for.
"""

import hashlib
import json
import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, Final

FOLDER: Final = Path(__file__).resolve().parents[1] / "requirements"
SYSTEMS: Final = {
    "Windows": "x86_64-pc-windows-msvc",
    "macOS, Apple processor": "aarch64-apple-darwin",
    "macOS, Intel processor": "x86_64-apple-darwin",
    "Linux": "x86_64-unknown-linux-gnu",
    "Linux, ARM": "aarch64-unknown-linux-gnu",
}
PYTHONS: Final = ("3.11", "3.12", "3.13", "3.14")
FILES: Final = ("run.txt", "academy.txt")
LEAST_MACOS: Final = "14.0"


def digest(name: str) -> str:
    """Of a requirements file, however its lines end."""
    return hashlib.sha256((FOLDER / name).read_bytes().replace(b"\r\n", b"\n")).hexdigest()


def missing(name: str, system: str, python: str) -> str:
    """The first package without a wheel, empty where all have one."""
    command = ["uv", "pip", "compile", "--quiet", "--only-binary", ":all:", "--no-deps", "--no-header"]
    command += ["--python-platform", system, "--python-version", python, str(FOLDER / name)]
    environment = os.environ | {"MACOSX_DEPLOYMENT_TARGET": LEAST_MACOS}
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=False)
    if done.returncode == 0:
        return ""
    found = re.search(r"Because ([a-z0-9-]+)\S* has no", done.stderr)
    return found[1] if found else done.stderr.strip()[:200]


def main() -> int:
    asked = [(name, label, python) for name in FILES for label in SYSTEMS for python in PYTHONS]
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda one: missing(one[0], SYSTEMS[one[1]], one[2]), asked))
    found: dict[str, dict[str, Any]] = {name: {"sha256": digest(name), "without_wheel": {}} for name in FILES}
    for (name, label, python), package in zip(asked, answers, strict=True):
        found[name]["without_wheel"].setdefault(label, {})[python] = package
    (FOLDER / "laptops.json").write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    for name, one in found.items():
        for label, versions in one["without_wheel"].items():
            sys.stdout.write(
                f"{name:12s} {label:24s} " + "  ".join(f"{v}: {w or 'ok'}" for v, w in versions.items()) + "\n"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
