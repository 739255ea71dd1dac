"""Care: plans by job, marks on tasks, plants, equipment, supplies, batches, own species."""

from typing import Any

import sqlalchemy as sa
from alembic import op

from app.storage.growing import grow, text

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _household()
    _tank()
    _animals()
    _entries()


def _number(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Double(), nullable=True)


def _household() -> None:
    op.add_column("site", _number("elevation_m"))
    op.add_column("kit", text("lot", 40))
    op.add_column("kit", sa.Column("next_check_on", sa.Date(), nullable=True))
    op.create_table(
        "kit_comparison",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("known", sa.Double(), nullable=False),
        sa.Column("read", sa.Double(), nullable=False),
        sa.Column("against", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_kit_comparison_kit_id_kit")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kit_comparison")),
    )
    op.create_index(op.f("ix_kit_comparison_kit_id"), "kit_comparison", ["kit_id"], unique=False)
    op.create_table(
        "supply",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("unit", sa.String(length=5), nullable=False),
        sa.Column("amount_left", sa.Double(), nullable=False),
        sa.Column("counted_on", sa.Date(), nullable=False),
        sa.Column("kit_id", sa.Integer(), nullable=True),
        sa.Column("label_ml", sa.Double(), nullable=True),
        sa.Column("label_l", sa.Double(), nullable=True),
        sa.Column("opened_on", sa.Date(), nullable=True),
        sa.Column("expires_on", sa.Date(), nullable=True),
        sa.CheckConstraint("kind IN ('food','conditioner','reagent')", name=op.f("ck_supply_kind")),
        sa.CheckConstraint("unit IN ('g','mL','tests')", name=op.f("ck_supply_unit")),
        sa.CheckConstraint("amount_left >= 0", name=op.f("ck_supply_amount_left")),
        sa.CheckConstraint(
            "(label_ml IS NULL OR label_ml > 0) AND (label_l IS NULL OR label_l > 0)",
            name=op.f("ck_supply_label"),
        ),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_supply_kit_id_kit")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_supply_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_supply")),
    )
    op.create_index(op.f("ix_supply_site_id"), "supply", ["site_id"], unique=False)
    op.create_table(
        "own_species",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("scientific_name", sa.String(length=120), nullable=False),
        sa.Column("common_name", sa.String(length=80), nullable=False),
        sa.Column("folded", sa.String(length=240), nullable=False),
        sa.Column("animal_group", sa.String(length=20), nullable=False),
        sa.Column("temperature_low", sa.Double(), nullable=True),
        sa.Column("temperature_high", sa.Double(), nullable=True),
        sa.Column("ph_low", sa.Double(), nullable=True),
        sa.Column("ph_high", sa.Double(), nullable=True),
        sa.Column("gh_low", sa.Double(), nullable=True),
        sa.Column("gh_high", sa.Double(), nullable=True),
        sa.Column("adult_cm", sa.Double(), nullable=True),
        sa.Column("min_group", sa.Integer(), nullable=True),
        sa.Column("position", sa.String(length=20), nullable=False),
        sa.Column("temperament", sa.String(length=20), nullable=False),
        sa.Column("source", sa.String(length=200), nullable=False),
        sa.CheckConstraint(
            "(temperature_low IS NULL) = (temperature_high IS NULL)"
            " AND (temperature_low IS NULL OR temperature_low < temperature_high)",
            name=op.f("ck_own_species_temperature"),
        ),
        sa.CheckConstraint(
            "(ph_low IS NULL) = (ph_high IS NULL) AND (ph_low IS NULL OR ph_low < ph_high)",
            name=op.f("ck_own_species_ph"),
        ),
        sa.CheckConstraint(
            "(gh_low IS NULL) = (gh_high IS NULL) AND (gh_low IS NULL OR gh_low < gh_high)",
            name=op.f("ck_own_species_gh"),
        ),
        sa.CheckConstraint(
            "adult_cm IS NULL OR adult_cm > 0", name=op.f("ck_own_species_adult_cm")
        ),
        sa.CheckConstraint(
            "min_group IS NULL OR min_group >= 1", name=op.f("ck_own_species_min_group")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_own_species_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_species")),
        sa.UniqueConstraint(
            "site_id", "scientific_name", name=op.f("uq_own_species_site_id_scientific_name")
        ),
    )


def _tank() -> None:
    grow(
        "tank",
        [
            text("form", 9, "box"),
            sa.Column("bow_cm", sa.Double(), nullable=False, server_default="0"),
            sa.Column("base_cm", sa.Double(), nullable=False, server_default="0"),
            _number("set_point_c"),
            text("cover", 6),
            text("sun_from", 5),
            text("sun_until", 5),
            _number("coldest_room_c"),
            text("adult", 80),
            text("adult_phone", 40),
            text("deputy", 80),
            text("deputy_phone", 40),
            _number("food_protein_percent"),
        ],
        kept={
            "ck_tank_setting": "setting IN ('home','class')",
            "ck_tank_inside": "length_cm > 0 AND width_cm > 0",
            "ck_tank_pores": "sand_pore_share >= 0 AND sand_pore_share < 1",
        },
        fresh={
            "ck_tank_form": "form IN ('box','cylinder','hexagon','bow_front','bowl')",
            "ck_tank_curves": "bow_cm >= 0 AND base_cm >= 0",
            "ck_tank_cover": "cover IN ('','closed','gap','open')",
            "ck_tank_food_protein_percent": (
                "food_protein_percent IS NULL OR food_protein_percent BETWEEN 0 AND 100"
            ),
        },
    )
    op.create_table(
        "care_job",
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=20), nullable=False),
        sa.Column("every_days", sa.Integer(), nullable=True),
        sa.Column("weekday", sa.Integer(), nullable=True),
        sa.Column("who", sa.String(length=10), nullable=False),
        sa.CheckConstraint(
            "every_days IS NULL OR every_days BETWEEN 1 AND 730",
            name=op.f("ck_care_job_every_days"),
        ),
        sa.CheckConstraint(
            "weekday IS NULL OR weekday BETWEEN 0 AND 6", name=op.f("ck_care_job_weekday")
        ),
        sa.CheckConstraint(
            "who IN ('','adult','helper','technician')", name=op.f("ck_care_job_who")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_care_job_tank_id_tank")),
        sa.PrimaryKeyConstraint("tank_id", "name", name=op.f("pk_care_job")),
    )
    op.create_table(
        "equipment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("lot", sa.String(length=40), nullable=False),
        sa.Column("watts", sa.Double(), nullable=True),
        sa.Column("since", sa.Date(), nullable=True),
        sa.Column("next_check_on", sa.Date(), nullable=True),
        sa.Column("retired_on", sa.Date(), nullable=True),
        sa.Column("note", sa.String(length=500), nullable=False),
        sa.CheckConstraint("watts IS NULL OR watts > 0", name=op.f("ck_equipment_watts")),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_equipment_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_equipment")),
    )
    op.create_index(op.f("ix_equipment_tank_id"), "equipment", ["tank_id"], unique=False)
    op.create_table(
        "plant",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("folded", sa.String(length=80), nullable=False),
        sa.Column("species", sa.String(length=120), nullable=False),
        sa.Column("amount", sa.String(length=8), nullable=False),
        sa.Column("floating", sa.Boolean(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "amount IN ('none','sparse','moderate','dense')", name=op.f("ck_plant_amount")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_plant_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plant")),
    )
    op.create_index(op.f("ix_plant_tank_id"), "plant", ["tank_id"], unique=False)
    op.create_table(
        "task_mark",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("task_key", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("until", sa.String(27), nullable=True),
        sa.Column("reason", sa.String(length=200), nullable=False),
        sa.Column("author_id", sa.Integer(), nullable=False),
        sa.Column("to_name", sa.String(length=80), nullable=False),
        sa.Column("severity", sa.Integer(), nullable=False),
        sa.Column("ended_at", sa.String(27), nullable=True),
        sa.CheckConstraint(
            "kind IN ('later','skipped','assigned')", name=op.f("ck_task_mark_kind")
        ),
        sa.CheckConstraint("severity BETWEEN 0 AND 3", name=op.f("ck_task_mark_severity")),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_task_mark_author_id_author")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_task_mark_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_task_mark")),
    )
    op.create_index("ix_task_mark_tank_id_until", "task_mark", ["tank_id", "until"], unique=False)
    op.create_table(
        "evaluation",
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("version", sa.String(length=64), nullable=False),
        sa.Column("evaluated_at", sa.String(27), nullable=False),
        sa.Column("holds_until", sa.String(27), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("state_line", sa.Text(), nullable=False),
        sa.Column("tasks", sa.Text(), nullable=False),
        sa.Column("stages", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_evaluation_tank_id_tank")),
        sa.PrimaryKeyConstraint("tank_id", name=op.f("pk_evaluation")),
    )


def _animals() -> None:
    op.add_column("stock_group", text("species", 120))
    op.create_table(
        "stock_batch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("group_id", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("source", sa.String(length=120), nullable=False),
        sa.ForeignKeyConstraint(
            ["group_id"], ["stock_group.id"], name=op.f("fk_stock_batch_group_id_stock_group")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_batch")),
    )
    op.create_index(op.f("ix_stock_batch_group_id"), "stock_batch", ["group_id"], unique=False)
    grow(
        "stock_event",
        [
            sa.Column(
                "batch_id",
                sa.Integer(),
                sa.ForeignKey("stock_batch.id", name=op.f("fk_stock_event_batch_id_stock_batch")),
                nullable=True,
            ),
            _number("length_cm"),
            sa.Column("apart_days", sa.Integer(), nullable=True),
            sa.Column("hidden", sa.Boolean(), nullable=False, server_default=sa.false()),
        ],
        kept={
            "ck_stock_event_kind": "kind = 'stock_event'",
            "ck_stock_event_count": "count >= 0",
        },
        fresh={
            "ck_stock_event_what": (
                "what IN ('arrived','born','died','missing','found','moved_in','moved_out','left',"
                "'measured','recounted')"
            ),
            "ck_stock_event_length_cm": "length_cm IS NULL OR length_cm > 0",
            "ck_stock_event_apart_days": "apart_days IS NULL OR apart_days >= 0",
        },
        widened="ck_stock_event_what",
    )


def _entries() -> None:
    grow(
        "feeding",
        [sa.Column("left_over", sa.Boolean(), nullable=True), _number("minutes_to_eat")],
        kept={
            "ck_feeding_kind": "kind = 'feeding'",
            "ck_feeding_scoops": "scoops IS NULL OR scoops > 0",
        },
        fresh={"ck_feeding_minutes_to_eat": "minutes_to_eat IS NULL OR minutes_to_eat >= 0"},
    )
    grow(
        "observation",
        [sa.Column("algae", sa.Integer(), nullable=True)],
        kept={
            "ck_observation_kind": "kind = 'observation'",
            "ck_observation_seen": "seen IS NULL OR seen >= 0",
        },
        fresh={"ck_observation_algae": "algae IS NULL OR algae BETWEEN 0 AND 3"},
        longer={"signs": 400},
    )
    checks = {
        "ck_job_kind": "kind = 'job'",
        "ck_job_rinse": "rinse IS NULL OR rinse IN ('tank','treated','tap')",
        "ck_job_treated": "treated IS NULL OR treated IN ('yes','no','unknown')",
        "ck_job_liters_in": "liters_in IS NULL OR liters_in >= 0",
        "ck_job_liters_out": "liters_out IS NULL OR liters_out >= 0",
    }
    more = {
        "ck_job_media_share": "media_share IS NULL OR media_share BETWEEN 0 AND 1",
        "ck_job_mg_per_l": "mg_per_l IS NULL OR mg_per_l >= 0",
        "ck_job_grams": "grams IS NULL OR grams >= 0",
    }
    grow(
        "job",
        [
            sa.Column(
                "tank_id",
                sa.Integer(),
                sa.ForeignKey("tank.id", name=op.f("fk_job_tank_id_tank")),
                nullable=True,
            ),
            sa.Column("happened_at", sa.String(27), nullable=True),
            _number("media_share"),
            _number("mg_per_l"),
            _number("grams"),
            sa.Column(
                "plant_id",
                sa.Integer(),
                sa.ForeignKey("plant.id", name=op.f("fk_job_plant_id_plant")),
                nullable=True,
            ),
            text("step", 40),
        ],
        kept=checks,
        fresh=more,
    )
    op.execute(
        "UPDATE job SET tank_id = (SELECT tank_id FROM entry WHERE entry.id = job.entry_id),"
        " happened_at = (SELECT happened_at FROM entry WHERE entry.id = job.entry_id)"
    )
    needed = {"tank_id": sa.Integer(), "happened_at": sa.String(27)}
    grow("job", [], kept={**checks, **more}, fresh={}, filled=needed)
    op.create_index(
        "ix_job_tank_id_job_happened_at", "job", ["tank_id", "job", "happened_at"], unique=False
    )
    op.create_table(
        "treatment",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("product", sa.String(length=80), nullable=False),
        sa.Column("label_ml", sa.Double(), nullable=True),
        sa.Column("label_l", sa.Double(), nullable=True),
        sa.Column("volume_l", sa.Double(), nullable=True),
        sa.Column("amount_ml", sa.Double(), nullable=True),
        sa.Column("carbon_out", sa.Boolean(), nullable=True),
        sa.Column("until", sa.Date(), nullable=True),
        sa.CheckConstraint(
            "(label_ml IS NULL OR label_ml > 0) AND (label_l IS NULL OR label_l > 0)",
            name=op.f("ck_treatment_label"),
        ),
        sa.CheckConstraint("volume_l IS NULL OR volume_l > 0", name=op.f("ck_treatment_volume_l")),
        sa.CheckConstraint(
            "amount_ml IS NULL OR amount_ml > 0", name=op.f("ck_treatment_amount_ml")
        ),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["job.entry_id"], name=op.f("fk_treatment_entry_id_job")
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_treatment")),
    )
