"""Coaches around the world, each with a table in the language they think in."""

from random import Random

from worlds.foreign_pages import Page, hits, person, q


@person("f01")
def german_fitter(rng: Random) -> Page:
    p = Page(
        mark=",",
        encoding="cp1252",
        features=("club fitter, German", "club speed and loft before the flight", "total last"),
        may_ask=("swing",),
        answers={"carry": "9"},
    )
    p.row(
        "Nr",
        "Schläger",
        "Loft (°)",
        "Ausholen",
        "Schlägerkopf (km/h)",
        "Ball (km/h)",
        "Start (°)",
        "Drall (1/min)",
        "Flug (m)",
        "Gesamt (m)",
    )
    for i, s in enumerate(hits(rng, [48, 52, 56, 60], 2, 6, 33)):
        swing, club = ("Hüfte", "Brust")[s.swing], ("Muster A", "Muster B", "Muster C", "Muster D")[s.club]
        speed, launch, spin, carry = q(s.ball_ms, "km/h"), q(s.launch_deg), q(s.spin_rpm, "", 0), q(s.carry_m)
        p.ball(
            i + 1,
            club,
            int(s.loft_deg),
            swing,
            q(s.club_ms, "km/h"),
            speed,
            launch,
            spin,
            carry,
            q(s.total_m),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
            speed=speed,
            launch=launch,
            spin=spin,
        )
    return p


