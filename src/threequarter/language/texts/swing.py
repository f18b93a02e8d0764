"""What the swing check says: of a swing, of how it was filmed, and what it refuses."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import NN_, Plural

SWINGS: Final[dict[str, str | Plural]] = {
    "swing.level_knee": N_("knee"),
    "swing.level_waist": N_("waist"),
    "swing.level_chest": N_("chest"),
    "swing.level_shoulder": N_("shoulder"),
    "swing.above_shoulder": N_("above the shoulder"),
    "swing.between": N_("between {low} and {high}"),
    "swing.end": N_("{level}, {clock}"),
    "swing.end_not_seen": N_("not seen"),
    "swing.lengths": N_("back: {back}; through: {through}"),
    "swing.through_matches": N_("through matches back"),
    "swing.through_shorter": N_("about {by_deg} shorter through (±{doubt_deg})"),
    "swing.through_longer": N_("about {by_deg} longer through (±{doubt_deg})"),
    "swing.match_unknown": N_("cannot tell whether through matches back"),
    "swing.match_not_seen": N_("through was not seen, so we cannot compare it with back"),
    "swing.tempo": N_("back took {times:1} times as long as down"),
    "swing.to_ball": N_("{took_s:2} to the ball"),
    "swing.hand_speed": N_("hands still at {peak_share} of their top speed at the ball"),
    "swing.practice": N_("a practice swing: no ball was struck"),
    "swing.arm": N_("lead arm at {arm_deg}"),
    "swing.meant_same": N_("meant {meant}, filmed the same"),
    "swing.meant_longer": N_("meant {meant}, filmed {filmed}: longer than meant"),
    "swing.meant_shorter": N_("meant {meant}, filmed {filmed}: shorter than meant"),
    "swing.meant_not_seen": N_("meant {meant}; the top was not seen"),
    "swing.tempo_usual": N_("as usual for this player ({usual:1}, over {count} swings of this length)"),
    "swing.tempo_slower_back": N_(
        "slower back than usual for this player ({usual:1}, over {count} swings of this length)"
    ),
    "swing.tempo_quicker_back": N_(
        "quicker back than usual for this player ({usual:1}, over {count} swings of this length)"
    ),
    "swing.alike": N_(
        "{count} swings: arm back {low_deg:bare} to {high_deg}, hands {lowest} to {highest}; through matches back in"
        " {matches}"
    ),
    "swing.plain_lengths": N_("Hands back to: {back}; through to: {through}."),
    "swing.plain_match": N_("Through against back: {match}."),
    "swing.plain_tempo": N_("Going back took {times:1} times as long as coming down."),
    "swing.plain_tempo_beside": N_("Going back took {times:1} times as long as coming down, {beside}."),
    "swing.lesson_tempo": N_("Tempo as usual for this player in {usual} of {told} swings."),
    "swing.lesson_tempo_off": N_("Of the others {slower} were slower back, {quicker} quicker."),
    "swing.filmed": Plural(NN_("{count} swing was filmed.", "{count} swings were filmed."), by="count"),
    "swing.lesson_match": N_(
        "Of {told} clear swings, {matched} went as far through as back, which is the aim; {shorter} fell short."
    ),
    "swing.lesson_unknown": Plural(
        NN_("For {unknown} it is not clear.", "For {unknown} it is not clear."), by="unknown"
    ),
}
STORY: Final[dict[str, str | Plural]] = {
    "swing.strike_fat": N_("fat"),
    "swing.strike_thin": N_("thin"),
    "swing.strike_heavy": N_("heavy"),
    "swing.story_counts": N_("Filmed with a {worst} strike: {bad}; with a good one: {good}."),
    "swing.story_match_less": N_("On those the arm went about {by_deg} less through than on good ones."),
    "swing.story_match_more": N_("On those the arm went about {by_deg} further through than on good ones."),
    "swing.story_lead_arm_top_less": N_("On those the arm went about {by_deg} less back than on good ones."),
    "swing.story_lead_arm_top_more": N_("On those the arm went about {by_deg} further back than on good ones."),
    "swing.story_tempo_ratio_less": N_("On those the backswing was quicker, compared with the downswing, by {by:1}."),
    "swing.story_tempo_ratio_more": N_("On those the backswing was slower, compared with the downswing, by {by:1}."),
    "swing.story_impact_over_peak_less": N_(
        "On those the hands had lost {by_share} more of their top speed by the ball."
    ),
    "swing.story_impact_over_peak_more": N_(
        "On those the hands had lost {by_share} less of their top speed by the ball."
    ),
    "swing.story_none": N_("Nothing we measured differs between the two beyond chance."),
    "swing.story_few": N_("Too few filmed to compare: you need three of each."),
    "swing.drill_line": N_("Drill: draw a line on the turf, strike the ground after it; pass with 7 of 10."),
    "swing.drill_tee": N_("Drill: ball on a low tee, clip the tee out of the ground; pass with 7 of 10."),
}
FILMING: Final[dict[str, str | Plural]] = {
    "swing.no_player": N_("no player seen in this clip"),
    "swing.no_swing": N_(
        "no swing found: film both hands on the club, low and still at address, then fast back and through"
    ),
    "swing.from_the_side": N_(
        "not measured: the camera is about {view_deg} off face-on. Stand it in front of the chest, square to it"
    ),
    "swing.dark_sides": N_("not measured: too dark to tell left from right on this player. Film in better light"),
    "swing.lost": Plural(
        NN_(
            "{count} swing was not measured: somebody walked in between, or the player went out of view",
            "{count} swings were not measured: somebody walked in between, or the player went out of view",
        ),
        by="count",
    ),
    "swing.slow_motion": N_("slow motion, {slower} times slower than life: seconds are real seconds"),
    "swing.which_clock": N_(
        "slow motion? {factors} times slower than life would fit. Say which with --slower; until then we give no times"
    ),
    "swing.few_frames": N_("{frames} frames a second: we know impact to about ±{doubt_ms} ms; film at 60 or more"),
    "swing.off_square_target_left": N_(
        "camera off square by about {angle_deg} (±{doubt_deg}) to the target side: move it away from the target (to its own"
        " left), square to the chest"
    ),
    "swing.off_square_target_right": N_(
        "camera off square by about {angle_deg} (±{doubt_deg}) to the target side: move it away from the target (to its own"
        " right), square to the chest"
    ),
    "swing.off_square_trail_left": N_(
        "camera off square by about {angle_deg} (±{doubt_deg}) to the trail side: move it towards the target (to its own"
        " left), square to the chest"
    ),
    "swing.off_square_trail_right": N_(
        "camera off square by about {angle_deg} (±{doubt_deg}) to the trail side: move it towards the target (to its own"
        " right), square to the chest"
    ),
    "swing.view_widens": N_("this far off square the arm is harder to see: the ranges are wider"),
    "swing.rolled": N_("the phone leaned by about {roll_deg}: we corrected the angles for it"),
    "swing.roll_doubtful": N_("the phone may have leaned: the angles are less sure. Set it upright"),
    "swing.sideways": N_("the picture is on its side: we turned it upright to measure"),
    "swing.shakes": N_("the picture shakes: put the phone on something steady"),
    "swing.far": N_("the player fills only {tall_share} of the picture's height: come nearer"),
    "swing.cut_off": N_(
        "the player is cut off at the head or the feet: step back until the whole body and the club are in view"
    ),
    "swing.dark": N_("the picture is dark: film towards the light side or in better light"),
    "swing.burnt": N_("the picture is too bright: film with the light behind the phone, not against it"),
    "swing.blurred": N_("the picture is blurred: film in more light, clean the lens, focus on the player"),
    "swing.crushed": N_(
        "the clip is heavily compressed: takeaway, tempo and hand speed are not measured. Send the file as the "
        "phone made it"
    ),
    "swing.several_people": N_(
        "several people are in view: we measured the largest. Keep everybody else out of the picture"
    ),
    "swing.passer_by": N_("somebody else came into view for a while"),
    "swing.starts_before": N_(
        "the clip starts during the backswing: takeaway and tempo are not measured. Start filming before address"
    ),
    "swing.ends_after": N_(
        "the clip ends before the finish: the follow-through is not measured. Film until the club is held still"
    ),
    "swing.not_still": N_("the player does not stand still before the swing, so we do not know the camera's angle"),
    "swing.hidden_top": N_("the hands were hidden at the top: arm and height there are not measured"),
    "swing.hidden_finish": N_("the hands were hidden at the finish: arm and height there are not measured"),
    "swing.hands_blurred": N_(
        "the hands are blurred on the way down: their speed is not measured, nor tempo unless the ball is heard. Film in brighter light"
    ),
    "swing.exchanged": N_("left and right were hard to tell apart on this player: the ranges are wider"),
    "swing.crowded": N_("somebody else was in view during this swing: the ranges are wider"),
}
REFUSED: Final[dict[str, str | Plural]] = {
    "swing.no_length": N_(
        "the camera cannot see a swing length {meant!r}. Name a body level (waist, chest, shoulder) or a clock "
        "time (9:00)."
    ),
    "swing.no_level": N_("{name} is not a body level. Name one of {known}."),
    "swing.pose_not_seen": N_("The player cannot be seen at that moment. Go to where the pose is held."),
    "swing.levels_crossed": N_("The levels {names} are too close together or in the wrong order. Pose them again."),
    "swing.no_video": N_(
        "Reading clips needs the video extra, which is not installed. Run: pip install 'threequarter[video]'"
    ),
    "swing.clip_format": N_("{file} is not a video this program can read. Use MP4, MOV, MKV or WebM."),
    "swing.clip_damaged": N_("{file} cannot be opened as a video; it is damaged or incomplete ({error})."),
    "swing.clip_no_picture": N_("{file} has no picture in it, only sound or text."),
    "swing.clip_codec": N_("{file} is coded as {codec}, which this program cannot read. Export it as H.264 or HEVC."),
    "swing.clip_no_size": N_("{file} has no picture size; it is damaged or incomplete."),
    "swing.clip_too_large": N_("{file} has {width} x {height} pixels; the limit is {most} million. Export it smaller."),
    "swing.clip_no_frame": N_("{file}: no frame of it can be decoded ({codec}); it is damaged or incomplete."),
    "swing.clip_empty": N_("{file} is empty."),
    "swing.clip_closed": N_("{file} cannot be opened: {why}."),
    "swing.clip_stopped": N_("{file}: the decoder failed; the clip is damaged. Export it again as MP4 (H.264)."),
    "swing.clip_too_long": N_("{file} lasts {minutes:0} minutes; the limit is 60. Cut it first."),
    "swing.clip_too_much": N_(
        "{file} holds {count:0} pictures of {width} by {height}, more than an hour of film. Cut it first."
    ),
    "swing.mark_no_swing": N_("There is no swing {swing} in this clip."),
    "swing.mark_unknown": N_("A mark must be one of {known}, not {unknown}."),
    "swing.mark_order": N_("Put takeaway, top, impact and finish in that order, inside the clip."),
    "swing.mark_point": N_("Give a point as two numbers: pixels from the left and from the top."),
    "swing.mark_added": N_("For a missed swing, give its top and its impact in seconds."),
    "swing.mark_not_followed": N_("We saw no fast move of the hands there, so there is nothing to measure."),
    "swing.no_marks": N_(
        'The marks hold no "swings": a list with t_impact_s, t_top_s, lead_arm_top_deg and so on for each swing.'
    ),
}
COMPARED: Final[dict[str, str | Plural]] = {
    "swing.compared": N_("{matched} swings matched, {missed} missed, {too_many} found that were not there"),
    "swing.compared_field": N_(
        "{name}: median error {middle:3}, worst {worst:3+}, within our doubt {held_share}, {count} marks"
    ),
}
TEXTS: Final[dict[str, str | Plural]] = {**SWINGS, **STORY, **FILMING, **REFUSED, **COMPARED}
