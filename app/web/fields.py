"""What forms are made of: the one-time token, numbers as typed, readings, time in words, tiles."""

import secrets
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final, Self, cast

from flask import request
from flask_wtf import FlaskForm
from wtforms import (
    DateField,
    DateTimeLocalField,
    HiddenField,
    RadioField,
    SelectField,
    StringField,
    TimeField,
    ValidationError,
)
from wtforms.validators import Optional, Regexp

from app.domain.calendar import is_doubled, wall_time
from app.domain.guard import (
    Blank,
    NewReading,
    Offer,
    Taken,
    Unusual,
    check,
    number_from,
)
from app.domain.quantities import FACTS, Quantity, QuantityFacts, Unit
from app.services.people import Hands, Visitor

CLOCK_SLIP: Final = timedelta(minutes=5)
_FIRST_YEAR: Final = 2000
_MORNING_HOUR: Final = 8
_NOON: Final = 12
_OFFER_JOINT: Final = "~"


def plain(value: float | None) -> str:
    """A number for a field: no trailing zeros, empty for None."""
    return "" if value is None else f"{value:.10g}"


def choices_of(field: SelectField) -> dict[str, str]:
    """What a field offers, as value and label."""
    return cast("dict[str, str]", field.choices or {})


def new_token() -> str:
    """A one-time token for a form."""
    return secrets.token_urlsafe(16)


