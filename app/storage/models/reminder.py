"""Who gets a letter about what is due, and when the last one was sent."""

from datetime import date

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.storage.base import Base


class Reminder(Base):
    """An adult's wish for a letter on some weekdays; without a row nothing is ever sent."""

    __tablename__ = "reminder"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    email: Mapped[str] = mapped_column(String(254))
    weekdays: Mapped[str] = mapped_column(String(7))
    only_if_due: Mapped[bool] = mapped_column(default=True)
    last_sent_on: Mapped[date | None]
