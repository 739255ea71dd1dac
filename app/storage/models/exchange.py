"""Files that wait to be looked at, and what came in with one, so that it can be taken back."""

from datetime import datetime

from sqlalchemy import ForeignKey, LargeBinary, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed


class IncomingFile(Base):
    """A file that somebody handed in and has not saved yet: one a person, for a day at most."""

    __tablename__ = "incoming_file"

    author_id: Mapped[int] = mapped_column(ForeignKey("author.id"), primary_key=True)
    token: Mapped[str] = mapped_column(String(64))
    held_at: Mapped[datetime]
    content: Mapped[bytes] = mapped_column(LargeBinary)


class ImportBatch(Base):
    """One file that was brought in; `undone_at` once all of its entries were taken back."""

    __tablename__ = "import_batch"
    __table_args__ = (UniqueConstraint("tank_id", "token"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"))
    token: Mapped[str] = mapped_column(String(64))
    file_name: Mapped[str] = mapped_column(Typed(120), default="")
    made_at: Mapped[datetime]
    author_id: Mapped[int] = mapped_column(ForeignKey("author.id"))
    rows: Mapped[int] = mapped_column(default=0)
    undone_at: Mapped[datetime | None]


class ImportEntry(Base):
    """An entry that came with an import."""

    __tablename__ = "import_entry"

    batch_id: Mapped[int] = mapped_column(ForeignKey("import_batch.id"), primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True, index=True)
