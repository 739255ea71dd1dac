"""What all writing forms share: they turn into one sheet that can be saved, or complain."""

from abc import abstractmethod
from dataclasses import dataclass
from datetime import datetime

from app.domain.drafts import Draft
from app.domain.guard import NewReading
from app.web.writing.desk import Desk
from app.web.writing.stamped import StampedForm
from app.web.writing.staying import Added


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A filled form: what was done, what was measured, and when."""

    draft: Draft
    readings: tuple[NewReading, ...]
    happened_at: datetime


class WritingForm(StampedForm):
    """A form for one kind of entry, in a page of its own and in the page that fixes."""

    @abstractmethod
    def draft(self, desk: Desk) -> Draft | None:
        """What was done, or None with a sentence beside the field."""

    def added(self, desk: Desk) -> Added | None:  # noqa: ARG002  # most have none
        """What a pressed button adds before anything is saved, None for Save."""
        return None

    def measured(self, desk: Desk) -> tuple[NewReading, ...]:
        """What was measured with it; what is held gets a sentence beside its field."""
        return desk.temperature(self) if "temperature" in self else ()

    def sheet(self, desk: Desk) -> Sheet | None:
        """The filled form, or None when something has to be put right first."""
        self.validate()
        happened_at = self.happened_at(desk.zone_now, desk.now)
        readings = self.measured(desk)
        draft = self.draft(desk)
        if self.errors or happened_at is None or draft is None:
            return None
        return Sheet(draft=draft, readings=readings, happened_at=happened_at)
