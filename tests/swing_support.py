"""Swing checks that were never filmed, for tests of what is said and shown of them."""

from threequarter.golf.message import Message
from threequarter.swing.camera import View
from threequarter.swing.check import SwingCheck
from threequarter.swing.clock import Clock
from threequarter.swing.doubt import Quality, doubts
from threequarter.swing.measure import Swing


def checked(
    *swings: Swing, warnings: tuple[Message, ...] = (), azimuth_deg: float | None = 0.0, frames_per_s: float = 60.0
) -> SwingCheck:
    """Swings as a check of a well filmed right-hander's clip finds them."""
    return SwingCheck(
        swings=swings,
        curves=(),
        hand="right" if swings else None,
        view=View(azimuth_deg=azimuth_deg, azimuth90_deg=5.0, roll90_deg=2.0),
        clock=Clock(1.0, ((1.0, 1.0),)),
        warnings=warnings,
        frames_per_s=frames_per_s,
        doubt90=tuple(doubts(swing, Quality()) for swing in swings),
        told=tuple(() for _ in swings),
        struck=tuple("unknown" for _ in swings),
        signs=tuple(() for _ in swings),
        stretch_of=tuple(0 for _ in swings),
        numbers=tuple(range(1, len(swings) + 1)),
    )