class NumberField(StringField):
    """A number as it was typed, comma or point; `number` is its value, None when left empty.

    Messages are built from `noun`, which reads on after "Enter", as in "the length in cm".
    """

    def __init__(
        self,
        label: str,
        *,
        noun: str,
        low: float,
        high: float,
        required: bool = False,
        whole: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(label, **kwargs)
        self.noun = noun
        self.low = low
        self.high = high
        self.required = required
        self.whole = whole
        self.number: float | None = None

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002  # the library hands it over
        """Read the number.

        Raises:
            ValidationError: With a sentence that names the noun.
        """
        self.number = None
        text = (self.data or "").strip()
        if not text:
            if self.required:
                raise ValidationError(f"Enter {self.noun}.")
            return
        found = number_from(text)
        if found is None:
            raise ValidationError(f"Write {self.noun} with digits only.")
        if self.whole and found != int(found):
            raise ValidationError(f"Write {self.noun} as a whole number.")
        if not self.low <= float(found) <= self.high:
            between = f"from {self.low:g} to {self.high:g}"
            raise ValidationError(f"Enter {self.noun} {between}.")
        self.number = float(found)


class DayField(DateField):
    """A day; what is no day is refused in the project's own words."""

    def process_formdata(self, valuelist: Any) -> None:
        """Read the day.

        Raises:
            ValueError: With a sentence for the page.
        """
        try:
            super().process_formdata(valuelist)
        except ValueError:
            raise ValueError("Write the day as year-month-day, such as 2027-02-08.") from None


class TimeOfDayField(TimeField):
    """A time of the day, in the project's own words when it is none."""

    def process_formdata(self, valuelist: Any) -> None:
        """Read the time.

        Raises:
            ValueError: With a sentence for the page.
        """
        try:
            super().process_formdata(valuelist)
        except ValueError:
            raise ValueError("Write the time with hours and minutes, such as 8:30.") from None


class MomentField(DateTimeLocalField):
    """A day with a time on the tank's wall clock, in the project's own words when it is none."""

    def process_formdata(self, valuelist: Any) -> None:
        """Read the day and the time.

        Raises:
            ValueError: With a sentence for the page.
        """
        try:
            super().process_formdata(valuelist)
        except ValueError:
            raise ValueError("Write day and time, such as 2027-02-08 08:30.") from None


class ChoiceField(RadioField):
    """One of several; without a choice it says "Choose" and its `noun`."""

    def __init__(self, label: str, *, noun: str, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.noun = noun

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002  # the library hands it over
        """Refuse what is not offered.

        Raises:
            ValidationError: With a sentence that names the noun.
        """
        if self.data not in choices_of(self):
            raise ValidationError(f"Choose {self.noun}.")


class PageForm(FlaskForm):  # type: ignore[misc]  # the library is untyped
    """A form with a one-time token: whatever is posted twice is saved once."""

    token = HiddenField("Form", [Regexp(r"[\w-]{8,64}\Z", message="Open this page again.")])

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offers: dict[str, tuple[Offer, ...]] = {}
        self.asked: set[str] = set()
        if not self.token.data:
            self.token.data = new_token()
        if self.is_submitted():
            self._take(request.form.get("take", ""))

    def _take(self, offer: str) -> None:
        """Put an accepted offer ("temperature~77~°F~") into its fields."""
        name, *rest = offer.split(_OFFER_JOINT)
        if len(rest) == 3 and name in self and unit_name(name) in self:
            typed, symbol, basis = rest
            self[name].data = typed
            self[unit_name(name)].data = unit_key(symbol, basis)

    @property
    def once(self) -> str:
        """The one-time token."""
        return self.token.data or ""

    def text(self, name: str) -> str:
        """What was typed in a field, without spaces around it; empty for nothing."""
        return (self[name].data or "").strip()

    def complain(self, name: str, sentence: str) -> None:
        """Put a sentence beside a field after the form was validated."""
        field = self[name]
        field.errors = [*field.errors, sentence]

    def typed(self) -> tuple[tuple[str, str], ...]:
        """What was posted, as (name, value), without what only this one form carries."""
        left_out = {"csrf_token", "token", "take"}
        pairs = request.form.items(multi=True)
        return tuple((name, value) for name, value in pairs if name not in left_out)


def offer_value(name: str, offer: Offer) -> str:
    """The value of the button that accepts an offer for the field called `name`."""
    return _OFFER_JOINT.join((name, offer.typed, offer.unit_symbol, offer.basis))


def unit_name(name: str) -> str:
    """The name of the unit field beside a reading's field."""
    return f"{name}_unit"


def again_name(name: str) -> str:
    """The name of the field for the second measurement."""
    return f"{name}_again"


def unit_key(symbol: str, basis: str) -> str:
    """A unit as the value of a choice."""
    return f"{symbol}|{basis}"


def unit_choices(facts: QuantityFacts) -> dict[str, str]:
    """The units a quantity may be typed in, for a SelectField."""
    return {
        unit_key(u.symbol, u.basis): f"{u.symbol} {u.basis}".strip() or "no unit"
        for u in facts.units
    }


def reading_fields(
    quantity: Quantity, label: str = "", description: str = "", empty: str = ""
) -> dict[str, Any]:
    """The three fields of one reading, by name: number as typed, unit, second measurement.

    `empty` is what stands in the field, in gray, as long as nobody typed.
    """
    facts = FACTS[quantity]
    name = quantity.value
    return {
        name: StringField(
            label or facts.label, description=description, render_kw={"placeholder": empty or False}
        ),
        unit_name(name): SelectField(
            f"Unit of {facts.label}",
            choices=unit_choices(facts),
            default=unit_key(facts.units[0].symbol, facts.units[0].basis),
        ),
        again_name(name): StringField(f"{facts.label}, measured once more"),
    }


def chosen_unit(facts: QuantityFacts, key: str) -> Unit:
    """The unit behind a choice; the kept unit for a choice that does not exist."""
    symbol, _, basis = (key or "").partition("|")
    try:
        return facts.unit_named(symbol, basis)
    except KeyError:
        return facts.units[0]


def judge(
    form: PageForm,
    quantity: Quantity,
    *,
    usual: Sequence[float] = (),
    kit_id: int | None = None,
) -> tuple[NewReading, ...]:
    """The readings of one quantity, () when it was left empty or is held with a sentence."""
    name = quantity.value
    facts = FACTS[quantity]
    verdict = check(
        form[name].data or "",
        quantity,
        chosen_unit(facts, form[unit_name(name)].data),
        usual=tuple(usual),
        second=form[again_name(name)].data,
        kit_id=kit_id,
    )
    if isinstance(verdict, Taken):
        if len(verdict.readings) > 1:
            form.asked.add(name)
        return verdict.readings
    if isinstance(verdict, Blank):
        return ()
    form.complain(name, verdict.message)
    form.offers[name] = verdict.offers
    if isinstance(verdict, Unusual) or form[again_name(name)].data:
        form.asked.add(name)
    return ()


class StampedForm(PageForm):
    """A form that says when and by whose hands something was done."""

    hands = ChoiceField("Whose hands", noun="whose hands did it")
    when = ChoiceField("When", noun="when it was", default="now")
    picked = MomentField("Day and time", [Optional()], description="Only for “Pick a time”.")
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
        return self

    def set_hands(self, tiles: Sequence[Hands], visitor: Visitor) -> Self:
        """Offer the tiles; the last one used on this browser is chosen already."""
        shown = [t for t in tiles if visitor.is_adult or t.kind == "helper"] or list(tiles)
        self.hands.choices = {str(t.author_id): t.name for t in shown}
        if self.hands.data not in self.hands.choices and not self.is_submitted():
            preset = str(visitor.last_hands_id or visitor.author_id)
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

    def happened_at(self, zone_now: datetime, now: datetime) -> datetime | None:
        """When it happened, in UTC; None with a sentence beside the field.

        Args:
            zone_now: The present wall-clock time of the tank, aware.
            now: The present moment in UTC.
        """
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


def with_fields(base: type[PageForm], name: str, fields: Mapping[str, Any]) -> type[Any]:
    """A form class with more fields, for pages whose fields depend on the record."""
    return type(name, (base,), dict(fields))
