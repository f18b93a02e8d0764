"""What the reader of tables tells: how a file was read, what it asks, why a row or a file was not taken."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import NN_, Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "intake.day.from_file_name": N_("from the name of the file"),
    "intake.day.from_line": N_("from a line above the balls"),
    "intake.day.from_column": N_("from column {heading!r}"),
    "intake.day.two_ways": N_(
        "Dates like {shown} can be read two ways, so we ignored them. Set the date on the day's page."
    ),
    "intake.day.none_fits": N_("Its dates cannot all be the days the balls were hit, so we ignored them."),
    "intake.day.one": N_("date {day_on}, {where}"),
    "intake.day.several": N_("{count} days, {first_on} to {last_on}, {where}: each becomes a day of its own"),
    "intake.day.some_without": N_("{told}; some balls have no date"),
    "intake.day.surface.mat": N_("from the mat"),
    "intake.day.surface.turf": N_("from turf"),
    "intake.day.told": N_("of the day: {told}"),
    "intake.ask.twins": N_("Cells like “{cell}” in column “{heading}” hold two numbers. Which one counts?"),
    "intake.ask.means": N_(
        "{columns_or} suggests that each row stands for several balls. Is each row one ball, or the mean of several?"
    ),
    "intake.look.label": N_("Column {column} tells which balls went far. Is it a swing length, a club or a player?"),
    "intake.look.carry": N_("Column {column} could be a carry too. Is the right one read?"),
    "intake.look.side": N_("Column {column} could be how far off the line a ball was. Is it?"),
    "intake.look.unit_word": N_("{heading!r} names no unit that is known here. Which unit are the carries in?"),
    "intake.look.unit": N_("Half of these balls went less than {carry:1} m. Is the unit right?"),
    "intake.look.no_sign": N_(
        "All balls of column {column} are on one side of the line. Is that so, or is the side missing?"
    ),
    "intake.look.marks": N_("Column {column} holds words that are not known here. Which balls count?"),
    "intake.look.remarks": N_("These remarks do not go with what was read: {rows}. Do these balls count as read?"),
    "intake.look.remarks_and": N_(
        "These remarks do not go with what was read: {rows}, and {more} more. Do these balls count as read?"
    ),
    "intake.remark_at": N_("row {row} “{text}”"),
    "intake.remark_on_a_sheet": N_("{sheet}, row {row} “{text}”"),
    "intake.remarks_unknown": N_("remarks not understood, so they change nothing: {rows}"),
    "intake.remarks_unknown_and": N_("remarks not understood, so they change nothing: {rows}, and {more} more"),
    "intake.look.told_club": N_(
        "The lines above the table name more than one club: {texts}. Which one were these balls hit with?"
    ),
    "intake.look.told_swing": N_("The lines above the table name more than one swing: {texts}. Which one is it?"),
    "intake.look.told_player": N_(
        "The lines above the table name more than one player: {texts}. Whose balls are these?"
    ),
    "intake.look.names": N_(
        "These could be names of players: {names}. Are all balls one player's? If not, give each player a table of their own, or a column with the name."
    ),
    "intake.look.name": N_("Are these the balls of {name!r}?"),
    "intake.look.name_line": N_("Is {text!r} in row {row} the player of the balls below?"),
    "intake.look.line": N_("What does the line {text!r} (row {row}) say of the balls below? Do they count?"),
    "intake.look.rows_told": N_("A line says that some balls do not count: {text!r}. Which ones?"),
    "intake.look.sign": N_("Which side is plus? The file says: {text!r}"),
    "intake.look.twice": N_("{one!r} and {two!r} hold the same {count} balls. Which sheet is to be read?"),
    "intake.look.moved": N_(
        "{one!r} and {two!r} hold the same {count} balls with other carries. Which sheet is to be read?"
    ),
    "intake.look.no_swings": N_(
        "No swing length is written, and the balls of one club differ by {percent} %. Were they hit with one swing?"
    ),
    "intake.look.word_row": N_("Row {row} begins with {text!r} where the others are numbered. Are these balls?"),
    "intake.look.two_units": N_(
        "Column {heading!r} names one unit, the line {text!r} another. Which one are the carries in?"
    ),
    "intake.look.cell_units": N_("Cells of column {column} name another unit than its heading. Is each carry right?"),
    "intake.look.rest": N_("Is column {column} the carry, or does it hold where the balls came to rest?"),
    "intake.look.blank": N_(
        "{count} rows leave {heading!r} blank (first row {row}), all others do not. Are these balls?"
    ),
    "intake.look.means_beside": N_(
        "{sheet!r} has one number for each shot ({count}). Are these means of the other balls?"
    ),
    "intake.look.means_among": N_("{count} shots end with the mean of their balls. Is that number a ball?"),
    "intake.look.no_club": N_("{count} balls have no club (first in row {row}). Is that right?"),
    "intake.look.no_swing": N_("{count} balls have no swing (first in row {row}). Is that right?"),
    "intake.look.no_player": N_("{count} balls have no player (first in row {row}). Is that right?"),
    "intake.look.heads": N_("Row {row} looks like headings once more. Is each ball below it read as the right shot?"),
    "intake.look.columns": N_("Columns {columns} are not read: {texts}. Are they swings too?"),
    "intake.as_explained_before": N_("headings as you explained them before: {headings}"),
    "intake.ask.grid": N_(
        "Each of the {clubs} clubs has one number for each of the {swings} swings. Is a number one ball, or the mean of several?"
    ),
    "intake.means_are_no_balls": N_(
        "These are means. A chart needs the single balls: bring in the table they came from."
    ),
    "intake.no_ball_as_told": N_("no ball, as you said"),
    "intake.legend": N_("labels from the legend: {pairs}"),
    "intake.all_set_aside": N_("no balls could be read: all {count} rows were left out (row {row}: {why})."),
    "intake.ask.across": N_("Columns {columns} hold carries. Is each a player, or a swing length?"),
    "intake.ask.players_across": N_("Columns {columns} hold carries. Is each of them another player?"),
    "intake.ask.carry": N_("Which column is the carry: {columns_or}?"),
    "intake.ask.club": N_("Is the club in column {columns_or}?"),
    "intake.ask.no_club": N_("This file names no club. Which wedge were these balls hit with?"),
    "intake.ask.club_in_title": N_("Is {club!r}, above the table, the club for these balls?"),
    "intake.ask.commas": N_(
        "Commas separate the cells and mark decimals too (line {line}: {cells}), so the numbers can be read two "
        "ways. Save the file again with semicolons or tabs between the cells."
    ),
    "intake.ask.decimal": N_(
        "Is {digits!r} in column {heading!r} a number with a decimal mark or with a thousands mark?"
    ),
    "intake.ask.offline": N_("Which column says how far off the line a ball was: {columns_or}?"),
    "intake.ask.player": N_("Is the player in column {columns_or}?"),
    "intake.ask.rows": N_("Does column {columns_or} mark the balls to leave out?"),
    "intake.ask.swing": N_("Is the swing length in column {columns_or}?"),
    "intake.ask.unit": N_("This file does not give a unit. Are the distances yards, metres or feet?"),
    "intake.ball_speed_in_column_bears": N_("ball speed in column {heading!r} has no unit and none fits: not read"),
    "intake.cannot_be_read": N_("{file} cannot be read: {why}."),
    "intake.carry_is_no_number": N_("carry is not a number: {text}"),
    "intake.check.loft": N_("look again: more loft goes further here. Are club and carry the right columns?"),
    "intake.check.one_shot": N_("one shot"),
    "intake.check.same": N_("look again: the same carry comes {count} times in a row, up to row {row}."),
    "intake.check.sides": N_(
        "look again: {count} balls are further off the line than half their carry. Is that column the side?"
    ),
    "intake.check.spread": N_(
        "look again: the balls of {shot} differ by {percent} %. Is a swing length or a club missing?"
    ),
    "intake.check.swing": N_("look again: a longer swing goes less far here. Are swing and carry the right columns?"),
    "intake.column_not_used": N_("{column} ({why})"),
    "intake.columns_not_used": N_("not used: {columns}"),
    "intake.damaged_or_too_large": N_(
        "The spreadsheet is damaged or far too large to read. Save the sheet with the balls as CSV and use that."
    ),
    "intake.decimal_comma": N_("decimal comma"),
    "intake.decimal_point": N_("decimal point"),
    "intake.from.ball_speed": N_("ball speed from column {heading!r}"),
    "intake.from.carry": N_("carry in {unit} from column {heading!r}, line {line}"),
    "intake.from.club": N_("club from column {heading!r}"),
    "intake.from.launch": N_("launch from column {heading!r}"),
    "intake.from.offline": N_("offline from column {heading!r}"),
    "intake.from.pile": N_("middle of a pile in {unit} from column {heading!r}, line {line}"),
    "intake.from.player": N_("player from column {heading!r}"),
    "intake.from.spin": N_("spin from column {heading!r}"),
    "intake.from.swing": N_("swing from column {heading!r}"),
    "intake.holds_mb_up_to_mb": N_("{file} is {size} MB; the limit is {most} MB. Split it by session."),
    "intake.is_a_folder_name_a": N_("{file} is a folder. Name a file in it."),
    "intake.line_begins_with_each_line": N_(
        "Line {line} starts with {word!r}; start each line with range or own: range 54 chest 58 60 57"
    ),
    "intake.line_has_more_than_columns": N_(
        "Line {line} has more than {most} columns. Save only those with the balls."
    ),
    "intake.may_not_be_read_change": N_("You may not read {file}. Change its permissions or copy it elsewhere."),
    "intake.no_ball_is_by_the": N_("no balls by {player!r}; the players are: {players}. Name one with --player."),
    "intake.no_carry": N_("no carry"),
    "intake.no_column_is_headed_the": N_("no column is headed {wanted!r} ({option}); the headings are: {headings}."),
    "intake.no_distance": N_(
        "no distances found. The widest line reads {cells}. If one of these is the carry, name it with --carry; "
        "a table needs a column with the carry of each ball."
    ),
    "intake.no_shot_was_hit_with": N_(
        "You hit no shot with both kinds of ball. Hit the same club and swing with range balls and with your own."
    ),
    "intake.no_wedge_carries_this_far": N_("no wedge carries this far: {text}"),
    "intake.not_named": N_("not named"),
    "intake.nothing": N_("nothing"),
    "intake.of_file": N_("{file}: {error}"),
    "intake.of_sheet": N_("sheet {name!r}, {told}"),
    "intake.open_question": N_("{file}: {question} Answer with {option}."),
    "intake.open_question_of": N_("{file}: {question} Answer with {option} ({choices_or})."),
    "intake.own_table": N_("one of our own tables: every column is known"),
    "intake.parquet_needs_one_library_more": N_(
        "Parquet needs one more library: pip install 'threequarter[parquet]'. Or save the table as CSV."
    ),
    "intake.range_balls": N_(
        "Range balls go {share:0} % as far as your own ({low:0} to {high:0} %, from {count} balls)."
    ),
    "intake.row.above": N_("above the table: {count}"),
    "intake.row.aside": N_("left out: {count}"),
    "intake.row.ball": N_("with balls: {count}"),
    "intake.row.heading": N_("headings: {count}"),
    "intake.row.line": N_("lines of words: {count}"),
    "intake.row.mean": N_("means or sums: {count}"),
    "intake.rows": N_("{count} rows in the file: {told}"),
    "intake.sheet_begins_beyond_column_save": N_(
        "Sheet {name!r} starts beyond column {columns}. Save the part with the balls as CSV."
    ),
    "intake.sheet_holds_means_only_and": N_("sheet {name!r} holds only means and is not read"),
    "intake.table_is_empty": N_("the file is empty."),
    "intake.the_file_cannot_be_read": N_(
        "The file cannot be read as {encoding}: {error}. Try --encoding utf-8, or leave the option out."
    ),
    "intake.the_file_could_not_be": N_(
        "The file could not be read within {seconds} s. Save the sheet with the balls as CSV and use that."
    ),
    "intake.the_file_is_empty": N_("The file is empty."),
    "intake.the_file_needs_more_memory": N_("The file needs too much memory. Split it by session."),
    "intake.the_parquet_table_cannot_be": N_("The Parquet table cannot be read ({error}). Save it again, or as CSV."),
    "intake.the_spreadsheet_cannot_be_opened": N_(
        "The spreadsheet cannot be opened ({error}). Save it again as XLSX, or as CSV."
    ),
    "intake.the_spreadsheet_reaches_to_row": N_(
        "The spreadsheet reaches row {row}, column {column}, but is all but empty. Save the part with the balls as CSV."
    ),
    "intake.the_spreadsheet_unpacks_to_mb": N_(
        "The spreadsheet unpacks to {size} MB, which is too large. Save the sheet with the balls as CSV."
    ),
    "intake.the_table_has_more_than": N_(
        "The table has more than {columns} columns. Save only those with the balls as CSV."
    ),
    "intake.the_table_holds_means_only": N_("the table holds only means and is not read"),
    "intake.the_table_is_larger_than": N_(
        "The table is too large ({columns} columns, {cells} million cells). Save the part with the balls as CSV."
    ),
    "intake.the_table_needs_more_memory": N_("The table needs too much memory. Save the part with the balls as CSV."),
    "intake.the_two_carries_of_this": N_("the two carries in this row do not agree: {text}"),
    "intake.there_are_balls_in_it": N_("It holds {count} balls; the limit is {most} at once. Split it by session."),
    "intake.there_is_no_ball_in": N_("this table of ours holds no balls."),
    "intake.there_is_no_file_check": N_("There is no file {file}. Check its name and folder."),
    "intake.there_is_no_sheet_it": N_("there is no sheet {name!r}; it has: {sheets}. Name one with --sheet."),
    "intake.these_are_no_options_for": N_("These are not options for reading: {names}."),
    "intake.this_is_no_spreadsheet_whatever": N_(
        "Whatever its name says, this is not a spreadsheet: it cannot be opened. Save it again as XLSX or CSV."
    ),
    "intake.this_is_not_a_table": N_("This is a binary file, not a table. Export it as CSV or XLSX and use that."),
    "intake.too_few_cells": N_("too few cells"),
    "intake.unit.cm": N_("centimetres"),
    "intake.unit.ft": N_("feet"),
    "intake.unit.inch": N_("inches"),
    "intake.unit.m": N_("metres"),
    "intake.unit.none": N_("unit not given"),
    "intake.unit.own": N_("its own unit"),
    "intake.unit.yd": N_("yards"),
    "intake.why.attack": N_("angle of the club into the ball"),
    "intake.why.average": N_("a mean"),
    "intake.why.club_speed": N_("club speed"),
    "intake.why.condition": N_("what the balls were hit from"),
    "intake.why.constant": N_("the same in every row"),
    "intake.why.copy": N_("the carry again"),
    "intake.why.count": N_("a count"),
    "intake.why.date": N_("a date"),
    "intake.why.descent": N_("landing angle"),
    "intake.why.deviation": N_("deviation from a mean or target"),
    "intake.why.height": N_("height"),
    "intake.why.last": N_("carry of another ball"),
    "intake.why.no_role": N_("not something we read"),
    "intake.why.number": N_("running number"),
    "intake.why.rank": N_("a rank or mark"),
    "intake.why.ratio": N_("a ratio"),
    "intake.why.roll": N_("run-out"),
    "intake.why.said": N_("left out as you said"),
    "intake.why.spin_axis": N_("spin axis"),
    "intake.why.target": N_("target"),
    "intake.why.time": N_("a time"),
    "intake.why.total": N_("total"),
    "intake.why.wind": N_("weather"),
    "intake.wide.balls": N_("one column per ball, headings in line {line}"),
    "intake.wide.labels": N_("one column per shot, one row per ball, headings in line {line}"),
    "intake.balls_read": Plural(
        NN_("{balls} balls read; {count} row left out", "{balls} balls read; {count} rows left out"), by="count"
    ),
}