@person("f02")
def danish_coach(rng: Random) -> Page:
    p = Page(
        mark=",",
        features=("Danish", "deviation of the carry before the carry", "the carry is called Længde"),
        may_ask=("carry",),
        answers={"carry": "6"},
    )
    p.row("Nr", "Kølle", "Sving", "Afvigelse carry (m)", "Mål (m)", "Længde (m)", "Bemærkning")
    for i, s in enumerate(hits(rng, [50, 54, 58], 3, 5, 29)):
        swing, club, goal = ("knæ", "hofte", "bryst")[s.swing], f"{int(s.loft_deg)}", 5 * round(s.carry_m / 5)
        carry = q(s.carry_m)
        p.ball(
            i + 1,
            club,
            swing,
            q(carry.value - goal),
            goal,
            carry,
            {"fat": "tungt", "thin": "tyndt"}.get(s.strike or "", ""),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
    return p


@person("f03")
def norwegian_junior_coach(rng: Random) -> Page:
    p = Page(
        delimiter="\t",
        ending="tsv",
        mark=",",
        features=("Norwegian", "unit only in the title", "planned length first", "two players"),
        may_ask=("player", "swing"),
        answers={"carry": "5"},
    )
    p.say("Jr-trening torsdag, alle lengder i meter", "")
    p.row("Navn", "Kølle", "Sving", "Planlagt", "Flukt", "Rull", "Til sammen")
    for name in ("Eirin", "Storm-Aksel"):
        for s in hits(rng, [52, 58], 3, 4, rng.uniform(24, 31), name):
            club, swing, carry, total = (
                f"{int(s.loft_deg)}°",
                ("kort", "halv", "lang")[s.swing],
                q(s.carry_m),
                q(s.total_m),
            )
            p.ball(
                name,
                club,
                swing,
                10 * round(s.carry_m / 10),
                carry,
                q(total.value - carry.value),
                total,
                player=name,
                club=club,
                loft=s.loft_deg,
                swing=swing,
                carry=carry,
            )
    return p


@person("f04")
def swedish_minutes(rng: Random) -> Page:
    p = Page(
        form="raw",
        ending="txt",
        features=("Swedish", "minutes of a lesson in prose", "unit in a sentence"),
        may_ask=("club", "swing", "rows", "player", "unit", "decimal"),
        loose=True,
        answers={"unit": "m"},
    )
    p.say(
        "Lektion med Tuva, lördag 9 maj 2026, 14 grader, svag vind",
        "Vi slog tio bollar i värmen först, de räknas inte. Alla längder i meter, där bollen slog ner.",
        "",
    )
    for loft in (54, 58):
        shots = hits(rng, [loft], 3, 6, 28)
        for n, label in enumerate(("midja", "bröst", "axel")):
            own = [s for s in shots if s.swing == n]
            p.rows.append(f"{loft} {label}: " + " ".join(f"{s.carry_m:.0f}" for s in own))
            for s in own:
                p.mark_ball(len(p.rows), club=str(loft), loft=float(loft), swing=label, carry=q(s.carry_m, "m", 0))
    p.say("", "Till nästa gång: 20 minuter om dagen, hellre 3 gånger 10 bollar än 1 gång 60.")
    return p


@person("f05")
def finnish_coach(rng: Random) -> Page:
    p = Page(
        mark=",",
        encoding="cp1252",
        features=("Finnish", "side with the word for left and right", "temperature column"),
        may_ask=("offline",),
        answers={"carry": "4", "right": "+"},
    )
    p.row("Maila", "Heilahdus", "Lämpötila (°C)", "Lentomatka (m)", "Sivuun (m, oikea +)", "Kierre (1/min)")
    for s in hits(rng, [46, 52, 58], 3, 5, 30):
        club, swing = f"{int(s.loft_deg)}°", ("lyhyt", "puolikas", "pitkä")[s.swing]
        carry, off, spin = q(s.carry_m), q(s.offline_m), q(s.spin_rpm, "", 0)
        p.ball(
            club, swing, 11, carry, off, spin, club=club, loft=s.loft_deg, swing=swing, carry=carry, off=off, spin=spin
        )
    return p


@person("f06")
def polish_coach(rng: Random) -> Page:
    p = Page(
        mark=",",
        encoding="cp1250",
        newline="\r\n",
        features=("Polish", "cp1250", "total before the flight", "mean rows"),
        may_ask=("club", "swing"),
        answers={"carry": "5"},
    )
    p.row("Lp.", "Kij", "Zamach", "Z toczeniem [m]", "Lot [m]", "W bok [m]")
    n = 0
    shots = hits(rng, [50, 56], 3, 6, 31)
    for c in (0, 1):
        for w, swing in enumerate(("do biodra", "do piersi", "do barku")):
            own = [s for s in shots if (s.club, s.swing) == (c, w)]
            for s in own:
                n += 1
                carry, off, club = q(s.carry_m), q(s.offline_m), f"{int(s.loft_deg)}"
                p.ball(
                    n,
                    club,
                    swing,
                    q(s.total_m),
                    carry,
                    off,
                    club=club,
                    loft=s.loft_deg,
                    swing=swing,
                    carry=carry,
                    off=off,
                )
            p.row(
                "śr.",
                "",
                "",
                q(sum(s.total_m for s in own) / len(own)),
                q(sum(s.carry_m for s in own) / len(own)),
                q(sum(s.offline_m for s in own) / len(own)),
            )
    return p


@person("f07")
def czech_coach(rng: Random) -> Page:
    p = Page(
        mark=",",
        encoding="cp1250",
        features=("Czech", "a section for each club", "word for flight"),
        may_ask=("club", "swing"),
        answers={"carry": "3"},
    )
    p.say("Zápis z tréninku 12. 4. 2026", "")
    shots = hits(rng, [48, 54, 60], 3, 5, 30)
    for c, loft in enumerate((48, 54, 60)):
        p.row(f"Hůl {loft}°", "", "", "")
        p.row("č.", "Nápřah", "Let (m)", "Rychlost míče (km/h)")
        for i, s in enumerate([s for s in shots if s.club == c]):
            swing, carry, speed = ("pas", "prsa", "rameno")[s.swing], q(s.carry_m), q(s.ball_ms, "km/h", 0)
            p.ball(
                i + 1,
                swing,
                carry,
                speed,
                club=f"Hůl {loft}°",
                loft=float(loft),
                swing=swing,
                carry=carry,
                speed=speed,
                also={"club": [f"{loft}°", str(loft)]},
            )
        p.row("", "", "", "")
    return p


@person("f08")
def hungarian_coach(rng: Random) -> Page:
    p = Page(
        mark=",",
        features=("Hungarian", "rank and last flight before the flight"),
        may_ask=("carry", "club", "swing"),
        answers={"carry": "5"},
    )
    p.row("Ütő", "Lendítés", "Helyezés", "Előző repülés (m)", "Repülés (m)", "Gurulással (m)")
    shots = hits(rng, [52, 56, 60], 2, 6, 32, blocked=False)
    order = sorted(range(len(shots)), key=lambda i: -shots[i].carry_m)
    for i, s in enumerate(shots):
        club, swing, carry = f"{int(s.loft_deg)}", ("fél", "háromnegyed")[s.swing], q(s.carry_m)
        p.ball(
            club,
            swing,
            order.index(i) + 1,
            q(shots[i - 1].carry_m) if i else None,
            carry,
            q(s.total_m),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
    return p


@person("f09")
def portuguese_coach(rng: Random) -> Page:
    p = Page(
        mark=",",
        encoding="utf-8-sig",
        features=(
            "Portuguese",
            "side named with the word of the flight, before the flight",
            "loft apart from the club's name",
        ),
        may_ask=("club",),
        answers={"carry": "5", "right": "+"},
    )
    p.row("Taco", "Loft", "Balanço", "Voo lateral (m, direita +)", "Voo (m)", "Saída (°)")
    for s in hits(rng, [50, 54, 58], 3, 5, 28):
        club, swing = ("o velho", "o azul", "o novo")[s.club], ("joelho", "cintura", "peito")[s.swing]
        off, carry, launch = q(s.offline_m), q(s.carry_m), q(s.launch_deg)
        p.ball(
            club,
            int(s.loft_deg),
            swing,
            off,
            carry,
            launch,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            off=off,
            carry=carry,
            launch=launch,
        )
    return p


@person("f10")
def dutch_physio(rng: Random) -> Page:
    p = Page(
        delimiter="|",
        ending="txt",
        mark=",",
        features=("Dutch", "heart rate, time, price per bucket", "labels once for a run"),
        may_ask=("club", "swing", "carry"),
        answers={"carry": "6"},
    )
    p.row("tijd", "stok", "zwaai", "hartslag", "emmer €", "vlucht m")
    before: tuple[str, str] = ("", "")
    for i, s in enumerate(hits(rng, [46, 52, 58], 2, 6, 27)):
        club, swing, carry = f"{int(s.loft_deg)}", ("heup", "borst")[s.swing], q(s.carry_m)
        shown = ("" if club == before[0] else club, "" if (club, swing) == before else swing)
        p.ball(
            f"10:{i:02d}",
            shown[0],
            shown[1],
            92 + rng.randint(0, 30),
            "4,50",
            carry,
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
        before = (club, swing)
    return p


@person("f11")
def turkish_coach(rng: Random) -> Page:
    p = Page(
        mark=",",
        encoding="cp1254",
        features=("Turkish", "cp1254", "feet", "target first"),
        may_ask=("carry", "club", "swing"),
        answers={"carry": "4"},
    )
    p.row("Sopa", "Salınım", "Hedef (ft)", "Uçuş (ft)", "Yuvarlanma ile (ft)")
    for s in hits(rng, [52, 56, 60], 3, 5, 29):
        club, swing, carry = f"{int(s.loft_deg)}°", ("kısa", "yarım", "uzun")[s.swing], q(s.carry_m, "ft", 0)
        p.ball(
            club,
            swing,
            10 * round(carry.value / 10),
            carry,
            q(s.total_m, "ft", 0),
            club=club,
            loft=s.loft_deg,
            swing=swing,
            carry=carry,
        )
    return p


@person("f12")
def greek_coach(rng: Random) -> Page:
    p = Page(
        mark=",",
        encoding="cp1253",
        features=("Greek", "cp1253", "unit in Greek letters"),
        may_ask=("carry", "club", "swing", "unit"),
        answers={"carry": "4", "unit": "m"},
    )
    p.row("Α/Α", "Μπαστούνι", "Κίνηση", "Πτήση (μ.)", "Σύνολο (μ.)")
    for i, s in enumerate(hits(rng, [50, 56], 3, 6, 30)):
        club, swing, carry = f"{int(s.loft_deg)}", ("μικρή", "μεσαία", "μεγάλη")[s.swing], q(s.carry_m)
        p.ball(i + 1, club, swing, carry, q(s.total_m), club=club, loft=s.loft_deg, swing=swing, carry=carry)
    return p
