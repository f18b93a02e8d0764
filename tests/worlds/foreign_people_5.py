"""Workbooks, odd rows, codes and swapped words."""

from random import Random

from worlds.foreign_pages import Page, hits, json_line, person, q


@person("f40")
def json_lines(rng: Random) -> Page:
    p = Page(
        form="raw",
        ending="jsonl",
        features=("engineer's JSON lines", "club speed and total beside the carry"),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "carry_yd"},
    )
    for i, s in enumerate(hits(rng, [50, 56], 3, 5, 33, blocked=False)):
        club, swing, carry, speed = (
            f"W{int(s.loft_deg)}",
            ("a", "b", "c")[s.swing],
            q(s.carry_m, "yd"),
            q(s.ball_ms, "mph"),
        )
        line = {
            "i": i,
            "tool": club,
            "length": swing,
            "head_mph": q(s.club_ms, "mph"),
            "ball_mph": speed,
            "end_yd": q(s.total_m, "yd"),
            "carry_yd": carry,
        }
        p.rows.append(json_line(line))
        p.mark_ball(len(p.rows), club=club, loft=s.loft_deg, swing=swing, carry=carry, speed=speed)
    p.loose = True
    return p


@person("f41")
def markdown(rng: Random) -> Page:
    p = Page(
        form="markdown",
        ending="md",
        features=("Markdown from a blog of a left-hander", "side as words"),
        may_ask=("club", "swing", "carry", "offline"),
        loose=True,
        answers={"carry": "4"},
    )
    p.say("# Wedge afternoon", "", "Distances in metres, as measured with a tape.", "")
    p.row("club", "swing", "where to", "came down", "off")
    p.row("---", "---", "---", "---", "---")
    for s in hits(rng, [50, 54], 3, 5, 27):
        club, swing, carry, off = f"{int(s.loft_deg)}", ("mini", "midi", "maxi")[s.swing], q(s.carry_m), q(s.offline_m)
        words = f"{abs(off.value):.1f} {'right' if off.value > 0 else 'left'}" if off.value else "0.0"
        p.ball(
            club,
            swing,
            "flag 1" if s.swing else "bucket",
            carry,
            words,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            off=off,
        )
    return p


@person("f42")
def clock_cells(rng: Random) -> Page:
    p = Page(
        form="xlsx",
        ending="xlsx",
        features=("clock times for swings, units row, legend sheet", "landing after total"),
        may_ask=("club", "swing", "carry", "sheet"),
        answers={"carry": "5", "sheet": "Shots"},
    )
    p.new_sheet("Read me")
    p.row("9:15 = left arm level", "")
    p.row("all lengths in metres", "")
    p.new_sheet("Shots")
    p.row("#", "Wedge", "Left arm", "End point", "First touch", "v ball")
    p.row("", "", "", "m", "m", "m/s")
    for i, s in enumerate(hits(rng, [50, 54, 58], 2, 5, 30)):
        club, swing, carry, speed = f"{int(s.loft_deg)}/10", ("8:15", "9:15")[s.swing], q(s.carry_m), q(s.ball_ms)
        p.ball(
            i + 1,
            club,
            swing,
            q(s.total_m),
            carry,
            speed,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            speed=speed,
        )
    return p


@person("f43")
def means_and_sums(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("mean, best and sum rows without a telling word", "landed"),
        may_ask=("club", "swing", "carry", "rows"),
        answers={"carry": "4"},
    )
    p.row("Ball", "Club", "Swing", "Landed m", "Rolled m")
    shots = hits(rng, [52, 58], 2, 6, 30)
    for c, loft in enumerate((52, 58)):
        for w, swing in enumerate(("half", "most")):
            own = [q(s.carry_m) for s in shots if (s.club, s.swing) == (c, w)]
            for i, carry in enumerate(own):
                p.ball(
                    i + 1,
                    str(loft),
                    swing,
                    carry,
                    q(rng.uniform(1, 4)),
                    club=str(loft),
                    loft=float(loft),
                    swing=swing,
                    carry=carry,
                )
            p.row("x̄", "", "", q(sum(c.value for c in own) / len(own)), "")
            p.row("max", "", "", max(own, key=lambda m: m.value), "")
            p.row("Σ", "", "", q(sum(c.value for c in own)), "")
    return p


