"""When something was done and by whose hands: the time in words, the tiles."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Final, Self

from wtforms import HiddenField, RadioField
from wtforms.validators import Optional

from app.domain.calendar import is_doubled, wall_time
from app.domain.trace import Sharing
from app.services.access.people import Visitor
from app.services.school.tiles import Hands
from app.web.fields import ChoiceField, MomentField, PageForm, choices_of

CLOCK_SLIP: Final = timedelta(minutes=5)
# after a longer wait for a connection, when it was is asked
LONGEST_WAIT: Final = timedelta(hours=24)
_FIRST_YEAR: Final = 2000
_MORNING_HOUR: Final = 8
_NOON: Final = 12


def tiles_for(tiles: Sequence[Hands], visitor: Visitor) -> list[Hands]:
    """The tiles that are offered: helpers choose among themselves."""
    return [t for t in tiles if visitor.is_adult or t.kind == "helper"] or list(tiles)


def _moment_from(text: str) -> datetime | None:
    """The moment that a page wrote down, in UTC; None where it is none."""
    try:
        moment = datetime.fromisoformat(text)
        return moment.astimezone(UTC).replace(microsecond=0) if moment.tzinfo else None
    except (ValueError, OverflowError):
        return None


class StampedForm(PageForm):
    """A form that says when and by whose hands something was done."""

    hands = ChoiceField("Whose hands", noun="whose hands did it")
    when = ChoiceField("When", noun="when it was", default="now")
    picked = MomentField("Day and time", [Optional()], description="Only for “Pick a time”.")
    # filled where Save was pressed without a connection: that moment, by this server's clock
    pressed = HiddenField("When Save was pressed", filters=[lambda text: text or ""])
    turn = RadioField(
        "This time came twice that night",
        choices={
            "first": "The first time",
            "second": "The second time, after the clocks went back",
        },
        validate_choice=False,
    )

    def set_when(self, zone_now: datetime) -> Self:
        """Offer the times in words; `zone_now` is the present wall-clock time of the tank."""
        choices = {"now": "Now"}
        if zone_now.hour >= _MORNING_HOUR:
            choices["morning"] = "This morning, about 8:00"
        choices["yesterday"] = "Yesterday, about noon"
        choices["pick"] = "Pick a time"
        self.when.choices = choices
        # the clock that a waiting page goes by: its own device's may be wrong
        self.pressed.render_kw = {"data-now": zone_now.isoformat(timespec="seconds")}
        return self

    def set_hands(
        self, tiles: Sequence[Hands], visitor: Visitor, on_duty: Sequence[int] = ()
    ) -> Self:
        """Offer the tiles; one is chosen already.

        The last one used on this browser, unless others are on duty: then the first of those.
        """
        self.hands.choices = {str(t.author_id): t.name for t in tiles_for(tiles, visitor)}
        if self.hands.data not in self.hands.choices and not self.is_submitted():
            last = visitor.last_hands_id or visitor.author_id
            preset = str(last if last in on_duty or not on_duty else on_duty[0])
            self.hands.data = preset if preset in self.hands.choices else None
        return self

    @property
    def hands_name(self) -> str:
        """The nickname on the chosen tile, or an empty text."""
        return choices_of(self.hands).get(self.hands.data or "", "")

    @property
    def when_words(self) -> str:
        """The chosen time in words."""
        return choices_of(self.when).get(self.when.data or "", "")

    def done_by(self, visitor: Visitor) -> int | None:
        """The author whose hands did it, None when it is the one who writes."""
        chosen = int(self.hands.data)
        return None if chosen == visitor.author_id else chosen

    def shared(self) -> tuple[Sharing, ...] | None:
        """What the work shared with other tanks; None on a form that does not ask."""
        return None

    def happened_at(self, zone_now: datetime, now: datetime) -> datetime | None:
        """When it happened, in UTC; None with a sentence beside the field.

        The times in words count from when Save was pressed, if the page had to wait.

        Args:
            zone_now: The present wall-clock time of the tank, aware.
            now: The present moment in UTC.
        """
        if self.pressed.data and self.when.data != "pick":
            pressed = self._pressed_at(zone_now, now)
            if pressed is None:
                return None
            zone_now, now = pressed.astimezone(zone_now.tzinfo), pressed
        zone = str(zone_now.tzinfo)
        wall = zone_now.replace(tzinfo=None, minute=0, second=0, microsecond=0)
        match self.when.data:
            case "morning":
                return self._moment(wall.replace(hour=_MORNING_HOUR), zone, now)
            case "yesterday":
                day_before = wall.replace(hour=_NOON) - timedelta(days=1)
                return self._moment(day_before, zone, now)
            case "pick":
                return self._picked_moment(zone, now)
            case _:
                return now

    def _pressed_at(self, zone_now: datetime, now: datetime) -> datetime | None:
        """When Save was pressed, in UTC; None with a question where that cannot be believed."""
        pressed = _moment_from(self.pressed.data or "")
        if pressed is not None and now - LONGEST_WAIT <= pressed <= now + CLOCK_SLIP:
            return min(pressed, now)
        self.pressed.data, self.when.data = "", "pick"
        if pressed is not None and pressed.year >= _FIRST_YEAR and pressed < now:
            self.picked.raw_data = None
            self.picked.data = pressed.astimezone(zone_now.tzinfo).replace(tzinfo=None, second=0)
        self.complain("picked", "This page waited for a connection. When was it?")
        return None

    def _picked_moment(self, zone: str, now: datetime) -> datetime | None:
        if self.picked.data is None:
            if not self.picked.errors:
                self.complain("picked", "Pick the day and the time.")
            return None
        if not _FIRST_YEAR <= self.picked.data.year <= now.year + 1:
            self.complain("picked", f"Pick a day from {_FIRST_YEAR} up to today.")
            return None
        return self._moment(self.picked.data, zone, now)

    def _moment(self, wall: datetime, zone: str, now: datetime) -> datetime | None:
        if is_doubled(wall, zone) and self.turn.data not in {"first", "second"}:
            self.asked.add("turn")
            self.complain("picked", "The clocks went back, so this time came twice. Which one?")
            return None
        try:
            moment = wall_time(wall, zone, later=self.turn.data == "second")
        except ValueError:
            clock = wall.strftime("%H:%M").lstrip("0")
            self.complain(
                "picked", f"The clocks went forward: {clock} did not exist. Pick another time."
            )
            return None
        if moment > now + CLOCK_SLIP:
            self.complain("picked", "That time has not come yet. Pick a time up to now.")
            return None
        return moment
