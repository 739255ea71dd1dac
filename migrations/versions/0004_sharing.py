"""Sharing: adults with their tanks, classes and rota, links, papers, the notebook, many tanks."""

import sqlalchemy as sa
from alembic import op

from app.storage.growing import grow, key, text

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _oversight()
    _place()
    _people()
    _classes()
    _readers()
    _links()
    _notebook()


def _oversight() -> None:
    op.create_table(
        "target_template",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_target_template")),
        sa.UniqueConstraint("name", name=op.f("uq_target_template_name")),
    )
    grow(
        "tank",
        [
            text("room", 40),
            text("round", 40),
            key("template_id", "tank", "target_template"),
        ],
        kept={
            "ck_tank_setting": "setting IN ('home','class')",
            "ck_tank_inside": "length_cm > 0 AND width_cm > 0",
            "ck_tank_pores": "sand_pore_share >= 0 AND sand_pore_share < 1",
            "ck_tank_form": "form IN ('box','cylinder','hexagon','bow_front','bowl')",
            "ck_tank_curves": "bow_cm >= 0 AND base_cm >= 0",
            "ck_tank_cover": "cover IN ('','closed','gap','open')",
            "ck_tank_food_protein_percent": (
                "food_protein_percent IS NULL OR food_protein_percent BETWEEN 0 AND 100"
            ),
        },
        fresh={},
    )
    op.add_column("equipment", sa.Column("failed_on", sa.Date(), nullable=True))
    op.create_table(
        "template_range",
        sa.Column("template_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=16), nullable=False),
        sa.Column("low", sa.Double(), nullable=True),
        sa.Column("high", sa.Double(), nullable=True),
        sa.CheckConstraint(
            "low IS NULL OR high IS NULL OR high > low", name=op.f("ck_template_range_order")
        ),
        sa.ForeignKeyConstraint(
            ["template_id"],
            ["target_template.id"],
            name=op.f("fk_template_range_template_id_target_template"),
        ),
        sa.PrimaryKeyConstraint("template_id", "quantity", name=op.f("pk_template_range")),
    )
    op.create_table(
        "contact",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("other_tank_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(length=9), nullable=False),
        sa.Column("way", sa.String(length=4), nullable=False),
        sa.CheckConstraint("way IN ('from','also')", name=op.f("ck_contact_way")),
        sa.CheckConstraint(
            "what IN ('water','net','fish','plants','equipment')", name=op.f("ck_contact_what")
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_contact_entry_id_entry")),
        sa.ForeignKeyConstraint(
            ["other_tank_id"], ["tank.id"], name=op.f("fk_contact_other_tank_id_tank")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_contact")),
        sa.UniqueConstraint(
            "entry_id", "other_tank_id", "what", name=op.f("uq_contact_entry_id_other_tank_id_what")
        ),
    )
    op.create_index(op.f("ix_contact_other_tank_id"), "contact", ["other_tank_id"], unique=False)


def _place() -> None:
    grow(
        "site_break",
        [text("kind", 7, "break"), text("uid", 200)],
        kept={"ck_site_break_order": "last_day >= first_day"},
        fresh={"ck_site_break_kind": "kind IN ('break','holiday','staff')"},
    )
    op.create_table(
        "site_setback",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("weekdays", sa.String(length=7), nullable=False),
        sa.Column("starts", sa.String(length=5), nullable=False),
        sa.Column("ends", sa.String(length=5), nullable=False),
        sa.Column("room_c", sa.Double(), nullable=True),
        sa.Column("while_away", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["site_id"], ["site.id"], name=op.f("fk_site_setback_site_id_site")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site_setback")),
    )
    op.create_index(op.f("ix_site_setback_site_id"), "site_setback", ["site_id"], unique=False)
    op.create_table(
        "paper_text",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_paper_text_site_id_site")),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_paper_text_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper_text")),
        sa.UniqueConstraint(
            "site_id", "tank_id", "name", name=op.f("uq_paper_text_site_id_tank_id_name")
        ),
    )
    op.create_index(op.f("ix_paper_text_tank_id"), "paper_text", ["tank_id"], unique=False)


def _people() -> None:
    op.add_column(
        "person", sa.Column("all_tanks", sa.Boolean(), nullable=False, server_default=sa.true())
    )
    op.add_column("person", sa.Column("ended_at", sa.String(27), nullable=True))
    grow(
        "author",
        [],
        kept={},
        fresh={"ck_author_kind": "kind IN ('adult','helper','import','link','token','other')"},
        widened="ck_author_kind",
    )
    grow(
        "sign_in",
        [
            key("class_id", "sign_in", "class"),
            text("device", 80),
            sa.Column("seen_at", sa.String(27), nullable=True),
        ],
        kept={"ck_sign_in_rights": "rights IN ('adult','helper')"},
        fresh={"ck_sign_in_kind": "kind IN ('link','session','invite')"},
        widened="ck_sign_in_kind",
    )
    op.create_index(op.f("ix_sign_in_class_id"), "sign_in", ["class_id"], unique=False)
    grow(
        "sign_in_try",
        [text("name_hash", 64), text("address_hash", 64)],
        kept={},
        fresh={},
    )
    op.create_table(
        "tank_access",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_tank_access_person_id_person")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_tank_access_tank_id_tank")),
        sa.PrimaryKeyConstraint("person_id", "tank_id", name=op.f("pk_tank_access")),
    )
    op.create_index(op.f("ix_tank_access_tank_id"), "tank_access", ["tank_id"], unique=False)


def _classes() -> None:
    grow(
        "class",
        [
            sa.Column("duty_size", sa.Integer(), nullable=False, server_default="2"),
            text("duty_span", 4, "day"),
            sa.Column("ended_on", sa.Date(), nullable=True),
        ],
        kept={},
        fresh={
            "ck_class_duty_size": "duty_size BETWEEN 1 AND 6",
            "ck_class_duty_span": "duty_span IN ('day','week')",
        },
    )
    op.add_column("helper", sa.Column("past_number", sa.Integer(), nullable=True))
    op.add_column(
        "helper", sa.Column("on_duty", sa.Boolean(), nullable=False, server_default=sa.true())
    )
    op.create_table(
        "class_tank",
        sa.Column("class_id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["class_id"], ["class.id"], name=op.f("fk_class_tank_class_id_class")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_class_tank_tank_id_tank")),
        sa.PrimaryKeyConstraint("class_id", "tank_id", name=op.f("pk_class_tank")),
    )
    op.create_index(op.f("ix_class_tank_tank_id"), "class_tank", ["tank_id"], unique=False)
    op.create_table(
        "duty",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("class_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("helper_id", sa.Integer(), nullable=False),
        sa.Column("locked", sa.Boolean(), nullable=False),
        sa.Column("instead_of_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["class_id"], ["class.id"], name=op.f("fk_duty_class_id_class")),
        sa.ForeignKeyConstraint(
            ["helper_id"], ["helper.id"], name=op.f("fk_duty_helper_id_helper")
        ),
        sa.ForeignKeyConstraint(
            ["instead_of_id"], ["helper.id"], name=op.f("fk_duty_instead_of_id_helper")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_duty")),
        sa.UniqueConstraint(
            "class_id", "day", "helper_id", name=op.f("uq_duty_class_id_day_helper_id")
        ),
    )
    op.create_index("ix_duty_helper_id_day", "duty", ["helper_id", "day"], unique=False)
    op.create_table(
        "helper_away",
        sa.Column("helper_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["helper_id"], ["helper.id"], name=op.f("fk_helper_away_helper_id_helper")
        ),
        sa.PrimaryKeyConstraint("helper_id", "day", name=op.f("pk_helper_away")),
    )
    op.execute(
        "INSERT INTO class_tank (class_id, tank_id) SELECT class.id, tank.id FROM class"
        " JOIN tank ON tank.site_id = class.site_id"
    )
    op.execute("UPDATE sign_in SET class_id = (SELECT min(id) FROM class) WHERE rights = 'helper'")


def _readers() -> None:
    """Whoever read a value is an author from now on, so that replacing a name is one row."""
    grow(
        "reading",
        [key("reader_id", "reading", "author")],
        kept={
            "ck_reading_quantity": (
                "quantity IN ('temperature','ph','ammonia','nitrite','nitrate','kh','gh','oxygen',"
                "'chlorine','chloride','water_level')"
            ),
            "ck_reading_order": "low IS NULL OR high IS NULL OR high >= low",
            "ck_reading_some_value": "value IS NOT NULL OR low IS NOT NULL",
        },
        fresh={},
    )
    op.execute(
        "UPDATE reading SET reader_id = (SELECT min(author.id) FROM author"
        " WHERE author.name = reading.reader) WHERE reader != ''"
    )
    op.drop_column("reading", "reader")


def _links() -> None:
    op.create_table(
        "link",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=True),
        sa.Column("last_day", sa.Date(), nullable=True),
        sa.Column("made_at", sa.String(27), nullable=False),
        sa.Column("made_by_id", sa.Integer(), nullable=False),
        sa.Column("author_id", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.String(27), nullable=True),
        sa.Column("last_used_on", sa.Date(), nullable=True),
        sa.CheckConstraint("kind = 'calendar' OR last_day IS NOT NULL", name=op.f("ck_link_dated")),
        sa.CheckConstraint("kind IN ('family','sitter','calendar')", name=op.f("ck_link_kind")),
        sa.CheckConstraint(
            "first_day IS NULL OR last_day IS NULL OR last_day >= first_day",
            name=op.f("ck_link_order"),
        ),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_link_author_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["made_by_id"], ["author.id"], name=op.f("fk_link_made_by_id_author")
        ),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_link_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_link")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_link_token_hash")),
    )
    op.create_index(op.f("ix_link_tank_id"), "link", ["tank_id"], unique=False)
    op.create_table(
        "sitter_packet",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("link_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("grams", sa.Double(), nullable=True),
        sa.Column("scoops", sa.Double(), nullable=True),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("grams IS NULL OR grams > 0", name=op.f("ck_sitter_packet_grams")),
        sa.CheckConstraint("scoops IS NULL OR scoops > 0", name=op.f("ck_sitter_packet_scoops")),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entry.id"], name=op.f("fk_sitter_packet_entry_id_entry")
        ),
        sa.ForeignKeyConstraint(
            ["link_id"], ["link.id"], name=op.f("fk_sitter_packet_link_id_link")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sitter_packet")),
        sa.UniqueConstraint("entry_id", name=op.f("uq_sitter_packet_entry_id")),
        sa.UniqueConstraint("link_id", "day", name=op.f("uq_sitter_packet_link_id_day")),
        sa.UniqueConstraint("link_id", "number", name=op.f("uq_sitter_packet_link_id_number")),
    )


def _notebook() -> None:
    op.add_column(
        "observation", sa.Column("is_look", sa.Boolean(), nullable=False, server_default=sa.true())
    )
    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("taken_at", sa.String(27), nullable=False),
        sa.Column("added_at", sa.String(27), nullable=False),
        sa.Column("author_id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("spot", sa.String(length=40), nullable=False),
        sa.Column("caption", sa.String(length=200), nullable=False),
        sa.Column("state", sa.String(length=9), nullable=False),
        sa.Column("decided_by_id", sa.Integer(), nullable=True),
        sa.Column("decided_at", sa.String(27), nullable=True),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("picture", sa.LargeBinary(), nullable=True),
        sa.Column("small", sa.LargeBinary(), nullable=True),
        sa.CheckConstraint(
            "state IN ('waiting','shown','refused','withdrawn')", name=op.f("ck_photo_state")
        ),
        sa.CheckConstraint("width > 0 AND height > 0", name=op.f("ck_photo_size")),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_photo_author_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["decided_by_id"], ["author.id"], name=op.f("fk_photo_decided_by_id_author")
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_photo_entry_id_entry")),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name=op.f("fk_photo_tank_id_tank")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sa.UniqueConstraint("tank_id", "token", name=op.f("uq_photo_tank_id_token")),
    )
    op.create_index(op.f("ix_photo_author_id"), "photo", ["author_id"], unique=False)
    op.create_index(op.f("ix_photo_entry_id"), "photo", ["entry_id"], unique=False)
    op.create_index("ix_photo_tank_id_taken_at", "photo", ["tank_id", "taken_at"], unique=False)
    op.create_table(
        "note_approval",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("shown", sa.Boolean(), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(
            ["by_id"], ["author.id"], name=op.f("fk_note_approval_by_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entry.id"], name=op.f("fk_note_approval_entry_id_entry")
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_note_approval")),
    )
    op.create_table(
        "private_note",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tank_id", sa.Integer(), nullable=False),
        sa.Column("author_id", sa.Integer(), nullable=False),
        sa.Column("written_at", sa.String(27), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["author_id"], ["author.id"], name=op.f("fk_private_note_author_id_author")
        ),
        sa.ForeignKeyConstraint(
            ["tank_id"], ["tank.id"], name=op.f("fk_private_note_tank_id_tank")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_private_note")),
    )
    op.create_index(op.f("ix_private_note_tank_id"), "private_note", ["tank_id"], unique=False)
    op.create_table(
        "photo_measure",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("photo_id", sa.Integer(), nullable=False),
        sa.Column("ruler_cm", sa.Double(), nullable=False),
        sa.Column("points", sa.String(length=120), nullable=False),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entry.id"], name=op.f("fk_photo_measure_entry_id_entry")
        ),
        sa.ForeignKeyConstraint(
            ["photo_id"], ["photo.id"], name=op.f("fk_photo_measure_photo_id_photo")
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_photo_measure")),
    )
    op.create_index(op.f("ix_photo_measure_photo_id"), "photo_measure", ["photo_id"], unique=False)
