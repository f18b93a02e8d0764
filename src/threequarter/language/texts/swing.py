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
    "swing.match_not_seen": N_("through was not seen, so it cannot be matched with back"),
    "swing.tempo": N_("back took {times:1} times as long as down"),
    "swing.to_ball": N_("{took_s:2} to the ball"),
    "swing.hand_speed": N_("hands at {peak_share} of their peak speed at the ball"),
    "swing.practice": N_("a practice swing: no ball was struck"),
    "swing.arm": N_("lead arm at {arm_deg}"),
    "swing.meant_same": N_("meant {meant}, filmed the same"),
    "swing.meant_longer": N_("meant {meant}, filmed {filmed}: longer than meant"),
    "swing.meant_shorter": N_("meant {meant}, filmed {filmed}: shorter than meant"),
    "swing.meant_not_seen": N_("meant {meant}; the top was not seen"),
    "swing.tempo_usual": N_("as usual for this player ({usual:1}, over {count} swings)"),
    "swing.tempo_slower_back": N_("slower back than usual for this player ({usual:1}, over {count} swings)"),
    "swing.tempo_quicker_back": N_("quicker back than usual for this player ({usual:1}, over {count} swings)"),
    "swing.alike": N_(
        "{count} swings: arm back {low_deg:bare} to {high_deg}, hands {lowest} to {highest}; through matches back in"
        " {matches}"
    ),
    "swing.plain_lengths": N_("Hands back to: {back}; through to: {through}."),
    "swing.plain_match": N_("Through against back: {match}."),
    "swing.plain_tempo": N_("Going back took {times:1} times as long as coming down."),
    "swing.filmed": Plural(NN_("{count} swing was filmed.", "{count} swings were filmed."), by="count"),
    "swing.lesson_match": N_(
        "Of {told} clear swings, {matched} went as far through as back, which is the aim, and {shorter} fell short."
    ),
    "swing.lesson_unknown": Plural(
        NN_("For {unknown} it is not clear.", "For {unknown} it is not clear."), by="unknown"
    ),
}
STORY: Final[dict[str, str | Plural]] = {
    "swing.strike_fat": N_("fat"),
    "swing.strike_thin": N_("thin"),
    "swing.strike_heavy": N_("heavy"),
    "swing.story_counts": N_("Filmed with a {worst} ball: {bad}; with a good one: {good}."),
    "swing.story_match_less": N_("With those the arm went about {by_deg} less far through than with good ones."),
    "swing.story_match_more": N_("With those the arm went about {by_deg} further through than with good ones."),
    "swing.story_lead_arm_top_less": N_("With those the arm went about {by_deg} less far back than with good ones."),
    "swing.story_lead_arm_top_more": N_("With those the arm went about {by_deg} further back than with good ones."),
    "swing.story_tempo_ratio_less": N_("With those the way back was quicker against the way down, by {by:1}."),
    "swing.story_tempo_ratio_more": N_("With those the way back was slower against the way down, by {by:1}."),
    "swing.story_impact_over_peak_less": N_(
        "With those the hands had {by_share} less of their peak speed at the ball."
    ),
    "swing.story_impact_over_peak_more": N_(
        "With those the hands had {by_share} more of their peak speed at the ball."
    ),
    "swing.story_none": N_("Nothing that was measured differs more than chance between the two."),
    "swing.story_few": N_("Too few of either were filmed to compare them: three of each are needed."),
    "swing.drill_line": N_("Drill: draw a line on the turf, strike the ground after it; pass with 7 of 10."),
    "swing.drill_tee": N_("Drill: ball on a low tee, clip the tee out of the ground; pass with 7 of 10."),
}
FILMING: Final[dict[str, str | Plural]] = {
    "swing.no_player": N_("no player was seen in this clip"),
    "swing.no_swing": N_(
        "no swing was found: both hands on the club, low and still at address, then fast back and through"
    ),
    "swing.from_the_side": N_(
        "not measured: the camera looks from about {view_deg} off face-on. Stand it in front of the chest, square to it"
    ),
    "swing.lost": Plural(
        NN_(
            "{count} swing was not measured: somebody came in between, or the player was lost from view",
            "{count} swings were not measured: somebody came in between, or the player was lost from view",
        ),
        by="count",
    ),
    "swing.slow_motion": N_("slow motion, {slower} times slower than life: seconds are true seconds"),
    "swing.which_clock": N_(
        "slow motion? {factors} times slower than life would fit. Say which with --slower; until then no times are given"
    ),
    "swing.few_frames": N_("{frames} frames a second: impact is known to about ±{doubt_ms} ms; film with 60 or more"),
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
    "swing.view_widens": N_("so far off square the arm is harder to see: the ranges are wider"),
    "swing.rolled": N_("the phone leaned by about {roll_deg}: the angles are corrected for it"),
    "swing.roll_doubtful": N_("the phone may have leaned: the angles are less sure. Set it upright"),
    "swing.sideways": N_("the picture lies on its side: it was turned upright to measure"),
    "swing.shakes": N_("the picture shakes: put the phone on something steady"),
    "swing.far": N_("the player fills only {tall_share} of the picture's height: come nearer"),
    "swing.cut_off": N_(
        "the player is cut off at the head or the feet: step back until the whole body and the club are in view"
    ),
    "swing.dark": N_("the picture is dark: film towards the light side or in better light"),
    "swing.burnt": N_("the picture is burnt out: film with the light behind the phone, not against it"),
    "swing.blurred": N_("the picture is blurred: film in more light, clean the lens, hold the focus on the player"),
    "swing.crushed": N_(
        "the film is strongly compressed: takeaway, tempo and hand speed are not measured. Send the file as the phone made it"
    ),
    "swing.several_people": N_("several people are in view: the largest was measured; let only the player be seen"),
    "swing.passer_by": N_("somebody else came into view for a while"),
    "swing.starts_before": N_(
        "the clip begins on the way back: takeaway and tempo are not measured. Start filming before address"
    ),
    "swing.ends_after": N_(
        "the clip ends before the finish: the way through is not measured. Film on until the club is held still"
    ),
    "swing.not_still": N_("the player was not seen standing still before the swing: the camera's angle is not known"),
    "swing.hidden_top": N_("the hands were hidden at the top: arm and height there are not measured"),
    "swing.hidden_finish": N_("the hands were hidden at the finish: arm and height there are not measured"),
    "swing.hands_blurred": N_(
        "the hands are blurred on the way down: their speed is not measured, nor tempo unless the ball is heard. Film in brighter light"
    ),
    "swing.exchanged": N_("left and right were hard to tell on this player: the doubts are wider"),
    "swing.crowded": N_("somebody else was in view during this swing: the ranges are wider"),
}
REFUSED: Final[dict[str, str | Plural]] = {
    "swing.no_length": N_(
        "{meant!r} is no swing length the camera can see. Name a body level (waist, chest, shoulder) or a clock time (9:00)."
    ),
    "swing.no_level": N_("{name} is no body level. Name one of {known}."),
    "swing.pose_not_seen": N_("The player is not seen at that moment of the clip. Go to where the pose is held."),
    "swing.levels_crossed": N_("The levels {names} are too close together or in the wrong order. Pose them again."),
    "swing.no_video": N_(
        "Reading clips needs the video extra, which is not installed. Run: pip install 'threequarter[video]'"
    ),
    "swing.clip_format": N_("{file} is not a video this tool reads. Use MP4, MOV, MKV or WebM."),
    "swing.clip_damaged": N_("{file} cannot be opened as a video; it is damaged or incomplete ({error})."),
    "swing.clip_no_picture": N_("{file} has no picture in it, only sound or text."),
    "swing.clip_codec": N_("{file} is coded as {codec}, which this tool does not decode. Export it as H.264 or HEVC."),
    "swing.clip_no_size": N_("{file} has no picture size; it is damaged or incomplete."),
    "swing.clip_too_large": N_(
        "{file} has {width} x {height} pixels; at most {most} million are read. Export it smaller."
    ),
    "swing.clip_no_frame": N_("{file}: no frame of it can be decoded ({codec}); it is damaged or incomplete."),
    "swing.clip_empty": N_("{file} is empty."),
    "swing.clip_closed": N_("{file} cannot be opened: {why}."),
    "swing.clip_stopped": N_("{file}: the decoder stopped on it; the clip is damaged. Export it again as MP4 (H.264)."),
    "swing.clip_too_long": N_("{file} lasts {minutes:0} minutes; at most 60 are read. Cut it first."),
    "swing.mark_no_swing": N_("There is no swing {swing} in this clip."),
    "swing.mark_unknown": N_("A mark is one of {known}; not {unknown}."),
    "swing.mark_order": N_("The instants go takeaway, top, impact, finish, inside the clip; these do not."),
    "swing.mark_point": N_("A point is two numbers: pixels from the left and from the top."),
    "swing.mark_added": N_("A swing that was missed needs its top and its impact, in seconds."),
    "swing.mark_not_followed": N_("No fast move of the hands was followed there, so nothing can be measured."),
    "swing.no_marks": N_(
        'The marks hold no "swings": a list with t_impact_s, t_top_s, lead_arm_top_deg and so on for each swing.'
    ),
}
COMPARED: Final[dict[str, str | Plural]] = {
    "swing.compared": N_("{matched} swings matched, {missed} missed, {too_many} found too many"),
    "swing.compared_field": N_(
        "{name}: median error {middle:3}, worst {worst:3+}, within our doubt {held_share}, {count} marks"
    ),
}
TEXTS: Final[dict[str, str | Plural]] = {**SWINGS, **STORY, **FILMING, **REFUSED, **COMPARED}
