"""What the pages say by script that a phone fills by itself."""

from threequarter.language.localize import _, ngettext
from threequarter.web.pages.keys.texts import Text


def here_texts() -> dict[str, Text]:
    """Texts by name; where there are two, for one and for more."""
    return _alone() | _newer() | _practice() | _recheck() | _copy()


def _newer() -> dict[str, Text]:
    return {
        "newer": _("A newer version is here. Your balls stay on this phone."),
        "newer_open": _("Open it"),
        "gap_at": _("gap: no shot for {span}"),
    }


def _alone() -> dict[str, Text]:
    return {
        "all_alone": [
            ngettext("{n} ball, saved on this phone.", "{n} balls, all saved on this phone.", n) for n in (1, 2)
        ],
        "bucket_gone": _(
            "That bucket is not on this phone: it was erased here, begun elsewhere, or the browser deleted it. If you saved a copy, bring"
            " it in."
        ),
        "tier_open_alone": _(
            "This address is not secure, so the browser does not store the page and needs a signal to open it again. "
            "Put the folder on an https address"
        ),
        "may_clear_alone": _(
            "This browser may delete what is here when it runs short of room or when you do not open the page for "
            "weeks. Add the page to the home screen and save a copy after each bucket."
        ),
        "memory_only_alone": _(
            "This browser forgets everything when the page closes (a private window?). Open the page in an ordinary "
            "window before you type."
        ),
        "no_room_alone": _(
            "This phone has no room left: the last balls last only while the page stays open. Make room, then type "
            "one more ball."
        ),
    }


def _practice() -> dict[str, Text]:
    return {
        "scored": [
            ngettext(
                "{score} ({low} to {high}) from {n} ball. 1 is your own usual miss; less is better.",
                "{score} ({low} to {high}) from {n} balls. 1 is your own usual miss; less is better.",
                n,
            )
            for n in (1, 2)
        ],
        "mean_miss": _("Mean miss {miss} {unit}."),
        "bias_long": _("The middle ball ended {bias} {unit} long."),
        "bias_short": _("The middle ball ended {bias} {unit} short."),
        "test_elsewhere": _(
            "This test went on in another tab. The last number typed here was not saved: open this page again to see "
            "how far the test is, and type it there."
        ),
        "game_called": _("Called numbers"),
        "game_ladder": _("Ladder"),
        "game_row": _("Three in a row"),
    }


def _recheck() -> dict[str, Text]:
    return {
        "recheck_holds": _("It holds"),
        "recheck_moved": _("It moved"),
        "recheck_open": _("Too early to say"),
        "recheck_days": _("This bucket ({now}) against the chart of the buckets before it ({before})."),
        "recheck_none": _(
            "This phone has one bucket of {player}. Begin another one under the same name on another day; then this "
            "page says whether the chart still holds."
        ),
        "recheck_no_ball": _("Hit a few balls of this bucket first, with shots of the old chart."),
        "recheck_server": _("The server has this bucket and the days before it. Ask it there when the signal is back."),
    }


def _copy() -> dict[str, Text]:
    return {
        "on_phone": [
            ngettext("{n} ball on this phone, buckets: {buckets}.", "{n} balls on this phone, buckets: {buckets}.", n)
            for n in (1, 2)
        ],
        "nothing_here": _("Nothing that began on this phone is here."),
        "lasts": _("This browser keeps it until you erase it."),
        "room": _("{used} MB of {all} MB are used."),
        "no_copy": _("{name} is not a copy of a phone. Choose a file that this page saved."),
        "copy_in": _("Balls: {fresh} new, {changed} changed, {known} already here."),
        "erase_bucket": [
            ngettext(
                "{n} ball of {player} will be erased for good.", "{n} balls of {player} will be erased for good.", n
            )
            for n in (1, 2)
        ],
        "keep_it": _("Keep it"),
        "erase_all": [
            ngettext(
                "{n} ball, its buckets and tests on this phone will be erased for good. Save a copy first.",
                "{n} balls, their buckets and tests on this phone will be erased for good. Save a copy first.",
                n,
            )
            for n in (1, 2)
        ],
        "erase_waiting": [
            ngettext("{n} of them is not on the server yet.", "{n} of them are not on the server yet.", n)
            for n in (1, 2)
        ],
    }
