"""Pages that are no golf, ranges, piles, settings, symbols."""

from random import Random

from worlds.foreign_pages import Cell, Page, hits, person, q


@person("f49")
def number_codes(rng: Random) -> Page:
    p = Page(
        delimiter=";",
        features=("numbers for club and swing, explained above",),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "3", "club": "1", "swing": "2"},
    )
    p.say("Wedge 1 = 50, 2 = 54, 3 = 58", "Swing 1 = hip, 2 = chest", "")
    p.row("wedge", "swing", "air m", "ground m")
    for s in hits(rng, [50, 54, 58], 2, 5, 29):
        club, swing, carry = str(s.club + 1), str(s.swing + 1), q(s.carry_m)
        p.ball(
            club,
            swing,
            carry,
            q(s.total_m - s.carry_m),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            also={"club": f"{int(s.loft_deg)}", "swing": ("hip", "chest")[s.swing], "loft_deg": [None]},
        )
    return p


@person("f50")
def combined_codes(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("one code for club and swing, legend in the last column",),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "2"},
    )
    p.row("shot", "flew (m)", "", "key")
    key = ("A = 52", "B = 58", "1 = knee", "2 = hip", "3 = rib")
    for i, s in enumerate(hits(rng, [52, 58], 3, 4, 31)):
        letter, digit, carry = "AB"[s.club], str(s.swing + 1), q(s.carry_m)
        p.ball(
            letter + digit,
            carry,
            "",
            key[i] if i < 5 else "",
            club=letter,
            swing=digit,
            carry=carry,
            free=["loft_deg"],
            also={
                "club": [f"{int(s.loft_deg)}", letter + digit],
                "swing": [("knee", "hip", "rib")[s.swing], letter + digit],
            },
        )
    return p


@person("f51")
def invoice(rng: Random) -> Page:
    p = Page(delimiter=";", mark=",", features=("an invoice of the pro shop",), refuse=True)
    p.row("Pos", "Artikel", "Menge", "Preis (€)", "Summe (€)")
    for i, (thing, price) in enumerate(
        (("Wedge 54°", 129.0), ("Wedge 58°", 129.0), ("Griffe", 9.5), ("Handschuh L", 14.9), ("Rangebälle 50", 4.5))
    ):
        n = rng.randint(1, 4)
        p.row(i + 1, thing, n, q(price, "", 2), q(price * n, "", 2))
    return p


@person("f52")
def score_card(rng: Random) -> Page:
    p = Page(delimiter=",", features=("a score card: metres are lengths of holes",), refuse=True, may_ask=("carry",))
    p.row("Hole", "Par", "Metres", "Strokes", "Putts", "Club off the tee")
    for hole in range(1, 10):
        par = rng.choice((3, 4, 4, 5))
        p.row(
            hole,
            par,
            {3: 140, 4: 350, 5: 470}[par] + rng.randint(-25, 25),
            par + rng.randint(-1, 2),
            rng.randint(1, 3),
            "iron" if par == 3 else "driver",
        )
    return p


@person("f53")
def twins_and_ranges(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("ranges and twins in cells among good ones",),
        may_ask=("rows", "carry", "club", "swing"),
        answers={"carry": "3"},
    )
    p.row("Wedge", "Swing", "Came down (m)")
    for i, s in enumerate(hits(rng, [52, 56], 2, 6, 30)):
        club, swing, carry = f"{int(s.loft_deg)}", ("half", "long")[s.swing], q(s.carry_m, "m", 0)
        n = int(carry.value)
        if i % 7 == 3:
            p.aside("two numbers, not one", club, swing, f"{n}-{n + 3}")
        elif i % 7 == 5:
            p.aside("two numbers, not one", club, swing, f"{n}/{n + 3}")
        else:
            p.ball(club, swing, carry, club=club, loft=s.loft_deg, swing=swing, carry=carry)
    return p


@person("f54")
def piles(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("middle of the pile and how many balls lay there", "pacing in the next column"),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "4"},
    )
    p.row("Wedge", "Swing", "Balls", "Middle of the heap (m)", "Paces")
    for s in hits(rng, [48, 52, 56, 60], 3, 1, 30, mishits=0):
        club, swing, carry, n = (
            f"{int(s.loft_deg)}",
            ("hip", "chest", "ear")[s.swing],
            q(s.carry_m, "m", 0),
            rng.randint(7, 12),
        )
        p.ball(
            club,
            swing,
            n,
            carry,
            round(s.carry_m / 0.88),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            count=n,
        )
    return p


@person("f55")
def settings_first(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        newline="\r\n",
        features=(
            "eight lines of settings with numbers before the heading",
            "club only in a line above",
            "m in the heading",
        ),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "2", "all_club": "56"},
    )
    p.say(
        "Station,4",
        "Height above sea (m),412",
        "Air (hPa),968",
        "Air (°C),12",
        "Ball,new",
        "Operator,R. Quist",
        "Wedge,56",
        "Session,17",
        "",
    )
    p.row("Arm", "Ground contact 1 (m)", "Ground contact last (m)", "Rotation (1/min)", "Elevation (deg)")
    for s in hits(rng, [56], 4, 6, 32):
        swing, carry, spin, launch = (
            ("7", "8", "9", "10")[s.swing],
            q(s.carry_m, "m", 2),
            q(s.spin_rpm, "", 0),
            q(s.launch_deg),
        )
        p.ball(
            swing,
            carry,
            q(s.total_m, "m", 2),
            spin,
            launch,
            club="56",
            loft=56.0,
            swing=swing,
            carry=carry,
            spin=spin,
            launch=launch,
            also={"club": "Wedge 56"},
        )
    return p


