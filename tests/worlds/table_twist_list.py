"""The twists of headings and form, and the list of all.

Each takes a work, changes its table or style, and tells whether it could be applied. They are applied in the order
of the list: content first, then headings, then the form of the file.
"""

from worlds import table_content_twists as content
from worlds.table_model import LABELS
from worlds.table_twists import ROLE_SUBJECTS, Twist, Work, word
from worlds.table_words import HEADINGS, NONSENSE


def _everything(work: Work) -> None:
    """After this the headings tell nothing: a question about any column is fair."""
    work.fair |= {ROLE_SUBJECTS[c.role] for c in work.table.columns if c.role in ROLE_SUBJECTS}


def shuffle_columns(work: Work) -> bool:
    work.rng.shuffle(work.table.columns)
    return True


def translate(work: Work) -> bool:
    work.language = work.rng.choice([x for x in HEADINGS if x != work.language])
    for c in work.table.columns:
        if c.role in HEADINGS[work.language]:
            c.heading = word(work.language, c.role, work.rng)
    _everything(work)
    return True


def misspell(work: Work) -> bool:
    for c in work.table.columns:
        text = c.heading
        if len(text) > 3 and work.rng.random() < 0.7:
            i = work.rng.randrange(1, len(text) - 1)
            c.heading = work.rng.choice(
                (
                    text[:i] + text[i + 1 :],
                    text[:i] + text[i] + text[i:],
                    text[: i - 1] + text[i] + text[i - 1] + text[i + 1 :],
                )
            )
    _everything(work)
    return True


def nonsense_headings(work: Work) -> bool:
    for c, new in zip(
        work.table.columns, work.rng.sample(NONSENSE, min(len(NONSENSE), len(work.table.columns))), strict=False
    ):
        c.heading = new
    _everything(work)
    return True


def nonsense_carry(work: Work) -> bool:
    """Only the word over the carry is unknown."""
    work.table.column("carry").heading = work.rng.choice(NONSENSE)
    work.fair |= {"carry", "unit"}
    return True


def swap_headings(work: Work) -> bool:
    """Two headings stand over each other's columns: what the numbers say must not be overruled by words."""
    pairs = [
        p
        for p in (
            ("carry", "total"),
            ("carry", "offline"),
            ("club", "swing"),
            ("carry", "ball_speed"),
            ("carry", "decoy"),
            ("carry", "launch"),
            ("swing", "player"),
            ("carry", "spin"),
        )
        if all(work.table.column(r) for r in p)
    ]
    if not pairs:
        return False
    a, b = (work.table.column(r) for r in work.rng.choice(pairs))
    a.heading, b.heading = b.heading, a.heading
    _everything(work)
    return True


def rotate_headings(work: Work) -> bool:
    """Every heading one column too far."""
    heads = [c.heading for c in work.table.columns]
    for c, heading in zip(work.table.columns, heads[1:] + heads[:1], strict=True):
        c.heading = heading
    _everything(work)
    return True


def same_headings(work: Work) -> bool:
    """Carry and another length column have the same heading."""
    other = [c for c in work.table.columns if c.length and c.role not in ("carry", "twin")]
    if not other:
        return False
    work.rng.choice(other).heading = work.table.column("carry").heading
    _everything(work)
    return True


def blank_headings(work: Work) -> bool:
    roles = work.rng.choice(
        (("carry",), ("swing",), ("club",), ("carry", "swing"), tuple(c.role for c in work.table.columns))
    )
    for c in work.table.columns:
        if c.role in roles:
            c.heading = ""
    _everything(work)
    return True


def drop_heading_row(work: Work) -> bool:
    if work.table.style.layout != "rows" or any(c.role == "twin" for c in work.table.columns):
        return False
    work.table.style.heading = False
    work.table.style.units = work.rng.choice(("line", "cell", "none"))
    _everything(work)
    return True


def drop_units(work: Work) -> bool:
    if any(c.role == "twin" for c in work.table.columns):
        return False
    work.table.style.units = "none"
    for c in work.table.columns:
        if work.rng.random() < 0.5:
            c.unit_word = c.unit_word if c.length else ""
    work.fair |= {"unit", "speed"}
    return True


def move_units(work: Work) -> bool:
    """The unit in a row of its own, in the cells, in a line above or a footnote."""
    style = work.table.style
    twin = any(c.role == "twin" for c in work.table.columns)
    if not style.heading or style.units == "none":
        return False
    style.units = work.rng.choice(("row", "cell") if twin else ("row", "cell", "line", "foot"))
    return True


def preamble(work: Work) -> bool:
    lines = (
        "Range day, 14 C, light wind",
        "Half shots and three-quarter shots",
        "Ball: range, two-piece",
        "Date: 2026-04-18",
        "Bay 7, mat",
        "Target was the 50 flag",
        "Grandma's birthday, only 1 hour",
    )
    work.table.style.lines += work.rng.sample(lines, work.rng.randint(1, 3))
    return True


def footnotes(work: Work) -> bool:
    notes = (
        "Next time: more balls with the 58.",
        "* balls 3 and 7 were old",
        "20 balls cost 3.50",
        "Best of the day 71",
        "Checked by T.",
    )
    work.table.style.notes += work.rng.sample(notes, work.rng.randint(1, 2))
    return True


