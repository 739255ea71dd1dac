"""A form made of what a working-out page asks; it comes in the address and saves nothing."""

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any, Final

from werkzeug.datastructures import MultiDict
from wtforms import Form, RadioField, SelectField, StringField

from app.domain.guard import Impossible, check, number_from
from app.domain.quantities import FACTS
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.knowledge.model import Knowledge
from app.services.workings import units
from app.services.workings.model import Ask, Choose, Given, Unit
from app.web.fields import plain, unit_name

Asks = tuple[Ask | Choose, ...]

_OFFER_JOINT: Final = "~"
_US_WATER: Final = {"gal", "in", "lb", "oz"}
_MOST_NUMBERS: Final = 40
_FAHRENHEIT: Final = "F"
_CLOCK: Final = re.compile(
    r"(?P<hours>[0-9]{1,2})(?:[:.](?P<minutes>[0-9]{2}))?\s*(?:(?P<half>[ap])\.?m\.?)?"
)


class WorkingForm(Form):
    """One field for each thing a page asks, with a unit beside each number that has several."""

    def __init__(self, asks: Asks, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asks = asks
        self.offers: dict[str, tuple[tuple[str, str], ...]] = {}

    @property
    def rows(self) -> Iterator[tuple[str, Any, Any]]:
        """For the template: kind (as "number", "clock"), field, unit field, or unit, or ""."""
        for ask in self.asks:
            if isinstance(ask, Choose):
                yield "choice", self[ask.name], ""
            elif ask.clock:
                yield "clock", self[ask.name], ""
            elif len(ask.units) > 1:
                yield "number", self[ask.name], self[unit_name(ask.name)]
            else:
                yield "unit", self[ask.name], ask.units[0].symbol

    def complain(self, name: str, sentence: str) -> None:
        """Put a sentence beside a field, or above all of them for a name that is none."""
        if name not in self:
            self.form_errors.append(sentence)
            return
        self[name].errors = [*self[name].errors, sentence]

    def given(self) -> Given | None:
        """What was typed in kept units, or None with sentences beside the fields."""
        numbers: dict[str, float | None] = {}
        lists: dict[str, tuple[float, ...]] = {}
        choices: dict[str, str] = {}
        for ask in self.asks:
            if isinstance(ask, Choose):
                choices[ask.name] = self._choice(ask)
            elif ask.several:
                lists[ask.name] = self._several(ask)
            else:
                numbers[ask.name] = self._number(ask)
        return None if self.errors else Given(numbers, choices, lists)

    def _choice(self, ask: Choose) -> str:
        field = self[ask.name]
        if field.data not in ask.options:
            self.complain(ask.name, f"Choose {ask.label[0].lower()}{ask.label[1:]}.")
        return str(field.data)

    def _text(self, ask: Ask) -> str:
        text = (self[ask.name].data or "").strip()
        if not text and ask.required:
            self.complain(ask.name, f"Enter {ask.noun}.")
        return text

    def _number(self, ask: Ask) -> float | None:
        text, unit = self._text(ask), self._unit(ask)
        return None if not text else self._kept(ask, text, unit)

    def _several(self, ask: Ask) -> tuple[float, ...]:
        text, unit = self._text(ask), self._unit(ask)
        words = text.replace(";", " ").split()
        if len(words) > _MOST_NUMBERS:
            self.complain(ask.name, f"Enter {_MOST_NUMBERS} numbers at most.")
            return ()
        found = [self._kept(ask, word, unit) for word in words]
        return tuple(value for value in found if value is not None)

    def _unit(self, ask: Ask) -> Unit:
        if len(ask.units) == 1:
            return ask.units[0]
        key = self[unit_name(ask.name)].data
        unit = next((u for u in ask.units if u.key == key), None)
        if unit is None:
            self.complain(ask.name, "Choose one of the units.")
        return unit or ask.units[0]

    def _kept(self, ask: Ask, text: str, unit: Unit) -> float | None:
        number = _hours_from(text) if ask.clock else number_from(text)
        if number is None and ask.clock:
            self.complain(ask.name, f"Write {ask.noun} as a time, such as 13:05 or 1:05 pm.")
            return None
        if number is None:
            self.complain(ask.name, f"Write {ask.noun} with digits only.")
            return None
        if ask.quantity is not None and self._is_impossible(ask, text, unit):
            return None
        try:
            value = unit.to_kept(float(number))
        except ValueError:
            value = float("-inf")
        if not ask.low <= value <= ask.high:
            ends = (f"{unit.from_kept(end):.4g}" for end in (ask.low, ask.high))
            sentence = f"Enter {ask.noun} from {' to '.join(ends)} {unit.symbol}"
            self.complain(ask.name, f"{sentence.rstrip()}.")
            return None
        return value

    def _is_impossible(self, ask: Ask, text: str, unit: Unit) -> bool:
        if ask.quantity is None:
            return False
        as_typed = next(
            u for u in FACTS[ask.quantity].units if units.key_of(u.symbol, u.basis) == unit.key
        )
        try:
            verdict = check(text, ask.quantity, as_typed)
        except ValueError:  # below absolute zero; the sentence of the range says enough
            return False
        if not isinstance(verdict, Impossible):
            return False
        self.complain(ask.name, verdict.message)
        self.offers[ask.name] = tuple(
            (_OFFER_JOINT.join((ask.name, o.typed, units.key_of(o.unit_symbol, o.basis))), o.label)
            for o in verdict.offers
        )
        return True


def _hours_from(text: str) -> Decimal | None:
    """A time of day as hours since midnight, or None: "13:05", "1:05 pm", "1 pm"."""
    found = _CLOCK.fullmatch(text.strip().lower())
    if not found or not (found["minutes"] or found["half"]):
        return None
    hours, minutes = int(found["hours"]), int(found["minutes"] or 0)
    if found["half"]:
        if not 1 <= hours <= 12:
            return None
        hours = hours % 12 + (12 if found["half"] == "p" else 0)
    return hours + Decimal(minutes) / 60 if hours < 24 and minutes < 60 else None


def taken(asks: Asks, args: MultiDict[str, str]) -> MultiDict[str, str] | None:
    """The address with an accepted offer put into its fields; None where none was accepted."""
    name, *rest = args.get("take", "").split(_OFFER_JOINT)
    ask = next((a for a in asks if a.name == name), None)
    if not isinstance(ask, Ask) or len(rest) != 2:
        return None
    changed = MultiDict(args)
    changed.pop("take")
    changed[name] = rest[0]
    if len(ask.units) > 1:
        changed[unit_name(name)] = rest[1]
    return changed


def form_of(
    asks: Asks, args: MultiDict[str, str], snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[WorkingForm, bool]:
    """The form as it came in the address, or filled with what is known; and whether it came."""
    fields: dict[str, Any] = {}
    for ask in asks:
        if isinstance(ask, Choose):
            fields[ask.name] = RadioField(
                ask.label, choices=dict(ask.options), description=ask.hint, validate_choice=False
            )
            continue
        fields[ask.name] = StringField(ask.label, description=ask.hint)
        if len(ask.units) > 1:
            choices = {u.key: u.symbol or "no unit" for u in ask.units}
            fields[unit_name(ask.name)] = SelectField(
                f"Unit of {ask.noun}", choices=choices, validate_choice=False
            )
    came = any(ask.name in args for ask in asks)
    start = _known(asks, snapshot, knowledge)
    form = type("Asked", (WorkingForm,), fields)(asks, args if came else None, data=start)
    form.validate()
    return form, came


def _known(asks: Asks, snapshot: TankSnapshot, knowledge: Knowledge) -> Mapping[str, str]:
    found: dict[str, str] = {}
    for ask in asks:
        if isinstance(ask, Choose):
            known = ask.known(snapshot, knowledge) if ask.known else None
            found[ask.name] = known if known and known in ask.options else ask.default
            continue
        unit = _usual_unit(ask, snapshot.site)
        found[unit_name(ask.name)] = unit.key
        value = ask.known(snapshot, knowledge) if ask.known else None
        if value is not None:
            found[ask.name] = plain(round(unit.from_kept(value), 2))
    return found


def _usual_unit(ask: Ask, site: Site) -> Unit:
    wanted = (_US_WATER if site.us_gallons else set()) | (
        {_FAHRENHEIT} if site.fahrenheit else set()
    )
    return next((u for u in ask.units if u.key in wanted), ask.units[0])
