"""What the rules last said of a tank: rebuildable, and dropped at any time without loss."""

from datetime import datetime

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base


class Evaluation(Base):
    """One row a tank; it counts for its revision and version, until `holds_until`.

    `tasks` is JSON of whoever wrote it; `stages` is JSON of [stage, day] pairs.
    """

    __tablename__ = "evaluation"

    tank_id: Mapped[int] = mapped_column(ForeignKey("tank.id"), primary_key=True)
    revision: Mapped[int]
    version: Mapped[str] = mapped_column(String(64))
    evaluated_at: Mapped[datetime]
    holds_until: Mapped[datetime]
    state: Mapped[str] = mapped_column(String(20))
    state_line: Mapped[str] = mapped_column(Text)
    tasks: Mapped[str] = mapped_column(Text, default="[]")
    stages: Mapped[str] = mapped_column(Text, default="[]")
