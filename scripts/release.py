"""Makes all that a release is, into dist/: python scripts/release.py  (`make release`)

Wheel and source archive with everything that had to be fetched or compiled, the list of parts (SBOM), the container file, what
changed in this version, and the SHA-256 of each. Then the wheel is installed into a fresh environment, with no Node and no compiler
to be found, and makes the demo there.
"""

import hashlib
import os
import re
import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DIST = ROOT / "dist"
PIN = re.compile(r"^([a-z0-9][a-z0-9._-]*==[^ \\]+(?: *;[^\\]*)?)", re.M)


def build(target: Path = DIST) -> tuple[Path, Path]:
    """The wheel and the source archive."""
    command = [sys.executable, "-m", "hatchling", "build", "-d", str(target)]
    subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    return next(target.glob("*.whl")), next(target.glob("*.tar.gz"))


def changes(version: str) -> str:
    """What the changelog says of a version. Raises SystemExit where it says nothing."""
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    found = re.search(rf"^## {re.escape(version)}\b.*?(?=^## |\Z)", text, re.M | re.S)
    if found is None:
        raise SystemExit(f"CHANGELOG.md has no section {version}. Write what a user will notice, then run this again.")
    return found[0].strip() + "\n"


def installs(wheel: Path, scratch: Path) -> Path:
    """Installs the wheel, with the locked versions, into a fresh environment that finds no other program; returns its command.

    Raises CalledProcessError where that fails.
    """
    venv.create(scratch / "venv", with_pip=True)
    programs = scratch / "venv" / ("Scripts" if os.name == "nt" else "bin")
    pins = scratch / "pins.txt"
    pins.write_text(
        "\n".join(PIN.findall((ROOT / "requirements" / "run.txt").read_text(encoding="utf-8"))), encoding="utf-8"
    )
    command = [programs / "python", "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    command += ["--only-binary", ":all:", "-c", pins, wheel]
    subprocess.run(command, check=True, env=alone(programs), cwd=scratch)
    return programs / "threequarter"


def alone(programs: Path) -> dict[str, str]:
    """An environment in which only the programs of one folder are found."""
    return os.environ | {"PATH": str(programs), "PYTHONPATH": ""}


def main() -> None:
    shutil.rmtree(DIST, ignore_errors=True)
    DIST.mkdir()
    wheel, archive = build()
    version = wheel.name.split("-")[1]
    (DIST / "CHANGES.md").write_text(changes(version), encoding="utf-8")
    subprocess.run([sys.executable, ROOT / "scripts" / "make_sbom.py", DIST / "sbom.json"], check=True)
    shutil.copy(ROOT / "Containerfile", DIST)
    with tempfile.TemporaryDirectory() as folder:
        command = installs(wheel, Path(folder))
        subprocess.run([command, "demo", "--out", "out"], check=True, env=alone(command.parent), cwd=folder)
    made = sorted(path for path in DIST.iterdir() if path.is_file())
    sums = [f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.name}\n" for path in made]
    (DIST / "SHA256SUMS").write_text("".join(sums), encoding="utf-8")
    for path in made:
        print(f"{path.stat().st_size / 1e6:7.1f} MB  dist/{path.name}")
    if "unreleased" in changes(version).split("\n")[0]:
        print(f"A draft: CHANGELOG.md still calls {version} unreleased.")
    print(f"{archive.name} holds what the container file needs: unpack it and build there (docs/academy.md).")


if __name__ == "__main__":
    main()
