"""Accounts: who signs in and how, whose players are whose, links, who did what; consents with their end; how long clips are kept."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"

NEW = ("setting", "audit", "tries", "challenge", "share", "tie", "invitation", "sign_in", "passkey", "account")


def upgrade() -> None:
    _players(by_room=True)
    op.add_column("session", sa.Column("coach_id", sa.Integer, nullable=False, server_default="0"))
    op.add_column("clip", sa.Column("coach_id", sa.Integer, nullable=False, server_default="0"))
    op.add_column("clip", sa.Column("kept_from", sa.DateTime))
    op.add_column("clip", sa.Column("told_at", sa.DateTime))
    _consents()
    _accounts()
    _records()


def downgrade() -> None:
    for name in NEW:
        op.drop_table(name)
    _old_consents()
    with op.batch_alter_table("clip") as clip:
        for name in ("told_at", "kept_from", "coach_id"):
            clip.drop_column(name)
    op.drop_column("session", "coach_id")
    doubled = (
        op.get_bind().execute(sa.text("SELECT name FROM player GROUP BY name, name_key HAVING count(*) > 1")).scalars()
    )
    if names := list(doubled):
        raise RuntimeError(f"Two coaches have players of one name; rename them before going back: {', '.join(names)}")
    _players(by_room=False)


def _players(*, by_room: bool) -> None:
    """A name is one person in a room; before, everywhere."""
    rule = "player_name_key_key" if op.get_bind().dialect.name == "postgresql" else "uq_player_name_key"
    with op.batch_alter_table("player", naming_convention={"uq": "uq_%(table_name)s_%(column_0_name)s"}) as player:
        if by_room:
            player.add_column(sa.Column("coach_id", sa.Integer, nullable=False, server_default="0"))
            player.drop_constraint(rule, type_="unique")
            player.create_unique_constraint("uq_player_room_name", ["coach_id", "name_key"])
            player.create_index("ix_player_name_key", ["name_key"])
        else:
            player.drop_index("ix_player_name_key")
            player.drop_constraint("uq_player_room_name", type_="unique")
            player.create_unique_constraint(rule, ["name_key"])
            player.drop_column("coach_id")


def _consents() -> None:
    op.create_table(
        "consent_new",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("player_id", sa.Integer, sa.ForeignKey("player.id")),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id")),
        sa.Column("by_whom", sa.String(300), nullable=False),
        sa.Column("given_at", sa.DateTime, nullable=False),
        sa.Column("given_by", sa.Integer, nullable=False, server_default="0"),
        sa.Column("revoked_at", sa.DateTime),
        sa.Column("revoked_by", sa.Integer),
    )
    op.execute(
        "INSERT INTO consent_new (id, player_id, session_id, by_whom, given_at, revoked_at) "
        "SELECT consent.id, player.id, session.id, by_whom, given_at, CASE WHEN player_key LIKE 'taken back %' THEN given_at END "
        "FROM consent LEFT JOIN player ON player.name_key = consent.player_key "
        "LEFT JOIN session ON 'session ' || CAST(session.id AS VARCHAR(20)) = consent.player_key"
    )
    op.drop_table("consent")
    op.rename_table("consent_new", "consent")
    op.create_index("ix_consent_player_id", "consent", ["player_id"])
    op.create_index("ix_consent_session_id", "consent", ["session_id"])


def _old_consents() -> None:
    op.create_table(
        "consent_old",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("player_key", sa.String(300), nullable=False, unique=True),
        sa.Column("by_whom", sa.String(300), nullable=False),
        sa.Column("given_at", sa.DateTime, nullable=False),
    )
    op.execute(  # of each player the first consent that stands; the others stay as a record, under a key that is nobody's
        "INSERT INTO consent_old (id, player_key, by_whom, given_at) SELECT consent.id, CASE WHEN consent.id IN "
        "(SELECT min(id) FROM consent WHERE revoked_at IS NULL GROUP BY player_id, session_id) "
        "THEN coalesce(player.name_key, 'session ' || coalesce(CAST(session_id AS VARCHAR(20)), 'None')) "
        "ELSE 'taken back ' || CAST(consent.id AS VARCHAR(20)) END, by_whom, given_at "
        "FROM consent LEFT JOIN player ON player.id = consent.player_id"
    )
    op.drop_table("consent")
    op.rename_table("consent_old", "consent")


def _accounts() -> None:
    op.create_table(
        "account",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("sign_in", sa.String(300), nullable=False, unique=True),
        sa.Column("name", sa.String(300), nullable=False),
        sa.Column("role", sa.String(10), nullable=False),
        sa.Column("handle", sa.String(64), nullable=False, unique=True),
        sa.Column("password", sa.Text),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("ended_at", sa.DateTime),
    )
    op.create_table(
        "passkey",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("account.id"), nullable=False, index=True),
        sa.Column("key", sa.String(64), nullable=False, unique=True),
        sa.Column("credential", sa.Text, nullable=False),
        sa.Column("public_key", sa.Text, nullable=False),
        sa.Column("sign_count", sa.Integer, nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("used_at", sa.DateTime),
    )
    op.create_table(
        "sign_in",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("account.id"), nullable=False, index=True),
        sa.Column("token", sa.String(64), nullable=False, unique=True),
        sa.Column("browser", sa.String(200), nullable=False),
        sa.Column("room", sa.Integer),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("seen_at", sa.DateTime, nullable=False),
        sa.Column("ends_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "invitation",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("account.id"), nullable=False, index=True),
        sa.Column("token", sa.String(64), nullable=False, unique=True),
        sa.Column("made_by", sa.Integer, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("ends_at", sa.DateTime, nullable=False),
        sa.Column("used_at", sa.DateTime),
        sa.Column("revoked_at", sa.DateTime),
    )
    op.create_table(
        "tie",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("account.id"), nullable=False),
        sa.Column("player_id", sa.Integer, sa.ForeignKey("player.id"), nullable=False, index=True),
        sa.Column("kind", sa.String(10), nullable=False),
        sa.UniqueConstraint("account_id", "player_id", name="uq_tie_account_player"),
    )
    op.create_table(
        "share",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("session.id"), nullable=False, index=True),
        sa.Column("what", sa.String(10), nullable=False),
        sa.Column("token", sa.String(64), nullable=False, unique=True),
        sa.Column("made_by", sa.Integer, nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("ends_at", sa.DateTime, nullable=False),
        sa.Column("revoked_at", sa.DateTime),
    )


def _records() -> None:
    op.create_table(
        "challenge",
        sa.Column("token", sa.String(64), primary_key=True),
        sa.Column("account_id", sa.Integer),
        sa.Column("ends_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "tries",
        sa.Column("key", sa.String(64), primary_key=True),
        sa.Column("since", sa.DateTime, nullable=False),
        sa.Column("count", sa.Integer, nullable=False),
    )
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("at", sa.DateTime, nullable=False, index=True),
        sa.Column("account_id", sa.Integer, nullable=False),
        sa.Column("act", sa.String(40), nullable=False),
        sa.Column("kind", sa.String(20)),
        sa.Column("number", sa.Integer),
        sa.Column("player_id", sa.Integer),
        sa.Column("detail", sa.String(200)),
        sa.Column("address", sa.String(60)),
    )
    op.create_index("ix_audit_player", "audit", ["player_id", "id"])
    op.create_table(
        "setting",
        sa.Column("key", sa.String(60), primary_key=True),
        sa.Column("value", sa.Text, nullable=False),
        sa.Column("changed_at", sa.DateTime, nullable=False),
    )
