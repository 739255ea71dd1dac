"""Data in and out: imports that can be taken back, programs with tokens, letters of what is due."""

import itertools
import math
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "request_count",
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("starts_at", sa.String(27), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("who", "starts_at", name=op.f("pk_request_count")),
    )
    op.create_index("ix_request_count_starts_at", "request_count", ["starts_at"], unique=False)
    op.create_table(
        "reminder",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=False),
        sa.Column("weekdays", sa.String(length=7), nullable=False),
        sa.Column("only_if_due", sa.Boolean(), nullable=False),
        sa.Column("last_sent_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_reminder_person_id_person")
        ),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_reminder")),
    )
    op.create_table(
        "api_token",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=True),
        sa.Column("scope", sa.String(length=8), nullable=False),
        sa.Column("author_id", sa.Integer(), nullable=False),
        sa.Column("made_by_id", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.String(27), nullable=False),
        sa.Column("ended_at", sa.String(27), nullable=True),
        sa.Column("last_used_on", sa.Date(), nullable=True),
        sa.CheckConstraint(
            "scope IN ('read','readings','entries')", name=op.f("ck_api_token_scope")
        ),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_api_token_author_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["made_by_id"], ["person.id"], name=op.f("fk_api_token_made_by_id_person")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_api_token_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_api_token")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_api_token_token_hash")),
    )
    op.create_index(op.f("ix_api_token_tank_id"), "api_token", ["tank_id"], unique=False)
    op.create_table(
        "incoming_file",
        sa.Column("author_id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("held_at", sa.String(27), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_incoming_file_author_id_author")
        ),
        sa.PrimaryKeyConstraint("author_id", name=op.f("pk_incoming_file")),
    )
    op.create_table(
        "import_batch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("file_name", sa.String(length=120), nullable=False),
        sa.Column("made_at", sa.String(27), nullable=False),
        sa.Column("author_id", sa.Integer(), nullable=False),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.Column("undone_at", sa.String(27), nullable=True),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_import_batch_author_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["tank_id"], ["tank.id"], name=op.f("fk_import_batch_tank_id_tank")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_import_batch")),
        sa.UniqueConstraint("tank_id", "token", name=op.f("uq_import_batch_tank_id_token")),
    )
    op.create_table(
        "import_entry",
        sa.Column("batch_id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["batch_id"], ["import_batch.id"], name=op.f("fk_import_entry_batch_id_import_batch")
        ),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entry.id"], name=op.f("fk_import_entry_entry_id_entry")
        ),
        sa.PrimaryKeyConstraint("batch_id", "entry_id", name=op.f("pk_import_entry")),
    )
    op.create_index(op.f("ix_import_entry_entry_id"), "import_entry", ["entry_id"], unique=False)
    op.create_table(
        "logger_day",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=16), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("total", sa.Double(), nullable=False),
        sa.Column("low", sa.Double(), nullable=False),
        sa.Column("low_at", sa.String(27), nullable=False),
        sa.Column("high", sa.Double(), nullable=False),
        sa.Column("high_at", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["logger.entry_id"], name=op.f("fk_logger_day_entry_id_logger")
        ),
        sa.PrimaryKeyConstraint("entry_id", "quantity", "day", name=op.f("pk_logger_day")),
    )
    _fill_days()


def _fill_days() -> None:
    """The lowest and highest of each local day of the loggers that are there."""
    bind = op.get_bind()
    found = bind.execute(
        sa.text(
            "SELECT reading.entry_id, reading.quantity, reading.at, reading.value, site.zone"
            " FROM reading JOIN logger ON logger.entry_id = reading.entry_id"
            " JOIN tank ON tank.id = reading.tank_id JOIN site ON site.id = tank.site_id"
            " WHERE reading.value IS NOT NULL"
            " ORDER BY reading.entry_id, reading.quantity, reading.at, reading.id"
        )
    ).all()
    days = [
        {
            "entry_id": entry_id,
            "quantity": quantity,
            "day": day,
            "count": len(of_day),
            "total": math.fsum(row.value for row in of_day),
            "low": min(row.value for row in of_day),
            "low_at": min(of_day, key=lambda row: row.value).at,
            "high": max(row.value for row in of_day),
            "high_at": max(of_day, key=lambda row: row.value).at,
        }
        for (entry_id, quantity, day), rows in itertools.groupby(found, key=_day_of)
        for of_day in (list(rows),)
    ]
    if days:
        names = (
            "entry_id", "quantity", "low_at", "high_at", "count", "total", "low", "high",
        )  # fmt: skip
        table = sa.table("logger_day", sa.column("day", sa.Date()), *map(sa.column, names))
        bind.execute(table.insert(), days)


def _day_of(row: sa.Row[Any]) -> tuple[int, str, date]:
    moment = datetime.fromisoformat(row.at)
    return row.entry_id, row.quantity, moment.astimezone(ZoneInfo(row.zone)).date()
