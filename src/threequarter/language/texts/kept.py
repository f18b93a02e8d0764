"""What the store and its workers tell of what was kept, imported, erased or stopped."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import NN_, Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "store.row_of_table": "{table}, {row}",
    "store.task_stopped": N_("It stopped before it finished. Look at the log, then try again."),
    "store.task_forgotten": N_("A player was erased meanwhile, and the waiting files went too. Drop yours again."),
    "store.analysis_stopped": N_("Measuring stopped; the clip may be damaged."),
    "store.question": N_("{question} Answer with {option}."),
    "store.no_ball": N_("{file}: no balls in it, so nothing was saved."),
    "store.player_needs_name": N_("A player needs a name."),
    "store.no_player": N_("There is no player {name!r}."),
    "store.player_of_several_coaches": N_("Several coaches have a player by that name. Say which: {which}"),
    "store.import_days": N_("Its balls come from {days} dates, and each becomes a day. One undo takes back all of it."),
    "store.import_new": Plural(
        NN_(
            "{name} is new: {balls} ball in a day of its own.",
            "{name} is new: {balls} balls in a day of their own.",
        ),
        by="balls",
    ),
    "store.import_known": N_("{name} is already here."),
    "store.import_added": Plural(
        NN_("Added 1 new ball; the rest was already here.", "Added {balls} new balls; the rest were already here."),
        by="balls",
    ),
    "store.import_changed": Plural(
        NN_(
            "1 ball reads differently now. The new reading counts; Undo restores the old one.",
            "{balls} balls read differently now. The new readings count; Undo restores the old ones.",
        ),
        by="balls",
    ),
    "store.import_restored": Plural(
        NN_("Restored 1 ball from an import you had undone.", "Restored {balls} balls from an import you had undone."),
        by="balls",
    ),
    "store.import_missing": Plural(
        NN_(
            "1 ball of the earlier file is not in this one. It stays until you undo that import.",
            "{balls} balls of the earlier file are not in this one. They stay until you undo that import.",
        ),
        by="balls",
    ),
    "store.import_nothing_new": N_("Nothing new in it, so nothing was changed."),
    "store.reimport_nothing_new": Plural(
        NN_(
            "All of it is here already ({balls} ball); nothing was changed.",
            "All of it is here already ({balls} balls); nothing was changed.",
        ),
        by="balls",
    ),
    "store.reimport_new": "{parts}.",
    "store.new_balls": Plural(NN_("{count} new ball", "{count} new balls"), by="count"),
    "store.new_sessions": Plural(NN_("{count} new day", "{count} new days"), by="count"),
    "store.new_players": Plural(NN_("{count} new player", "{count} new players"), by="count"),
    "store.reimport_changed": Plural(
        NN_(
            "1 ball differed. The file's values now count; Undo restores the old ones.",
            "{balls} balls differed. The file's values now count; Undo restores the old ones.",
        ),
        by="balls",
    ),
    "store.reimport_same": Plural(
        NN_("1 ball was already here and stays as it is.", "{balls} balls were already here and stay as they are."),
        by="balls",
    ),
    "store.reimport_from": N_("brought back from {name}"),
    "store.all_imported": Plural(
        NN_("{count} ball is in, exactly as exported.", "{count} balls are in, exactly as exported."),
        by="count",
    ),
    "store.of_player": "{player}: {line}",
    "store.of_file": "{file}: {why}",
    "store.erased_count": "{kind}: {count}",
    "store.player_has_sessions": N_("{name} has days. Give the days to another player, or erase the player."),
    "store.player_has_notes": N_("{name} has notes. Give the days to another player, or erase the player."),
    "store.player_has_bag": N_("{name} has a bag. Give the days to another player, or erase the player."),
    "store.player_has_plan": N_("{name} has a plan. Give the days to another player, or erase the player."),
    "store.kind_swing_length": N_("swing lengths of the plan"),
    "store.kind_clinic_session": N_("places in clinics"),
    "store.player_has_consent": N_("{name} has given consent. Give the days to another player, or erase the player."),
    "store.player_has_account": N_("{name} has an account. Give the days to another player, or erase the player."),
    "store.kind_player": N_("players"),
    "store.kind_club": N_("clubs of the bag"),
    "store.kind_session": N_("sessions"),
    "store.kind_import": N_("imports"),
    "store.kind_ball": N_("balls"),
    "store.kind_edit": N_("changes"),
    "store.kind_aside": N_("rows left out"),
    "store.kind_clip": N_("clips"),
    "store.kind_consent": N_("consents"),
    "store.kind_note": N_("notes"),
    "store.kind_link": N_("swings matched to balls"),
    "store.kind_act": N_("history entries"),
    "store.kind_share": N_("share links"),
    "store.kind_account": N_("accounts"),
    "store.kind_tie": N_("links to players"),
    "store.kind_passkey": N_("passkeys"),
    "store.kind_second_step": N_("second steps"),
    "store.kind_recovery_code": N_("recovery codes"),
    "store.kind_half_sign_in": N_("unfinished sign-ins"),
    "store.kind_sign_in": N_("sign-ins"),
    "store.kind_invitation": N_("invitations"),
    "store.kind_films_and_pictures": N_("clips and pictures"),
    "store.kind_files_shared_with_others": N_("files shared with others"),
    "store.kind_files_being_looked_at": N_("files waiting to be checked"),
    "store.kind_jobs": N_("jobs"),
}

STORED_WORDS: Final = (
    N_("erased a player"),
    N_("left out in the table"),
    N_("moved everything here"),
    N_("restored a backup"),
    N_("taken back"),
    N_("the same ball came twice with other content"),
    N_("the same ball on two phones"),
    N_("typed ball by ball"),
)
"""Words that stand in the database as they are; they are said in the language of who reads them."""
