"""What people said about a task beside doing it."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base, Typed


class TaskMark(Base):
    """A task put off, skipped or given to somebody; `ended_at` once it was taken back."""

    __tablename__ = "task_mark"
    __table_args__ = (
        CheckConstraint("kind IN ('later','skipped','assigned')", name="kind"),
        CheckConstraint("severity BETWEEN 0 AND 3", name="severity"),
        Index("ix_task_mark_tank_id_until", "tank_id", "until"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"))
    task_key: Mapped[str] = mapped_column(String(80))
    kind: Mapped[str] = mapped_column(String(8))
    at: Mapped[datetime]
    until: Mapped[datetime | None]
    reason: Mapped[str] = mapped_column(Typed(200), default="")
    author_id: Mapped[int] = mapped_column(ForeignKey("author.id"))
    to_name: Mapped[str] = mapped_column(Typed(80), default="")
    severity: Mapped[int] = mapped_column(default=0)
    ended_at: Mapped[datetime | None]
