"""Units in odd places, remarks in cells, broken bytes, and files of other kinds."""

from random import Random

from worlds.foreign_pages import Page, hits, person, q


@person("f33")
def mixed_units(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("metres and yards mixed, cell by cell",),
        may_ask=("carry", "club", "swing"),
        answers={"carry": "3"},
    )
    p.row("Wedge", "Swing", "Down at", "Who measured")
    for s in hits(rng, [50, 54, 58], 2, 5, 29):
        unit = rng.choice(("m", "yd"))
        club, swing, carry = f"W{int(s.loft_deg)}", ("belt", "heart")[s.swing], q(s.carry_m, unit, 0)
        p.ball(
            club,
            swing,
            f"{carry.value:.0f} {unit}",
            {"m": "Ilse", "yd": "Grandad"}[unit],
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            free=["player"],
        )
    return p


@person("f34")
def remarks_in_cells(rng: Random) -> Page:
    p = Page(
        delimiter="\t",
        ending="tsv",
        features=("mishit remarks inside the cells", "the heading says landed"),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "3"},
    )
    p.row("stick", "backswing", "landed, yards")
    for s in hits(rng, [50, 54, 58], 3, 5, 28, mishits=0.2):
        club, swing, carry = f"{int(s.loft_deg)}", ("pocket", "ribs", "collar")[s.swing], q(s.carry_m, "yd", 0)
        words = {"fat": " (bit heavy)", "thin": " (thin!)"}.get(s.strike or "", "")
        p.ball(club, swing, f"{carry.value:.0f}{words}", club=club, loft=s.loft_deg, swing=swing, carry=carry)
    return p


@person("f35")
def centimetres(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("surveyor: centimetres with thousands separators",),
        may_ask=("carry", "club", "swing", "unit", "decimal"),
        answers={"carry": "4", "club": "2", "offline": "5"},
    )
    p.row("obs", "loft deg", "arm deg", "impact point x, cm", "impact point y, cm", "rotation rpm")
    for i, s in enumerate(hits(rng, [50, 58], 3, 5, 28)):
        arm, carry, off, spin = (
            str(45 * (s.swing + 1)),
            q(s.carry_m, "cm", 0),
            q(s.offline_m, "cm", 0),
            q(s.spin_rpm, "", 0),
        )
        cells = (f"{carry.value:,.0f}", f"{off.value:,.0f}", f"{spin.value:,.0f}")
        p.ball(
            i + 1,
            int(s.loft_deg),
            arm,
            *cells,
            club=str(int(s.loft_deg)),
            loft=s.loft_deg,
            swing=arm,
            carry=carry,
            off=off,
            spin=spin,
            free=["offline_m"],
        )
    return p


@person("f36")
def footnote_unit(rng: Random) -> Page:
    p = Page(
        form="fixed",
        ending="txt",
        features=("fixed columns", "unit only in a footnote", "total first"),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "4", "unit": "yd"},
    )
    p.say("Gapping evening, bay 3", "")
    p.row("Wedge", "Swing", "Roll-out end*", "Touch-down*", "Backspin")
    for s in hits(rng, [48, 54, 60], 3, 4, 31):
        club, swing, carry, spin = (
            f"{int(s.loft_deg)} deg",
            ("short", "medium", "long")[s.swing],
            q(s.carry_m, "yd"),
            q(s.spin_rpm, "", 0),
        )
        p.ball(
            club,
            swing,
            q(s.total_m, "yd"),
            carry,
            spin,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            spin=spin,
            also={"club": str(int(s.loft_deg))},
        )
    p.say("", "* yards, measured along the line")
    return p


@person("f37")
def broken_encoding(rng: Random) -> Page:
    p = Page(
        mark=",",
        features=("German words twice encoded, and a stray byte",),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "4"},
    )
    p.row("Schläger", "Länge des Schwungs", "Übungsziel (m)", "Schlagweite (m)", "Qualität")
    for s in hits(rng, [50, 56], 3, 5, 30):
        club, swing, carry = f"{int(s.loft_deg)}", ("Hueft", "Brust", "Schulter")[s.swing], q(s.carry_m)
        p.ball(
            club,
            swing,
            5 * round(s.carry_m / 5),
            carry,
            "gut" if not s.strike else "schlecht",
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
    text = "\n".join(";".join(p.text(c) for c in r) for r in p.rows) + "\n"
    p.raw = text.encode("utf-8").decode("latin-1").encode("utf-8").replace(b"gut\n", b"gut\x9d\n", 1)
    return p


@person("f38")
def web_page_as_sheet(rng: Random) -> Page:
    p = Page(
        form="html",
        ending="xls",
        features=("an HTML table saved as .xls", "target and total around the carry"),
        may_ask=("club", "swing", "carry"),
        loose=True,
        answers={"carry": "4"},
    )
    p.say("<html><body><table>")
    p.shift = -1
    p.row("Club", "Swing", "Goal [yd]", "Landed [yd]", "With roll [yd]")
    for s in hits(rng, [50, 54, 58], 2, 5, 30):
        club, swing, carry = f"{int(s.loft_deg)}°", ("half", "three-quarter")[s.swing], q(s.carry_m, "yd")
        p.ball(
            club,
            swing,
            5 * round(carry.value / 5),
            carry,
            q(s.total_m, "yd"),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
    p.say("</table></body></html>")
    return p


@person("f39")
def open_document(rng: Random) -> Page:
    p = Page(
        form="ods",
        ending="ods",
        features=(".ods", "a second sheet with shopping"),
        may_ask=("club", "swing", "carry", "sheet"),
        answers={"carry": "4", "sheet": "Wedges"},
    )
    p.new_sheet("Wedges")
    p.row("Shot", "Club", "Swing", "Pitch mark (m)", "Distance at rest (m)")
    for i, s in enumerate(hits(rng, [52, 56, 60], 2, 5, 29)):
        club, swing, carry = f"{int(s.loft_deg)}", ("half", "long")[s.swing], q(s.carry_m)
        p.ball(i + 1, club, swing, carry, q(s.total_m), club=club, loft=s.loft_deg, swing=swing, carry=carry)
    sheet = p.sheet
    p.new_sheet("Shopping")
    p.row("Thing", "Price")
    p.row("Gloves", 18)
    p.row("Tees", 4)
    p.sheet = sheet
    return p
