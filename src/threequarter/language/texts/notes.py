"""What the reader of typed lines tells, and tables of threequarter's own: what was understood, and what was not."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "notes.a_distance_stands_before_any": N_(
        "a distance comes before any club and swing; start with both (54 waist, 54 9:00)"
    ),
    "notes.a_pace_is_m_to": N_("a pace is {pace:2} m to {share:1} %, the same error for every paced ball"),
    "notes.a_pile_of_is_none": N_("{count} is not a pile; write 2 to 200 balls"),
    "notes.a_pile_stands_on_a": N_("put a pile on a line of its own: 54 waist pile of 10 at 44"),
    "notes.a_side_stands_without_a": N_("put the distance before the side: 51 5L"),
    "notes.players": N_(
        "{name}: these lines could be players: {names}. Write “player {first}” before their balls; delete what is no player."
    ),
    "notes.ask.unit": N_("Are these yards, metres or feet?"),
    "notes.belongs_to_no_distance_write": N_("{word!r} belongs to no distance; write it next to its own"),
    "notes.by.device": N_("measured by device"),
    "notes.by.laser": N_("measured by laser"),
    "notes.by.paces": N_("measured by paces"),
    "notes.by.pile": N_("measured by pile"),
    "notes.by.position": N_("measured by position"),
    "notes.distances_are_to_where_the": N_(
        "distances are to where the ball came to rest; the chart takes off an estimated run-out"
    ),
    "notes.how_many_balls_lie_in": N_("how many balls lie in the pile? Write: pile of 10 at 44"),
    "notes.is_a_club_write_else": N_("is {word} a club? Write {word}° {next}; otherwise {next!r} makes no sense"),
    "notes.is_a_distance_or_the": N_(
        "is {word} a distance or the next club? Start a new line with it, or put ; before it"
    ),
    "notes.is_neither_a_distance_nor": N_(
        "{word!r} is neither a distance nor a side; write 54 for a distance, 5L for a side"
    ),
    "notes.is_not_understood": N_("we do not know {word!r}"),
    "notes.is_one_of_the_clubs": N_(
        "{word} is one of the clubs: is it the club or a distance? Write {word}° or the swing after it"
    ),
    "notes.left": N_("{distance} left"),
    "notes.left_and_right_need_how": N_("say how far left or right: 51 5L"),
    "notes.line_write_it_as": N_("{name}, line {line}: {why}. Write it like this: {example}"),
    "notes.m_is_no_distance_of": N_("no wedge goes {distance:0} m"),
    "notes.m_to_the_side_of": N_("{side:0} m sideways is too much for a {distance:0} m ball; write 51 5L 52 3R"),
    "notes.may_be_one_distance_or": N_("{text!r} may be one distance or two: write {one} or {two}"),
    "notes.no_distance_was_found_write": N_("{name}: no distance found. Write it like this: {example}"),
    "notes.no_swing_length_is_named": N_(
        "give the {club} a swing length; write it after the club ({hour}:00 for a clock time)"
    ),
    "notes.no_swing_length_is_named_for": N_("give the {club} a swing length; write it after the club"),
    "notes.number": N_("{distance}"),
    "notes.number_and": N_("{number} {more}"),
    "notes.numbers_are_taken_for_yards": N_("numbers count as yards until you say otherwise"),
    "notes.one_club_is_written_in": N_("one club is written two ways; both count as one"),
    "notes.pile_of": N_("(pile of {count})"),
    "notes.right": N_("{distance} right"),
    "notes.shot": N_("{shot}: {numbers}"),
    "notes.unit.ft": N_("numbers are feet"),
    "notes.unit.m": N_("numbers are metres"),
    "notes.unit.yd": N_("numbers are yards"),
    "own_column.altitude_m": N_("altitude in metres"),
    "own_column.apex_m": N_("highest point of the flight, in metres"),
    "own_column.azimuth_deg": N_("direction of launch in degrees, right is positive"),
    "own_column.backspin_rpm": N_("backspin in revolutions per minute"),
    "own_column.ball_key": N_("the ball's own key, by which it is recognised"),
    "own_column.ball_kind": N_("which balls were hit"),
    "own_column.ball_speed_mps": N_("ball speed in metres per second"),
    "own_column.carry_m": N_("distance to where it landed, in metres; empty where only its rest was measured"),
    "own_column.club": N_("club as written"),
    "own_column.club_speed_mps": N_("club speed in metres per second"),
    "own_column.count": N_("balls behind one reading of the middle of a pile, else 1"),
    "own_column.dated_by": N_("how held_on is known: file or hand; empty where it is assumed"),
    "own_column.surface": N_("what the balls were hit from: mat or turf"),
    "own_column.taught_by": N_("who taught that day"),
    "own_column.day": N_("day of the session, from 1"),
    "own_column.descent_deg": N_("landing angle in degrees"),
    "own_column.edited": N_("1 where the ball was changed by hand after it was read"),
    "own_column.error_sd_m": N_("error of the reading itself, standard deviation in metres"),
    "own_column.full_carry_m": N_("carry of a full swing with a club of the bag, in metres"),
    "own_column.ground": N_("ground the balls ran out on: soft, normal, firm, plugs"),
    "own_column.held_on": N_("day the session was held, if noted"),
    "own_column.hit_at_utc": N_("when the ball was typed on a phone, by the server's clock, UTC"),
    "own_column.humidity_pct": N_("relative humidity in percent"),
    "own_column.launch_deg": N_("launch angle in degrees"),
    "own_column.left_out_why": N_("why it was left out by hand, or why a line is no ball"),
    "own_column.loft_deg": N_("loft of the club in degrees"),
    "own_column.made_at_utc": N_("when the session, the player or the note was entered, UTC"),
    "own_column.marked": N_("1 where the file itself marks it as a warm-up or to be left out"),
    "own_column.measured_by": N_("measured with: device, laser, paces, pile, position, unknown"),
    "own_column.note": N_("note written beside it"),
    "own_column.number": N_("which ball of the session it was, from 1 in the order hit"),
    "own_column.offline_m": N_("metres off the target line, right is positive"),
    "own_column.player": N_("who hit it"),
    "own_column.player_in_file": N_("the player's name as in the file the ball was read from"),
    "own_column.pressure_hpa": N_("air pressure at the course, in hPa"),
    "own_column.record": N_(
        "what the row is: ball, aside (a line that is not a ball), club (in a bag), player, or note"
    ),
    "own_column.rest_m": N_(
        "distance to where it came to lie, in metres, run-out included; empty where the carry was measured"
    ),
    "own_column.rounding_m": N_("step the distance was rounded to, in metres"),
    "own_column.session": N_("title of the session"),
    "own_column.session_key": N_("the session's own key, by which it is recognised"),
    "own_column.shared_sd_m": N_("error that all balls of the session share, standard deviation in metres"),
    "own_column.source_column": N_("column in that file, from 1"),
    "own_column.source_file": N_("file the ball was read from"),
    "own_column.source_row": N_("row in that file, from 1"),
    "own_column.source_sheet": N_("sheet of the workbook"),
    "own_column.spin_axis_deg": N_("tilt of the spin axis in degrees, right is positive"),
    "own_column.started_at_utc": N_("when the lesson began, if noted, UTC"),
    "own_column.strike": N_("contact as noted: good, heavy, fat, thin, toe, heel"),
    "own_column.swing": N_("swing length as written"),
    "own_column.temp_c": N_("air temperature in °C"),
    "own_column.total_m": N_("carry and run-out, in metres"),
    "own_column.unit": N_("unit the session is shown in: yd or m"),
    "own_column.use": N_("1 where the ball counts in the chart, else 0"),
    "own_column.where_held": N_("place"),
    "own_column.wind_from_deg": N_("where the wind came from, degrees clockwise from straight ahead"),
    "own_column.wind_mps": N_("wind in metres per second"),
    "own_table.a_ball_has_either_carry": N_("a ball has either carry_m or rest_m."),
    "own_table.a_workbook_holds_rows_there": N_(
        "A workbook holds {most} rows; this needs more. Choose CSV or Parquet."
    ),
    "own_table.column_record_it_is_one": N_("{where}, column record: must be one of {known}, not {value!r}."),
    "own_table.each_of_its_rows_is": N_("Each row must be an object with the columns as names."),
    "own_table.is_one_of_not": N_("{name} must be one of {known}, not {value!r}."),
    "own_table.no_wedge_carries_m": N_("no wedge carries {distance} m."),
    "own_table.parquet_needs_one_library_more": N_(
        "Parquet needs one more library: pip install 'threequarter[parquet]'. CSV, JSON and XLSX need nothing."
    ),
    "own_table.row": N_("row {row}: {error}"),
    "own_table.the_ending_says_the_form": N_("{name}: end the name with one of {forms}; the ending sets the format."),
    "own_table.the_file_is_broken_off": N_("The file is cut off or damaged: its JSON is not complete."),
    "own_table.the_table_is_damaged": N_("The table is damaged: {error}."),
    "own_table.this_is_an_export_of": N_(
        "This is one of our exports, saved again in another encoding. Save it as UTF-8."
    ),
    "own_table.want.day": N_("{where}, column {column}: {shown!r} is not a day like 2026-05-31."),
    "own_table.want.number": N_("{where}, column {column}: {shown!r} is not a number."),
    "own_table.want.text": N_("{where}, column {column}: {shown!r} is empty or too long."),
    "own_table.want.time": N_("{where}, column {column}: {shown!r} is not a time like 2026-05-31T10:20:30Z."),
    "own_table.want.whole": N_("{where}, column {column}: {shown!r} is not a whole number."),
    "own_table.want.yes": N_("{where}, column {column}: {shown!r} is not 0 or 1."),
    "own_table.where": N_("{name}, row {row}"),
}