def mean_rows(work: Work) -> bool:
    work.table.style.extra = work.rng.choice((["mean"], ["sum"], ["mean", "blank"], ["blank"], ["blank", "heading"]))
    return True


def sparse_labels(work: Work) -> bool:
    work.table.style.sparse = True
    work.table.columns.sort(key=lambda c: ("player", "club", "swing").index(c.role) if c.role in LABELS else 9)
    return True


def letters(work: Work) -> bool:
    if not work.table.column("offline"):
        return False
    work.table.style.side = "letter"
    return True


def left_plus(work: Work) -> bool:
    """The heading says that left is positive; the numbers turn round with it."""
    column = work.table.column("offline")
    if column is None or not column.heading or not work.table.style.heading or work.table.style.side == "letter":
        return False
    column.heading += ", left +"
    column.values = [-v + 0.0 if isinstance(v, float) else v for v in column.values]
    work.table.style.left_plus = True
    return True


def legend(work: Work) -> bool:
    """Swing lengths become numbers or letters, and a line under the table says which is which."""
    column = work.table.column("swing")
    if column is None:
        return False
    old = list(dict.fromkeys(str(v) for v in column.values))
    new = [str(n + 1) for n in range(len(old))] if work.rng.random() < 0.6 else list("abcdefgh"[: len(old)])
    column.values = [new[old.index(str(v))] for v in column.values]
    work.table.meaning |= {("swing", n): o for n, o in zip(new, old, strict=True)}
    work.table.style.notes.append(", ".join(f"{n} = {o}" for n, o in zip(new, old, strict=True)))
    work.fair.add("swing")
    return True


def decimal_mark(work: Work) -> bool:
    style = work.table.style
    style.decimal = "," if style.decimal == "." else "."
    if style.decimal == ",":
        style.delimiter = ";"
    return True


def thousands(work: Work) -> bool:
    if not any(c.role == "spin" for c in work.table.columns):
        return False
    style = work.table.style
    style.thousands = work.rng.choice((" ", "'", "\u202f", "." if style.decimal == "," else ","))
    return True


def delimiter(work: Work) -> bool:
    style = work.table.style
    style.form, style.delimiter = work.rng.choice(
        (("csv", ","), ("csv", ";"), ("tsv", "\t"), ("pipe", "|"), ("csv", ";"))
    )
    style.newline = work.rng.choice(("\n", "\r\n"))
    return True


def other_form(work: Work) -> bool:
    style, columns = work.table.style, work.table.columns
    heads = [c.heading for c in columns]
    forms = ["fixed", "markdown", "html"]
    if (
        style.heading
        and len(set(heads)) == len(heads)
        and all(heads)
        and not style.lines
        and not style.notes
        and not style.extra
        and style.units == "heading"
        and not style.sparse
    ):
        forms.append("jsonl")
    style.form = work.rng.choice(forms)
    if style.form != "fixed":
        style.lines, style.notes = [], []
        style.units = (
            "heading"
            if style.units in ("line", "foot") and style.heading
            else "cell"
            if style.units in ("line", "foot")
            else style.units
        )
    return True


def encoding(work: Work) -> bool:
    work.table.style.encoding = work.rng.choice(("utf-8-sig", "utf-16", "utf-8"))
    return True


def in_a_workbook(work: Work) -> bool:
    """The same as a spreadsheet, with numbers as numbers."""
    if work.table.style.form != "csv":
        return False
    work.table.style.form = "xlsx"
    return True


def layout(work: Work) -> bool:
    style, table = work.table.style, work.table
    if style.form in ("jsonl", "fixed") or not style.heading:
        return False
    kinds = ["transposed"]
    blocked = table.column("club") and len({str(v) for v in table.column("club").values}) == sum(
        a != b for a, b in zip([None, *table.column("club").values], table.column("club").values, strict=False)
    )
    if blocked and table.column("swing") and not table.column("player"):
        kinds += ["below", "beside", "wide", "wide"]
    style.layout = work.rng.choice(kinds)
    style.extra, style.sparse = [], False
    if style.layout == "wide":
        style.units = "line" if style.units in ("row", "foot") else style.units
        if style.form in ("html", "markdown") and style.units == "line":
            style.units = "cell"
        table.use = [True] * table.count
    work.fair |= {"carry", "club", "swing", "player"}
    return True


TWISTS: dict[str, Twist] = {
    f.__name__: f
    for f in (
        content.deviation,
        content.target,
        content.last_carry,
        content.lateral_carry,
        content.rank,
        content.club_speed,
        content.everyday,
        content.twin_unit,
        content.convert,
        content.labels,
        content.remarks,
        content.gaps,
        shuffle_columns,
        translate,
        misspell,
        nonsense_headings,
        nonsense_carry,
        swap_headings,
        rotate_headings,
        same_headings,
        blank_headings,
        drop_heading_row,
        drop_units,
        move_units,
        preamble,
        footnotes,
        mean_rows,
        sparse_labels,
        letters,
        left_plus,
        legend,
        decimal_mark,
        thousands,
        delimiter,
        other_form,
        encoding,
        in_a_workbook,
        layout,
    )
}
