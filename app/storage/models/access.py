"""Who writes and who is signed in: adults with their tanks, authors, sessions."""

from datetime import datetime

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    ColumnElement,
    ForeignKey,
    String,
    UniqueConstraint,
    and_,
    bindparam,
    case,
    select,
)
from sqlalchemy.orm import (
    InstrumentedAttribute,
    Mapped,
    aliased,
    column_property,
    mapped_column,
)

from app.storage.base import Base, Typed

A_HELPER = "a helper"
# true in the sessions of `Database.without_tile_names`
TILES_UNNAMED = "tiles_unnamed"
_UNNAMED = bindparam(TILES_UNNAMED, value=False, type_=Boolean)


class Person(Base):
    """An adult; without `all_tanks` only those of `tank_access`.

    Since `ended_at` they are not there: until they come in with an invitation.
    """

    __tablename__ = "person"
    __table_args__ = (
        CheckConstraint("role IN ('keeper','technician','coordinator')", name="role"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    role: Mapped[str] = mapped_column(String(11), default="keeper")
    passphrase_hash: Mapped[str] = mapped_column(String(200), default="")
    all_tanks: Mapped[bool] = mapped_column(default=True)
    ended_at: Mapped[datetime | None]


class TankAccess(Base):
    """A tank that an adult looks after, for whoever has not `all_tanks`."""

    __tablename__ = "tank_access"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), primary_key=True, index=True)


class Author(Base):
    """Whoever wrote something: one row per adult, tile, link or import. Renaming is one row.

    `shown` is the name as whoever reads may see it: every query that shows a name takes it.
    """

    __tablename__ = "author"
    __table_args__ = (
        CheckConstraint("kind IN ('adult','helper','import','link','token','other')", name="kind"),
        UniqueConstraint("person_id"),
        UniqueConstraint("helper_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(6))
    name: Mapped[str] = mapped_column(String(80))
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    helper_id: Mapped[int | None] = mapped_column(ForeignKey("helper.id"))
    shown: Mapped[str] = column_property(
        case((and_(kind == "helper", _UNNAMED), A_HELPER), else_=name)
    )


def shown_text(text: ColumnElement[str] | InstrumentedAttribute[str]) -> ColumnElement[str]:
    """A text that may be the name of a tile, as whoever reads may see it."""
    tile = aliased(Author)
    of_tiles = select(tile.name).where(tile.kind == "helper")
    return case((and_(_UNNAMED, text.in_(of_tiles)), A_HELPER), else_=text)


class SignIn(Base):
    """A one-time link, an invitation or a session; only the hash of its token is kept.

    A session with helpers' rights is a device of a class; `seen_at` is kept to the day.
    """

    __tablename__ = "sign_in"
    __table_args__ = (
        CheckConstraint("kind IN ('link','session','invite')", name="kind"),
        CheckConstraint("rights IN ('adult','helper')", name="rights"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    kind: Mapped[str] = mapped_column(String(7))
    rights: Mapped[str] = mapped_column(String(6), default="adult")
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]
    last_hands_id: Mapped[int | None] = mapped_column(ForeignKey("author.id"))
    class_id: Mapped[int | None] = mapped_column(ForeignKey("class.id"), index=True)
    device: Mapped[str] = mapped_column(Typed(80), default="")
    seen_at: Mapped[datetime | None]


class SignInTry(Base):
    """A wrong passphrase, for the growing wait that survives a restart.

    Of the name that was typed and of the address it came from only keyed hashes are kept.
    """

    __tablename__ = "sign_in_try"

    id: Mapped[int] = mapped_column(primary_key=True)
    tried_at: Mapped[datetime] = mapped_column(index=True)
    name_hash: Mapped[str] = mapped_column(String(64), default="")
    address_hash: Mapped[str] = mapped_column(String(64), default="")
