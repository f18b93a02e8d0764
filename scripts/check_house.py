"""Checks the house: what each room may know, how long files and functions may be, that no part of the product starts its own
command line, and that nothing is asked of the database past the filter that takes the room of who asks. Run by `make lint`; prints each fault and ends with 1.

The list of exceptions holds what still stands against a rule. It may only shrink: `--write` lowers it to what is found.
"""

import ast
import re
import sys
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[1]
SOURCE: Final = ROOT / "src" / "threequarter"
NUMERIC: Final = ("golf", "flight", "measurement", "intake", "chart", "choice", "practice", "swing", "store")
"""Rooms without words: they return messages, and `language` says them."""
TRANSLATIONS: Final = frozenset({"_", "N_", "ngettext", "gettext"})
MOST_LINES: Final = 400
MOST_LINES_OF_A_FUNCTION: Final = 70
MOST_FORMATTER_SWITCHES: Final = 20
THE_PROGRAMS_OWN: Final = (
    "store/database/",
    "store/migrations/",
    "store/backup/",
    "store/exchange/",
    "store/accounts/scope.py",
    "store/erasure/erase.py",
    "store/media/place_restored_media.py",
    "store/tasks/integrity.py",
    "cli/doctor_place.py",
    "jobs/liveness.py",
)
"""Who may ask the database for everybody's rows: they open, upgrade, check, back up, move or erase it. What a client names reaches
none of them before it was looked up in a room."""
WHOLE_TABLES: Final = frozenset({"__table__", "metadata", "sorted_tables"})
PAST_THE_SESSION: Final = frozenset({"exec_driver_sql", "raw_connection", "connection"})
ALLOWED: Final = ROOT / "scripts" / "check_house_allowed.txt"
"""A line each: rule, file, count."""


def counts() -> dict[tuple[str, str], int]:
    """How often each file stands against each rule."""
    found: dict[tuple[str, str], int] = {}
    for path in sorted(SOURCE.rglob("*.py")):
        name = path.relative_to(SOURCE).as_posix()
        text = path.read_text(encoding="utf-8")
        tree = ast.parse(text)
        room = name.split("/", 1)[0]
        if room in NUMERIC and "/versions/" not in name:
            found["translation", name] = sum(_is_translation(node) for node in ast.walk(tree))
            found["ambient", name] = len(re.findall(r"\bContextVar\(", text))
        found["formatter", name] = len(re.findall(r"# fmt: (?:skip|off)", text))
        found["long-file", name] = int(len(text.splitlines()) > MOST_LINES)
        found["long-function", name] = sum(_too_long(node) for node in ast.walk(tree))
        found["own-command", name] = sum(_starts_own_command(node) for node in ast.walk(tree))
        if not name.startswith(THE_PROGRAMS_OWN):
            found["past-the-room", name] = past_the_room(tree)
    return {key: count for key, count in found.items() if count}


def _is_translation(node: ast.AST) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in TRANSLATIONS


def _too_long(node: ast.AST) -> bool:
    if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
        return False
    return (node.end_lineno or node.lineno) - node.lineno + 1 > MOST_LINES_OF_A_FUNCTION


def _starts_own_command(node: ast.AST) -> bool:
    """A child process that runs the package itself or its command line, instead of one module that does one thing."""
    if not isinstance(node, ast.Call | ast.List):
        return False
    parts = node.args if isinstance(node, ast.Call) else node.elts
    words = [part.value for part in parts if isinstance(part, ast.Constant) and isinstance(part.value, str)]
    if isinstance(node, ast.Call):
        name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
        return name in ("child", "child_command") and words[:1] in (["threequarter"], ["threequarter.cli"])
    return "-m" in words and any(word in ("threequarter", "threequarter.cli") for word in words)


def past_the_room(tree: ast.AST) -> int:
    """How often rows are asked for in a way that the filter of `store/accounts/scope.py` is not laid over: plain tables, plain SQL, a
    connection instead of a session, or as nobody in particular."""
    if not any(module.startswith(("sqlalchemy", "threequarter.store")) for module in _imports(tree)):
        return 0
    plain = {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module == "sqlalchemy"
        for alias in node.names
        if alias.name in ("text", "table", "Table")
    }
    return sum(_passes_the_room(node, plain) for node in ast.walk(tree))


def _imports(tree: ast.AST) -> list[str]:
    return [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]


def _passes_the_room(node: ast.AST, plain: set[str]) -> bool:
    if isinstance(node, ast.Attribute) and node.attr in WHOLE_TABLES:
        return True
    if not isinstance(node, ast.Call):
        return False
    if isinstance(node.func, ast.Name):
        as_nobody = node.func.id == "as_user" and isinstance(node.args[0], ast.Constant)
        return as_nobody or node.func.id in plain
    if not isinstance(node.func, ast.Attribute):
        return False
    asked = ast.unparse(node.func.value).rpartition(".")[2]
    return node.func.attr in PAST_THE_SESSION or (node.func.attr in ("connect", "begin") and asked == "engine")


def allowed() -> dict[tuple[str, str], int]:
    """What may still stand against a rule."""
    lines = ALLOWED.read_text(encoding="utf-8").splitlines() if ALLOWED.exists() else []
    rows = [line.split() for line in lines if line and not line.startswith("#")]
    return {(rule, name): int(count) for rule, name, count in rows}


def faults() -> list[str]:
    """What is worse than allowed."""
    found, may = counts(), allowed()
    return [
        f"{name}: {rule} {count}, allowed {may.get((rule, name), 0)}"
        for (rule, name), count in sorted(found.items())
        if count > may.get((rule, name), 0)
    ]


def main() -> None:
    """Prints the faults; with --write makes the list of exceptions anew, never longer than it was."""
    if "--write" in sys.argv:
        found, may = counts(), allowed()
        keep = {key: min(count, may.get(key, count if not may else 0)) for key, count in found.items()}
        lines = [f"{rule} {name} {count}" for (rule, name), count in sorted(keep.items()) if count]
        ALLOWED.write_text(f"# {ALLOWED.name}: rule, file, count. May only shrink.\n" + "\n".join(lines) + "\n")
    said = faults()
    switches = sum(count for (rule, _name), count in counts().items() if rule == "formatter")
    for line in said:
        print(line)
    print(f"house: {len(said)} faults; {switches} formatter switches (to be at most {MOST_FORMATTER_SWITCHES})")
    sys.exit(1 if said else 0)


if __name__ == "__main__":
    main()
