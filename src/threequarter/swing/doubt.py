"""How far each measure of a swing may be off: half-widths that hold nine times in ten.

Set on the open clips, which are rendered: on real footage they are a lower bound until somebody measures their own clips
(`threequarter swing --compare`). Hands that are badly seen double the doubt of what hangs on them; a slow camera widens that of
the instants.
"""

from math import hypot
from typing import Final

from threequarter.swing.measure import Swing

TIME_S: Final = {"t_takeaway_s": 0.030, "t_top_s": 0.028, "t_impact_s": 0.009, "t_finish_s": 0.060}
ARM_DEG: Final = {"lead_arm_top_deg": 3.4, "lead_arm_finish_deg": 3.8}
SQUARE_DEG: Final = 2.5
HEIGHT: Final = {"hand_height_top": 0.045, "hand_height_finish": 0.055}
PEAK: Final = 0.045
WELL_SEEN: Final = 0.75
LEAST_SEEN: Final = 0.25
"""Below this no measure that hangs on the hands is given."""


def doubts(swing: Swing, frames_per_s: float) -> dict[str, float]:
    """Half-widths by field, 90 %."""
    frame = 0.5 / frames_per_s if frames_per_s > 0 else 0.05
    found = {name: hypot(value, frame) for name, value in TIME_S.items()}
    for end, seen in (("top", swing.seen_top), ("finish", swing.seen_finish)):
        times = 1.0 if seen >= WELL_SEEN else 2.0
        arm = ARM_DEG[f"lead_arm_{end}_deg"] * times
        found[f"lead_arm_{end}_deg"] = arm
        found[f"lead_arm_{end}_square_deg"] = hypot(arm, SQUARE_DEG)
        found[f"hand_height_{end}"] = HEIGHT[f"hand_height_{end}"] * times
    back, down = swing.t_top_s - swing.t_takeaway_s, swing.t_impact_s - swing.t_top_s
    early, top, late = found["t_takeaway_s"], found["t_top_s"], found["t_impact_s"]
    ratio = back / down
    found["tempo_ratio"] = hypot(early / down, top * (1 + ratio) / down, late * ratio / down)
    found["impact_over_peak"] = PEAK
    return {name: round(value, 4) for name, value in found.items()}