@person("f56")
def physics_class(rng: Random) -> Page:
    p = Page(
        delimiter="\t",
        ending="tsv",
        mark=",",
        features=("physics teacher: symbols for headings, flight time and height before the range",),
        may_ask=("carry", "club", "swing", "speed", "launch"),
        answers={"carry": "7", "club": "1", "swing": "2"},
    )
    p.row("β/°", "φ/°", "v0/(m/s)", "α/°", "t/s", "h/m", "x/m")
    for s in hits(rng, [52, 60], 3, 4, 28):
        club, swing, speed, launch, carry = (
            f"{int(s.loft_deg)}",
            str(40 * (s.swing + 1)),
            q(s.ball_ms),
            q(s.launch_deg),
            q(s.carry_m),
        )
        p.ball(
            club,
            swing,
            speed,
            launch,
            q(2.2 * (2 * s.apex_m / 9.81) ** 0.5, "", 2),
            q(s.apex_m),
            carry,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            speed=speed,
            launch=launch,
            carry=carry,
        )
    return p


@person("f57")
def trial_sheet(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        features=("engineer: legend lines, units row, temperature, delta to target", "no golf word at all"),
        may_ask=("carry", "club", "swing", "offline"),
        answers={"carry": "6", "club": "2", "swing": "3"},
    )
    p.say("# specimen P=50 Q=56 R=60, setting 1..3 rising")
    p.row("run", "specimen", "setting", "T_amb", "x_set", "x_meas", "dx")
    p.row("-", "-", "-", "degC", "m", "m", "m")
    for i, s in enumerate(hits(rng, [50, 56, 60], 3, 4, 30)):
        club, swing, carry, goal = "PQR"[s.club], str(s.swing + 1), q(s.carry_m, "m", 2), 10 * round(s.carry_m / 10)
        p.ball(
            i + 1,
            club,
            swing,
            q(17 + 0.05 * i, "", 1),
            goal,
            carry,
            q(carry.value - goal, "m", 2),
            club=club,
            swing=swing,
            carry=carry,
            free=["loft_deg"],
            also={"club": f"{int(s.loft_deg)}"},
        )
    return p


@person("f58")
def shots_across(rng: Random) -> Page:
    p = Page(
        form="xlsx",
        ending="xlsx",
        features=("parent: a row a shot, balls across, mean and spread at the end", "unit in the title"),
        may_ask=("club", "swing", "rows"),
        loose=True,
        answers={"unit": "yd"},
    )
    p.new_sheet("Tuesday")
    p.say("Mila, all yards, where the ball came down")
    p.row("", "1", "2", "3", "4", "5", "6", "average", "spread")
    shots = hits(rng, [54, 58], 3, 6, 23)
    for c, loft in enumerate((54, 58)):
        for w, swing in enumerate(("knee", "hip", "chest")):
            own = [q(s.carry_m, "yd", 0) for s in shots if (s.club, s.swing) == (c, w)]
            cells: list[Cell] = [*own, *[""] * (6 - len(own))]
            mean = sum(x.value for x in own) / len(own)
            row = p.row(
                f"{loft} {swing}",
                *cells,
                q(mean, "", 1),
                q((sum((x.value - mean) ** 2 for x in own) / len(own)) ** 0.5, "", 1),
            )
            for k, carry in enumerate(own):
                p.mark_ball(row, k + 2, club=str(loft), loft=float(loft), swing=swing, carry=carry, free=["player"])
    return p


@person("f59")
def bad_comma(rng: Random) -> Page:
    p = Page(
        delimiter=",",
        mark=",",
        form="raw",
        features=("decimal commas in a file with commas between the cells: each carry may be one number or two",),
        ambiguous="decimal",
        doubtful=("carry_m",),
        may_ask=("carry", "columns", "layout"),
        answers={"decimal": ","},
    )
    p.say("club,swing,carry m")
    for s in hits(rng, [52, 58], 2, 5, 29):
        club, swing, carry = f"{int(s.loft_deg)}", ("half", "long")[s.swing], q(s.carry_m)
        p.rows.append(f"{club},{swing},{p.text(carry)}")
        p.mark_ball(len(p.rows), club=club, loft=s.loft_deg, swing=swing, carry=carry)
    return p


@person("f60")
def temperatures(rng: Random) -> Page:
    p = Page(delimiter=",", features=("a weather log: stations, hours, degrees and wind, no golf",), refuse=True)
    p.row("station", "hour", "temp (°C)", "wind (km/h)", "humidity (%)", "visibility (m)")
    for i in range(16):
        p.row(
            ("north", "south")[i % 2],
            f"{6 + i // 2}:00",
            q(rng.uniform(6, 16), "", 1),
            q(rng.uniform(0, 30), "", 0),
            rng.randint(40, 99),
            50 * rng.randint(4, 90),
        )
    return p
