"""`threequarter swing`: the swings in a face-on clip."""

from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json


@click.command(epilog="Example: threequarter swing clip.mp4 --json -")
@click.argument("clip", type=click.Path(path_type=Path))
@JSON
def command(clip: Path, json_to: str | None) -> None:
    """Measure every swing of a face-on CLIP: how far the lead arm went back and through, tempo, speed at the ball.

    Early: one clip at a time, as filmed; the camera's own angle is not measured yet. Checked on rendered clips only.
    """
    import sys

    import numpy as np
    from rich.console import Console
    from rich.progress import Progress

    from threequarter.swing.answer import swings_answer
    from threequarter.swing.decode import probe, require_video
    from threequarter.swing.measure import find_swings, motion
    from threequarter.swing.track import track

    require_video()
    length = probe(clip).duration_s
    with Progress(console=Console(file=sys.stderr), transient=True) as bar:
        task = bar.add_task(f"Looking at {clip.name}", total=length)
        seen = track(clip, progress=lambda at: bar.update(task, completed=at))
    curves = motion(seen.time_s, seen.points, seen.visibility)
    swings = find_swings(curves) if curves else ()
    rate = 1 / float(np.median(np.diff(seen.time_s))) if len(seen.time_s) > 1 else 0.0
    answer = swings_answer(curves, swings, rate)
    if json_to:
        write_json(answer, json_to)
        return
    for number, swing in enumerate(swings, start=1):
        click.echo(
            f"swing {number} at {swing.t_impact_s:.2f} s: lead arm {swing.lead_arm_top_deg:.0f}° back, {swing.lead_arm_finish_deg:.0f}°"
            f" through; tempo {swing.tempo_ratio:.1f} to 1{'; the hands slowed before the ball' if swing.decelerating else ''}"
        )
    for warning in answer["warnings"]:
        click.echo(warning)