@person("f44")
def warm_up_rows(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("warm-up rows named so in a column of their own kind", "two players mixed"),
        may_ask=("club", "swing", "player", "rows"),
        answers={"carry": "6"},
    )
    p.row("Order", "Pupil", "Phase", "Wedge", "Swing", "Carried (yd)")
    n = 0
    for name in ("Quill", "Anneke"):
        for i, s in enumerate(hits(rng, [54, 58], 2, 6, rng.uniform(26, 32), name)):
            n += 1
            phase = "warm-up" if i < 3 else "counted"
            club, swing, carry = f"{int(s.loft_deg)}", ("chest", "shoulder")[s.swing], q(s.carry_m, "yd", 0)
            p.ball(
                n,
                name,
                phase,
                club,
                swing,
                carry,
                use=i >= 3,
                player=name,
                club=club,
                loft=s.loft_deg,
                swing=swing,
                carry=carry,
            )
    return p


@person("f45")
def two_label_columns(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("two label columns with unknown headings, only one moves the carry",),
        may_ask=("swing", "club"),
        answers={"carry": "4", "swing": "2", "club": "1"},
    )
    p.row("W", "Zz", "Mat", "Carry m")
    for s in hits(rng, [50, 54, 58], 3, 4, 29):
        club, swing, carry = f"{int(s.loft_deg)}", ("ant", "bee", "cow")[s.swing], q(s.carry_m)
        p.ball(
            club,
            swing,
            rng.choice(("left", "mid", "edge")),
            carry,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
    return p


@person("f46")
def no_headings(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("no headings, no unit, target before the carry, loft first",),
        ambiguous="unit",
        doubtful=("carry_m", "offline_m"),
        may_ask=("carry", "club", "swing", "offline"),
        answers={"unit": "m", "carry": "4", "club": "1", "swing": "2", "offline": "5", "right": "+"},
    )
    for s in hits(rng, [52, 56, 60], 2, 5, 31):
        club, swing, carry, off = f"{int(s.loft_deg)}", ("waist", "chest")[s.swing], q(s.carry_m), q(s.offline_m)
        p.ball(
            club,
            swing,
            10 * round(s.carry_m / 10),
            carry,
            off,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            off=off,
        )
    return p


@person("f47")
def swapped_labels(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("club and swing headings over each other's columns",),
        may_ask=("club", "swing"),
        answers={"carry": "3", "club": "2", "swing": "1"},
    )
    p.row("Club", "Swing", "Carry (yd)")
    for s in hits(rng, [52, 56, 60], 3, 4, 30):
        club, swing, carry = f"{int(s.loft_deg)}°", ("waist", "chest", "shoulder")[s.swing], q(s.carry_m, "yd")
        p.ball(swing, club, carry, club=club, loft=s.loft_deg, swing=swing, carry=carry)
    return p


@person("f48")
def swapped_lengths(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("carry and total headings over each other's columns: carry would be longer than total",),
        ambiguous="carry",
        doubtful=("carry_m",),
        may_ask=("swing",),
        answers={"carry": "4"},
    )
    p.row("Club", "Swing", "Carry (m)", "Total (m)")
    for s in hits(rng, [50, 56], 3, 5, 30):
        club, swing, carry = f"{int(s.loft_deg)}", ("waist", "chest", "shoulder")[s.swing], q(s.carry_m)
        p.ball(club, swing, q(s.total_m), carry, club=club, loft=s.loft_deg, swing=swing, carry=carry)
    return p
