"""What forms are made of: the one-time token, numbers, days and readings as typed."""

import re
import secrets
from abc import abstractmethod
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, ClassVar, Final, cast

from flask import request
from flask_wtf import FlaskForm
from wtforms import (
    DateField,
    DateTimeLocalField,
    Field,
    HiddenField,
    RadioField,
    SelectField,
    StringField,
    TimeField,
    ValidationError,
)
from wtforms.validators import Regexp

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
from app.science.units import cm_from_inches, liters_from_us_gallons

# as choices; they count from Monday = 0
WEEKDAYS: Final = {
    "0": "Monday",
    "1": "Tuesday",
    "2": "Wednesday",
    "3": "Thursday",
    "4": "Friday",
    "5": "Saturday",
    "6": "Sunday",
}
# what was before is no tank that is still kept, what comes after no plan: most likely a slip
FIRST_YEAR: Final = 1990
LAST_YEAR: Final = 2199
NOT_YET: Final = "That day has not come yet."
# as choices for an amount of water
WATER_UNITS: Final = {"L": "L", "gal": "US gal"}
_OFFER_JOINT: Final = "~"
_LENGTH: Final = re.compile(
    r"(?P<number>.+?)\s*(?P<unit>cm|in(?:ch|ches)?\.?|[\"\u2033\u201d])", re.IGNORECASE
)
_VOLUME: Final = re.compile(
    r"(?P<number>.+?)\s*(?P<unit>l|(?:us\s*)?gal(?:lons?)?\.?)", re.IGNORECASE
)
_FRACTION: Final = re.compile(
    r"(?:(?P<whole>\d{1,4})\s+)?(?P<above>\d{1,3})/(?P<below>\d{1,3})", re.ASCII
)


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
        found = self.read(text)
        if found is None:
            raise ValidationError(f"Write {self.noun} with digits only.")
        if self.whole and found != int(found):
            raise ValidationError(f"Write {self.noun} as a whole number.")
        if not self.low <= float(found) <= self.high:
            between = f"from {self.low:g} to {self.high:g}"
            raise ValidationError(f"Enter {self.noun} {between}.")
        self.number = float(found)

    def read(self, text: str) -> Decimal | None:
        """The number that the text says, None where it is none."""
        return number_from(text)


def _with_fraction(text: str) -> Decimal | None:
    """A number that may be a common fraction: 23 1/2; None where the text is none."""
    parts = _FRACTION.fullmatch(text)
    if parts is None:
        return number_from(text)
    if not int(parts["below"]):
        return None
    return int(parts["whole"] or 0) + Decimal(parts["above"]) / int(parts["below"])


class _InEitherUnit(NumberField):
    """A number in the kept unit; what is written with the other unit is read as that."""

    pattern: ClassVar[re.Pattern[str]]
    kept: ClassVar[str]

    def read(self, text: str) -> Decimal | None:
        """The number in the kept unit, None where the text is none."""
        typed = self.pattern.fullmatch(text)
        if typed is None or typed["unit"].lower() == self.kept:
            return number_from(typed["number"] if typed else text)
        other = _with_fraction(typed["number"])
        return None if other is None else Decimal(f"{self.to_kept(float(other)):.3f}")

    @abstractmethod
    def to_kept(self, other: float) -> float:
        """The other unit in the kept one."""


class LengthField(_InEitherUnit):
    """A length in cm; what is written as inches is read as inches: 24 in, 23 1/2 in."""

    pattern = _LENGTH
    kept = "cm"

    def to_kept(self, other: float) -> float:
        """Inches in cm."""
        return cm_from_inches(other)


class VolumeField(_InEitherUnit):
    """Water in L; what is written as US gallons is read as US gallons: 0.5 gal, 1 1/2 gal."""

    pattern = _VOLUME
    kept = "l"

    def to_kept(self, other: float) -> float:
        """US gallons in L."""
        return liters_from_us_gallons(other)


class _InOwnWords(Field):
    """A field whose refusal is a sentence of the project."""

    sentence: ClassVar[str]

    def process_formdata(self, valuelist: Any) -> None:
        """Read what was typed.

        Raises:
            ValueError: With a sentence for the page.
        """
        try:
            super().process_formdata(valuelist)
        except ValueError:
            raise ValueError(self.sentence) from None


class _OfAYear(_InOwnWords):
    """A field with a year in it: from `FIRST_YEAR` to `LAST_YEAR`."""

    def process_formdata(self, valuelist: Any) -> None:
        """Read what was typed.

        Raises:
            ValueError: With a sentence for the page.
        """
        super().process_formdata(valuelist)
        if self.data is not None and not FIRST_YEAR <= self.data.year <= LAST_YEAR:
            self.data = None
            raise ValueError(f"Write a year from {FIRST_YEAR} to {LAST_YEAR}.")


class DayField(_OfAYear, DateField):
    """A day."""

    sentence = "Write the day as year-month-day, such as 2027-02-08."


class TimeOfDayField(_InOwnWords, TimeField):
    """A time of the day."""

    sentence = "Write the time with hours and minutes, such as 8:30."


class MomentField(_OfAYear, DateTimeLocalField):
    """A day with a time on the tank's wall clock."""

    sentence = "Write day and time, such as 2027-02-08 08:30."


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


class PlainForm(FlaskForm):  # type: ignore[misc]  # the library is untyped
    """A form whose second post says the same again."""

    def text(self, name: str) -> str:
        """What was typed in a field, without spaces around it; empty for nothing."""
        return (self[name].data or "").strip()

    def complain(self, name: str, sentence: str) -> None:
        """Put a sentence beside a field after the form was validated."""
        field = self[name]
        field.errors = [*field.errors, sentence]


class PageForm(PlainForm):
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

    def refuse_coming(self, today: date, *names: str) -> None:
        """Put a sentence beside each of these days that comes after `today`, after validating."""
        for name in names:
            if self[name].data and self[name].data > today:
                self.complain(name, f"{NOT_YET} Leave it empty until then.")

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
    name: str = "",
) -> tuple[NewReading, ...]:
    """The readings of one quantity, () when it was left empty or is held with a sentence.

    The field is called like the quantity unless it has a `name` of its own.
    """
    name = name or quantity.value
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


def with_fields(base: type[PageForm], name: str, fields: Mapping[str, Any]) -> type[Any]:
    """A form class with more fields, for pages whose fields depend on the record."""
    return type(name, (base,), dict(fields))
