"""What shots of a known carry do in the air, and what another air makes of them; with the doubt of not knowing the ball.

A shot is known by its carry, in the air it was made in. Launch and spin come from the session where it has them, else from a
prior on the loft at impact. The speed is then found that gives this carry, for many draws of what is not known: the ball's drag
and lift beside the model's, the loft at impact, the spin, the weather. Only differences between two airs come from physics.

Arrays of draws have shape (worlds, shots); a world is one ball, one player's habit and one weather for all shots.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.flight.aero import WEDGE, Formula
from threequarter.flight.compiled import fly_many
from threequarter.flight.ground import FAIRWAYS, GREENS, Firmness, run_doubt, run_out
from threequarter.flight.impact import HEAD_KG, Lie, impact
from threequarter.flight.trajectory import Landings, Launches
from threequarter.flight.weather import Air, Weather, draw_air

Floats = NDArray[np.float64]

DRAG_DOUBT: Final = 0.045
LIFT_DOUBT: Final = 0.06
"""This ball beside the model's: thirteen ball models differ by more than 0.1 in CD below Re 100 000 (Lyu et al. 2018), which is two
or three of these SDs from one end to the other; the two published fits agree in lift within 0.02, some 5 %."""
LEAN_DEG: Final = (12.5, 3.5)
LEAN_SHOT_DEG: Final = 1.5
"""Loft lost at impact by hands ahead (mean and SD of the player, SD of a shot), and the path of the club below level: both move
the loft at impact by 5 to 15 degrees (common practice, no source)."""
PATH_DEG: Final = (-4.0, 2.0)
SPIN_MORE: Final = 1.12
SPIN_DOUBT: Final = 0.12
"""Real balls keep some elastic energy and spin up to about 1.2 times the rigid limit (Cross & Nathan 2007, Am. J. Phys. 75, 658)."""
LAUNCH_READ_DEG: Final = 1.0
SPIN_READ: Final = 0.05
SPEED_POWER: Final = 0.58
"""A wedge's carry grows about with the 1.7th power of its speed; where the search for the speed begins."""
POWERS: Final = (0.3, 1.5)
"""Between which the power found on the way is kept, so that a ball that stalls in a head wind does not send the search astray."""
SOLVE_ROUNDS: Final = 4
STEPS: Final = 16


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownShots:
    """Shots by arrays over shots: loft of the club and its doubt (degrees), and what was measured, nan where nothing was."""

    loft_deg: Floats
    loft_sd_deg: Floats
    launch_deg: Floats
    backspin_rpm: Floats

    @classmethod
    def of_lofts(cls, loft_deg: Floats, loft_sd_deg: Floats | float = 0.0) -> "KnownShots":
        """Shots of which only the club is known."""
        none = np.full(len(loft_deg), np.nan)
        return cls(
            loft_deg=np.asarray(loft_deg, dtype=float),
            loft_sd_deg=np.broadcast_to(loft_sd_deg, none.shape).astype(float),
            launch_deg=none,
            backspin_rpm=none,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShotDraws:
    """Launches that give the known carries, (worlds, shots), in the air they were made in."""

    speed_mps: Floats
    launch_deg: Floats
    spin_rpm: Floats
    drag_more: Floats
    lift_times: Floats
    made: Landings
    shared: Floats

    @property
    def carry_m(self) -> Floats:
        """Carry in the air it was made in."""
        return self.made.carry_m


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InAir:
    """Draws (worlds, shots) of what a shot does in one air: carry, side, height, descent, time, run-out on one ground."""

    carry_m: Floats
    side_m: Floats
    apex_m: Floats
    descent_deg: Floats
    time_s: Floats
    run_m: Floats


def infer_launches(
    carry_m: Floats,
    shots: KnownShots,
    weather: Weather,
    rng: np.random.Generator,
    *,
    aero: Formula = WEDGE,
    lie: Lie = "dry",
) -> ShotDraws:
    """Launches whose carry in `weather` is `carry_m` (worlds, shots)."""
    worlds, count = carry_m.shape
    launch, spin_per_mps = _delivery(shots, rng, worlds, lie)
    drag = np.repeat(DRAG_DOUBT * rng.standard_normal((worlds, 1)), count, axis=1)
    lift = np.repeat(np.exp(LIFT_DOUBT * rng.standard_normal((worlds, 1))), count, axis=1)
    air = draw_air(weather, rng, worlds)
    speed, power, before = 26.3 * (carry_m / 50.0) ** 0.52, np.full(carry_m.shape, SPEED_POWER), None
    for turn in range(SOLVE_ROUNDS):
        spin = np.where(np.isfinite(shots.backspin_rpm), spin_per_mps, spin_per_mps * speed)
        landed = _fly(speed, launch, spin, air, drag, lift, aero)
        if turn < SOLVE_ROUNDS - 1:
            at = np.log(speed), np.log(np.maximum(landed.carry_m, 0.3))
            power = power if before is None else _secant(power, before, at)
            before = at
            speed = np.clip(np.exp(at[0] + power * (np.log(carry_m) - at[1])), 1.0, 95.0)
    return ShotDraws(
        speed_mps=speed,
        launch_deg=launch,
        spin_rpm=spin,
        drag_more=drag,
        lift_times=lift,
        made=landed,
        shared=rng.standard_normal((worlds, 1)),
    )


def _secant(power: Floats, before: tuple[Floats, Floats], at: tuple[Floats, Floats]) -> Floats:
    """The power of the carry by which the speed grows, between the last two tries (both as logs of speed and carry)."""
    grown = at[1] - before[1]
    moved = np.abs(grown) > 1e-9
    found = np.divide(at[0] - before[0], grown, where=moved, out=power.copy())
    return np.where(moved, np.clip(found, *POWERS), power)


def _delivery(shots: KnownShots, rng: np.random.Generator, worlds: int, lie: Lie) -> tuple[Floats, Floats]:
    """Launch angles, and spin: rpm where it was measured, else rpm for a metre a second of ball speed. Both (worlds, shots)."""
    count = len(shots.loft_deg)
    z = rng.standard_normal
    loft = shots.loft_deg + shots.loft_sd_deg * z((worlds, 1))
    lean = LEAN_DEG[0] + LEAN_DEG[1] * z((worlds, 1)) + LEAN_SHOT_DEG * z((worlds, count))
    path = PATH_DEG[0] + PATH_DEG[1] * z((worlds, 1))
    relative = np.clip(loft - lean - path, 8.0, 75.0)
    ball, launch, spin = impact(25.0, relative, lie=lie, head_kg=HEAD_KG)
    launch = launch + path
    per_mps = SPIN_MORE * spin / ball * np.exp(SPIN_DOUBT * z((worlds, 1)))
    measured = np.isfinite(shots.launch_deg)
    launch = np.where(measured, shots.launch_deg + LAUNCH_READ_DEG * z((worlds, 1)), launch)
    read = shots.backspin_rpm * np.exp(SPIN_READ * z((worlds, 1)))
    return np.clip(launch, 5.0, 70.0), np.where(np.isfinite(shots.backspin_rpm), read, per_mps)


def _fly(speed: Floats, launch: Floats, spin: Floats, air: Air, drag: Floats, lift: Floats, aero: Formula) -> Landings:
    shape = speed.shape

    def flat(values: Floats) -> Floats:
        return np.ascontiguousarray(np.broadcast_to(values, shape)).ravel()

    zero = np.zeros(speed.size)
    launches = Launches(
        speed_mps=flat(speed),
        launch_deg=flat(launch),
        azimuth_deg=zero,
        spin_rpm=np.clip(flat(spin), 0.0, 14_000.0),
        axis_deg=zero,
        wind_mps=flat(air.wind_mps[:, None]),
        wind_to_deg=flat(air.wind_to_deg[:, None]),
        density_kg_m3=flat(air.density_kg_m3[:, None]),
        viscosity_pa_s=flat(air.viscosity_pa_s[:, None]),
        rise=flat(air.rise[:, None]),
        drag_more=flat(drag),
        lift_times=flat(lift),
    )
    landed = fly_many(launches, aero, steps=STEPS)
    return Landings(**{name: getattr(landed, name).reshape(shape) for name in Landings.__dataclass_fields__})


def landed_in(
    draws: ShotDraws, weathers: Sequence[Weather], seed: int, *, aero: Formula = WEDGE
) -> tuple[Floats, Floats]:
    """Carry and side of the same shots in each of several weathers, both (weathers, worlds, shots); nothing of the ground."""
    worlds, shots = draws.speed_mps.shape
    airs = [draw_air(weather, np.random.default_rng(seed), worlds) for weather in weathers]
    air = Air(**{each.name: np.concatenate([getattr(one, each.name) for one in airs]) for each in fields(Air)})
    many = (len(airs), 1)
    landed = _fly(
        np.tile(draws.speed_mps, many),
        np.tile(draws.launch_deg, many),
        np.tile(draws.spin_rpm, many),
        air,
        np.tile(draws.drag_more, many),
        np.tile(draws.lift_times, many),
        aero,
    )
    shape = (len(airs), worlds, shots)
    return landed.carry_m.reshape(shape), landed.side_m.reshape(shape)


def in_air(
    draws: ShotDraws,
    weather: Weather,
    rng: np.random.Generator,
    *,
    firmness: Firmness = "normal",
    fairway: bool = False,
    aero: Formula = WEDGE,
    again: bool = True,
) -> InAir:
    """The same shots in another weather; with `again` False in the air they were made in, which need not be flown anew."""
    if again:
        air = draw_air(weather, rng, draws.speed_mps.shape[0])
        landed = _fly(draws.speed_mps, draws.launch_deg, draws.spin_rpm, air, draws.drag_more, draws.lift_times, aero)
        rise = float(air.rise[0])
    else:
        landed, rise = draws.made, 0.0
    ground = (FAIRWAYS if fairway else GREENS)[firmness]
    run = run_out(landed.land_speed_mps, landed.descent_deg, landed.land_spin_rpm, ground, rise=rise)
    run = run_doubt(run, draws.shared, rng.standard_normal(run.shape))
    return InAir(
        carry_m=landed.carry_m,
        side_m=landed.side_m,
        apex_m=landed.apex_m,
        descent_deg=landed.descent_deg,
        time_s=landed.time_s,
        run_m=run,
    )
