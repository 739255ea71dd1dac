"""The first schema: sites, tanks, entries with their details, readings, access."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("role", sa.String(length=11), nullable=False),
        sa.Column("passphrase_hash", sa.String(length=200), nullable=False),
        sa.CheckConstraint(
            "role IN ('keeper','technician','coordinator')", name=op.f("ck_person_role")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
    )
    op.create_table(
        "sign_in_try",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tried_at", sa.String(27), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_try")),
    )
    op.create_index(op.f("ix_sign_in_try_tried_at"), "sign_in_try", ["tried_at"], unique=False)
    op.create_table(
        "site",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("zone", sa.String(length=64), nullable=False),
        sa.Column("present_weekdays", sa.String(length=7), nullable=False),
        sa.Column("fahrenheit", sa.Boolean(), nullable=False),
        sa.Column("us_gallons", sa.Boolean(), nullable=False),
        sa.Column("chloramine", sa.String(length=7), nullable=False),
        sa.CheckConstraint("chloramine IN ('yes','no','unknown')", name=op.f("ck_site_chloramine")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site")),
    )
    op.create_table(
        "class",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("kept_until", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_class_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_class")),
    )
    op.create_index(op.f("ix_class_site_id"), "class", ["site_id"], unique=False)
    op.create_table(
        "kit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=16), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("unit", sa.String(length=16), nullable=False),
        sa.Column("basis", sa.String(length=16), nullable=False),
        sa.Column("steps", sa.String(length=200), nullable=False),
        sa.Column("opened_on", sa.Date(), nullable=True),
        sa.Column("expires_on", sa.Date(), nullable=True),
        sa.Column("retired_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_kit_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kit")),
    )
    op.create_index(op.f("ix_kit_site_id"), "kit", ["site_id"], unique=False)
    op.create_table(
        "site_break",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.CheckConstraint("last_day >= first_day", name=op.f("ck_site_break_order")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_site_break_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site_break")),
    )
    op.create_index(op.f("ix_site_break_site_id"), "site_break", ["site_id"], unique=False)
    op.create_table(
        "tank",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("folded", sa.String(length=80), nullable=False),
        sa.Column("setting", sa.String(length=5), nullable=False),
        sa.Column("length_cm", sa.Double(), nullable=False),
        sa.Column("width_cm", sa.Double(), nullable=False),
        sa.Column("rim_cm", sa.Double(), nullable=True),
        sa.Column("water_depth_cm", sa.Double(), nullable=True),
        sa.Column("sand_front_cm", sa.Double(), nullable=True),
        sa.Column("sand_back_cm", sa.Double(), nullable=True),
        sa.Column("sand_pore_share", sa.Double(), nullable=False),
        sa.Column("displacement_l", sa.Double(), nullable=False),
        sa.Column("heater_line_cm", sa.Double(), nullable=True),
        sa.Column("started_on", sa.Date(), nullable=True),
        sa.Column("mature_on", sa.Date(), nullable=True),
        sa.Column("closed_on", sa.Date(), nullable=True),
        sa.Column("light_on", sa.String(length=5), nullable=False),
        sa.Column("light_hours", sa.Double(), nullable=True),
        sa.Column("has_heater", sa.Boolean(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint("setting IN ('home','class')", name=op.f("ck_tank_setting")),
        sa.CheckConstraint("length_cm > 0 AND width_cm > 0", name=op.f("ck_tank_inside")),
        sa.CheckConstraint(
            "sand_pore_share >= 0 AND sand_pore_share < 1", name=op.f("ck_tank_pores")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_tank_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tank")),
        sa.UniqueConstraint("folded", name=op.f("uq_tank_folded")),
    )
    op.create_index(op.f("ix_tank_site_id"), "tank", ["site_id"], unique=False)
    op.create_table(
        "tap_reading",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=16), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("tested_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_tap_reading_site_id_site")),
        sa.PrimaryKeyConstraint("site_id", "quantity", name=op.f("pk_tap_reading")),
    )
    op.create_table(
        "care_plan",
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("feed_weekdays", sa.String(length=7), nullable=False),
        sa.Column("portion_scoops", sa.Double(), nullable=False),
        sa.Column("water_change_days", sa.Integer(), nullable=False),
        sa.Column("water_change_percent", sa.Double(), nullable=False),
        sa.Column("test_days", sa.Integer(), nullable=False),
        sa.Column("filter_rinse_days", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "filter_rinse_days BETWEEN 1 AND 365", name=op.f("ck_care_plan_filter_rinse_days")
        ),
        sa.CheckConstraint("portion_scoops > 0", name=op.f("ck_care_plan_portion")),
        sa.CheckConstraint("test_days BETWEEN 1 AND 60", name=op.f("ck_care_plan_test_days")),
        sa.CheckConstraint(
            "water_change_days BETWEEN 1 AND 60", name=op.f("ck_care_plan_water_change_days")
        ),
        sa.CheckConstraint(
            "water_change_percent BETWEEN 1 AND 100", name=op.f("ck_care_plan_water_change_percent")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_care_plan_tank_id_tank")),
        sa.PrimaryKeyConstraint("tank_id", name=op.f("pk_care_plan")),
    )
    op.create_table(
        "helper",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("class_id", sa.Integer(), nullable=False),
        sa.Column("nickname", sa.String(length=40), nullable=False),
        sa.Column("left_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["class_id"], ["class.id"], name=op.f("fk_helper_class_id_class")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_helper")),
    )
    op.create_index(
        "ix_helper_nickname_present",
        "helper",
        ["class_id", "nickname"],
        unique=True,
        sqlite_where=sa.text("left_on IS NULL"),
        postgresql_where=sa.text("left_on IS NULL"),
    )
    op.create_table(
        "scoop",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("grams", sa.Double(), nullable=False),
        sa.Column("weighed_at", sa.String(27), nullable=False),
        sa.CheckConstraint("grams > 0", name=op.f("ck_scoop_grams")),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_scoop_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scoop")),
    )
    op.create_index(op.f("ix_scoop_tank_id"), "scoop", ["tank_id"], unique=False)
    op.create_table(
        "stock_group",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("folded", sa.String(length=80), nullable=False),
        sa.Column("band", sa.String(length=7), nullable=False),
        sa.Column("adult_cm", sa.Double(), nullable=True),
        sa.CheckConstraint(
            "band IN ('surface','middle','bottom')", name=op.f("ck_stock_group_band")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_stock_group_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_group")),
    )
    op.create_index(op.f("ix_stock_group_tank_id"), "stock_group", ["tank_id"], unique=False)
    op.create_table(
        "tank_range",
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=16), nullable=False),
        sa.Column("low", sa.Double(), nullable=True),
        sa.Column("high", sa.Double(), nullable=True),
        sa.Column("set_by", sa.String(length=80), nullable=False),
        sa.CheckConstraint(
            "low IS NULL OR high IS NULL OR high > low", name=op.f("ck_tank_range_order")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_tank_range_tank_id_tank")),
        sa.PrimaryKeyConstraint("tank_id", "quantity", name=op.f("pk_tank_range")),
    )
    op.create_table(
        "author",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=6), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("helper_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "kind IN ('adult','helper','import','other')", name=op.f("ck_author_kind")
        ),
        sa.ForeignKeyConstraint(
            ["helper_id"], ["helper.id"], name=op.f("fk_author_helper_id_helper")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_author_person_id_person")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_author")),
        sa.UniqueConstraint("helper_id", name=op.f("uq_author_helper_id")),
        sa.UniqueConstraint("person_id", name=op.f("uq_author_person_id")),
    )
    op.create_table(
        "entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("happened_at", sa.String(27), nullable=False),
        sa.Column("local_day", sa.Date(), nullable=False),
        sa.Column("recorded_at", sa.String(27), nullable=False),
        sa.Column("author_id", sa.Integer(), nullable=False),
        sa.Column("done_by_id", sa.Integer(), nullable=True),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("status", sa.String(length=9), nullable=False),
        sa.Column("replaces_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.String(length=200), nullable=False),
        sa.CheckConstraint(
            "kind IN ('feeding','water_test','logger','job','stock_event','observation','withdrawal')",
            name=op.f("ck_entry_kind"),
        ),
        sa.CheckConstraint(
            "status IN ('ok','corrected','withdrawn')", name=op.f("ck_entry_status")
        ),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_entry_author_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["done_by_id"], ["author.id"], name=op.f("fk_entry_done_by_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["replaces_id"], ["entry.id"], name=op.f("fk_entry_replaces_id_entry")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_entry_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
        sa.UniqueConstraint("id", "kind", name=op.f("uq_entry_id_kind")),
        sa.UniqueConstraint("replaces_id", name=op.f("uq_entry_replaces_id")),
        sa.UniqueConstraint("tank_id", "token", name=op.f("uq_entry_tank_id_token")),
    )
    op.create_index(op.f("ix_entry_author_id"), "entry", ["author_id"], unique=False)
    op.create_index(op.f("ix_entry_done_by_id"), "entry", ["done_by_id"], unique=False)
    op.create_index(
        "ix_entry_tank_id_happened_at", "entry", ["tank_id", "happened_at", "id"], unique=False
    )
    op.create_index(
        "ix_entry_tank_id_kind_happened_at",
        "entry",
        ["tank_id", "kind", "happened_at"],
        unique=False,
    )
    op.create_table(
        "sign_in",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=7), nullable=False),
        sa.Column("rights", sa.String(length=6), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.String(27), nullable=False),
        sa.Column("expires_at", sa.String(27), nullable=False),
        sa.Column("used_at", sa.String(27), nullable=True),
        sa.Column("ended_at", sa.String(27), nullable=True),
        sa.Column("last_hands_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("kind IN ('link','session')", name=op.f("ck_sign_in_kind")),
        sa.CheckConstraint("rights IN ('adult','helper')", name=op.f("ck_sign_in_rights")),
        sa.ForeignKeyConstraint(
            ["last_hands_id"], ["author.id"], name=op.f("fk_sign_in_last_hands_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_sign_in_person_id_person")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_sign_in_token_hash")),
    )
    op.create_table(
        "feeding",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("scoops", sa.Double(), nullable=True),
        sa.Column("grams", sa.Double(), nullable=True),
        sa.Column("scoop_id", sa.Integer(), nullable=True),
        sa.Column("amount_words", sa.String(length=80), nullable=False),
        sa.CheckConstraint("kind = 'feeding'", name=op.f("ck_feeding_kind")),
        sa.CheckConstraint("scoops IS NULL OR scoops > 0", name=op.f("ck_feeding_scoops")),
        sa.ForeignKeyConstraint(
            ["entry_id", "kind"],
            ["entry.id", "entry.kind"],
            name=op.f("fk_feeding_entry_id_kind_entry"),
        ),
        sa.ForeignKeyConstraint(["scoop_id"], ["scoop.id"], name=op.f("fk_feeding_scoop_id_scoop")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_feeding")),
    )
    op.create_table(
        "job",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("job", sa.String(length=20), nullable=False),
        sa.Column("liters_out", sa.Double(), nullable=True),
        sa.Column("liters_in", sa.Double(), nullable=True),
        sa.Column("treated", sa.String(length=7), nullable=True),
        sa.Column("new_water_c", sa.Double(), nullable=True),
        sa.Column("rinse", sa.String(length=7), nullable=True),
        sa.Column("note", sa.String(length=500), nullable=False),
        sa.CheckConstraint("kind = 'job'", name=op.f("ck_job_kind")),
        sa.CheckConstraint(
            "rinse IS NULL OR rinse IN ('tank','treated','tap')", name=op.f("ck_job_rinse")
        ),
        sa.CheckConstraint(
            "treated IS NULL OR treated IN ('yes','no','unknown')", name=op.f("ck_job_treated")
        ),
        sa.CheckConstraint("liters_in IS NULL OR liters_in >= 0", name=op.f("ck_job_liters_in")),
        sa.CheckConstraint("liters_out IS NULL OR liters_out >= 0", name=op.f("ck_job_liters_out")),
        sa.ForeignKeyConstraint(
            ["entry_id", "kind"],
            ["entry.id", "entry.kind"],
            name=op.f("fk_job_entry_id_kind_entry"),
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_job")),
    )
    op.create_table(
        "logger",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("file_name", sa.String(length=120), nullable=False),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.CheckConstraint("kind = 'logger'", name=op.f("ck_logger_kind")),
        sa.ForeignKeyConstraint(
            ["entry_id", "kind"],
            ["entry.id", "entry.kind"],
            name=op.f("fk_logger_entry_id_kind_entry"),
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_logger")),
    )
    op.create_table(
        "observation",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("seen", sa.Integer(), nullable=True),
        sa.Column("expected", sa.Integer(), nullable=True),
        sa.Column("lid_closed", sa.Boolean(), nullable=True),
        sa.Column("plug_on", sa.Boolean(), nullable=True),
        sa.Column("breathing_calm", sa.Boolean(), nullable=True),
        sa.Column("signs", sa.String(length=200), nullable=False),
        sa.Column("note", sa.String(length=500), nullable=False),
        sa.CheckConstraint("kind = 'observation'", name=op.f("ck_observation_kind")),
        sa.CheckConstraint("seen IS NULL OR seen >= 0", name=op.f("ck_observation_seen")),
        sa.ForeignKeyConstraint(
            ["entry_id", "kind"],
            ["entry.id", "entry.kind"],
            name=op.f("fk_observation_entry_id_kind_entry"),
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_observation")),
    )
    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=16), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("low", sa.Double(), nullable=True),
        sa.Column("high", sa.Double(), nullable=True),
        sa.Column("typed", sa.String(length=40), nullable=False),
        sa.Column("unit", sa.String(length=16), nullable=False),
        sa.Column("basis", sa.String(length=16), nullable=False),
        sa.Column("kit_id", sa.Integer(), nullable=True),
        sa.Column("reader", sa.String(length=80), nullable=False),
        sa.Column("in_force", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "quantity IN ('temperature','ph','ammonia','nitrite','nitrate','kh','gh','oxygen','chlorine','chloride','water_level')",
            name=op.f("ck_reading_quantity"),
        ),
        sa.CheckConstraint(
            "low IS NULL OR high IS NULL OR high >= low", name=op.f("ck_reading_order")
        ),
        sa.CheckConstraint(
            "value IS NOT NULL OR low IS NOT NULL", name=op.f("ck_reading_some_value")
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_reading_entry_id_entry")),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_reading_kit_id_kit")),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_reading_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
    )
    op.create_index(op.f("ix_reading_entry_id"), "reading", ["entry_id"], unique=False)
    op.create_index(
        "ix_reading_tank_id_quantity_in_force_at",
        "reading",
        ["tank_id", "quantity", "in_force", "at", "value"],
        unique=False,
    )
    op.create_table(
        "stock_event",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("what", sa.String(length=9), nullable=False),
        sa.Column("group_id", sa.Integer(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("note", sa.String(length=500), nullable=False),
        sa.CheckConstraint("kind = 'stock_event'", name=op.f("ck_stock_event_kind")),
        sa.CheckConstraint(
            "what IN ('arrived','born','died','missing','found','moved_in','left','recounted')",
            name=op.f("ck_stock_event_what"),
        ),
        sa.CheckConstraint("count >= 0", name=op.f("ck_stock_event_count")),
        sa.ForeignKeyConstraint(
            ["entry_id", "kind"],
            ["entry.id", "entry.kind"],
            name=op.f("fk_stock_event_entry_id_kind_entry"),
        ),
        sa.ForeignKeyConstraint(
            ["group_id"], ["stock_group.id"], name=op.f("fk_stock_event_group_id_stock_group")
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_stock_event")),
    )
    op.create_index(op.f("ix_stock_event_group_id"), "stock_event", ["group_id"], unique=False)
    op.create_table(
        "water_test",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("note", sa.String(length=500), nullable=False),
        sa.CheckConstraint("kind = 'water_test'", name=op.f("ck_water_test_kind")),
        sa.ForeignKeyConstraint(
            ["entry_id", "kind"],
            ["entry.id", "entry.kind"],
            name=op.f("fk_water_test_entry_id_kind_entry"),
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_water_test")),
    )
    op.create_table(
        "withdrawal",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=11), nullable=False),
        sa.Column("target_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("kind = 'withdrawal'", name=op.f("ck_withdrawal_kind")),
        sa.ForeignKeyConstraint(
            ["entry_id", "kind"],
            ["entry.id", "entry.kind"],
            name=op.f("fk_withdrawal_entry_id_kind_entry"),
        ),
        sa.ForeignKeyConstraint(
            ["target_id"], ["entry.id"], name=op.f("fk_withdrawal_target_id_entry")
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_withdrawal")),
        sa.UniqueConstraint("target_id", name=op.f("uq_withdrawal_target_id")),
    )
