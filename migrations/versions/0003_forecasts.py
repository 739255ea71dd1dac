"""Forecasts kept for comparison with what is measured, and rounds of guesses."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _forecast()
    _prediction_round()
    _prediction()


def _forecast() -> None:
    op.create_table(
        "forecast",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=16), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.String(27), nullable=False),
        sa.Column("about_at", sa.String(27), nullable=False),
        sa.Column("low", sa.Double(), nullable=False),
        sa.Column("best", sa.Double(), nullable=False),
        sa.Column("high", sa.Double(), nullable=False),
        sa.Column("factor", sa.Double(), nullable=False),
        sa.Column("last", sa.Double(), nullable=False),
        sa.Column("model", sa.String(length=40), nullable=False),
        sa.Column("version", sa.String(length=64), nullable=False),
        sa.Column("inputs", sa.Text(), nullable=False),
        sa.CheckConstraint("low <= best AND best <= high", name=op.f("ck_forecast_order")),
        sa.CheckConstraint("about_at > made_at", name=op.f("ck_forecast_about_at")),
        sa.CheckConstraint("factor >= 1", name=op.f("ck_forecast_factor")),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entry.id"], name=op.f("fk_forecast_entry_id_entry")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_forecast_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_forecast")),
        sa.UniqueConstraint("entry_id", "quantity", name=op.f("uq_forecast_entry_id_quantity")),
    )
    op.create_index(
        "ix_forecast_tank_id_quantity_made_at",
        "forecast",
        ["tank_id", "quantity", "made_at"],
        unique=False,
    )


def _prediction_round() -> None:
    op.create_table(
        "prediction_round",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=16), nullable=False),
        sa.Column("unit", sa.String(length=16), nullable=False),
        sa.Column("basis", sa.String(length=16), nullable=False),
        sa.Column("opened_at", sa.String(27), nullable=False),
        sa.Column("opened_by_id", sa.Integer(), nullable=False),
        sa.Column("closes_at", sa.String(27), nullable=True),
        sa.Column("ended_at", sa.String(27), nullable=True),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("last", sa.Double(), nullable=True),
        sa.Column("forecast_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "closes_at IS NULL OR closes_at > opened_at",
            name=op.f("ck_prediction_round_closes_at"),
        ),
        sa.ForeignKeyConstraint(
            ["forecast_id"], ["forecast.id"], name=op.f("fk_prediction_round_forecast_id_forecast")
        ),
        sa.ForeignKeyConstraint(
            ["opened_by_id"], ["author.id"], name=op.f("fk_prediction_round_opened_by_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["tank_id"], ["tank.id"], name=op.f("fk_prediction_round_tank_id_tank")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_prediction_round")),
        sa.UniqueConstraint("forecast_id", name=op.f("uq_prediction_round_forecast_id")),
        sa.UniqueConstraint("tank_id", "token", name=op.f("uq_prediction_round_tank_id_token")),
    )
    op.create_index(
        "ix_prediction_round_tank_id_opened_at",
        "prediction_round",
        ["tank_id", "opened_at"],
        unique=False,
    )


def _prediction() -> None:
    op.create_table(
        "prediction",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("round_id", sa.Integer(), nullable=False),
        sa.Column("author_id", sa.Integer(), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("typed", sa.String(length=40), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_prediction_author_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["round_id"],
            ["prediction_round.id"],
            name=op.f("fk_prediction_round_id_prediction_round"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_prediction")),
        sa.UniqueConstraint("round_id", "author_id", name=op.f("uq_prediction_round_id_author_id")),
        sa.UniqueConstraint("round_id", "token", name=op.f("uq_prediction_round_id_token")),
    )
    op.create_index(op.f("ix_prediction_author_id"), "prediction", ["author_id"], unique=False)
