"""What the script of the practice page says, in the language of the page."""

from threequarter.language.localize import _, ngettext


def caller_texts() -> dict[str, str | list[str]]:
    """Texts by name; where there are two, for one and for more."""
    return {
        "ball": _("ball {n} of {all}"),
        "inside": [
            ngettext("{in} of {n} ball inside your own band.", "{in} of {n} balls inside your own band.", n)
            for n in (1, 2)
        ],
        "usual": _("Your usual is {usual} of {all}."),
        "of": _("{who} {in} of {n}"),
        "kept": _("{called} called, {ended} hit: {how}"),
        "in": _("inside"),
        "short": _("{by} short"),
        "long": _("{by} long"),
        "row": _("{n} in a row inside; you need {all}."),
        "made": _("Done: {all} in a row inside."),
        "again": _("First type where it finished."),
    }
