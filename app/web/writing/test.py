"""Test water: each quantity by its own kit. What was not tested stays "Not tested", never 0."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Self

from flask import render_template
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.drafts import NewTest
from app.domain.guard import DARKER, LIGHTER, NewReading, card_reading
from app.domain.kit import Kit
from app.domain.quantities import FACTS, Quantity
from app.services.story import StoryLine
from app.web.fields import (
    ChoiceField,
    judge,
    plain,
    reading_fields,
    unit_key,
    unit_name,
    with_fields,
)
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk, values_of
from app.web.writing.look import LONGEST_NOTE
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import WritingForm

USUAL_ORDER = (
    Quantity.TEMPERATURE,
    Quantity.PH,
    Quantity.AMMONIA,
    Quantity.NITRITE,
    Quantity.NITRATE,
    Quantity.KH,
    Quantity.GH,
)
SELDOM = (Quantity.OXYGEN, Quantity.CHLORINE, Quantity.CHLORIDE, Quantity.WATER_LEVEL)


class _TestForm(WritingForm):
    """One visit with the kits; `kits` tells by which kit each quantity is read."""

    note = StringField(
        "Note", [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")]
    )
    kits: ClassVar[Mapping[Quantity, Kit]] = {}

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank and its kits, empty or with what an entry says."""
        kits = kits_in_use(desk, line)
        form_class = with_fields(cls, "TestForm", {**_fields(kits), "kits": kits})
        form = form_class(data=_filled(desk, line, kits))
        desk.ready(form, line)
        return form  # type: ignore[no-any-return]  # a class made for this very request

    @property
    def usual(self) -> tuple[Quantity, ...]:
        """What is tested most, and whatever there is a kit for."""
        return USUAL_ORDER + tuple(q for q in SELDOM if q in self.kits)

    @property
    def seldom(self) -> tuple[Quantity, ...]:
        """What is tested seldom, folded away."""
        return tuple(q for q in SELDOM if q not in self.kits)

    @property
    def seldom_open(self) -> bool:
        """Whether something stands written in the folded part."""
        return any(self[q.value].data for q in self.seldom)

    def is_card(self, quantity: Quantity) -> bool:
        """Whether a quantity is read from the colors of a card."""
        return quantity in self.kits and bool(self.kits[quantity].steps)

    def measured(self, desk: Desk) -> tuple[NewReading, ...]:
        """All readings that were taken."""
        return tuple(
            reading for quantity in USUAL_ORDER + SELDOM for reading in self._of(quantity, desk)
        )

    def draft(self, desk: Desk) -> NewTest | None:  # noqa: ARG002  # a test needs no more
        """The test, or None when nothing was tested."""
        named = [q.value for q in USUAL_ORDER + SELDOM]
        if not any(self.text(name) for name in named):
            self.form_errors.append("Test at least one thing, or leave this page.")
            return None
        return NewTest(note=self.text("note"))

    def _of(self, quantity: Quantity, desk: Desk) -> tuple[NewReading, ...]:
        kit = self.kits.get(quantity)
        if kit is not None and self.is_card(quantity):
            choice = self[quantity.value].data
            try:
                return (card_reading(kit, choice),) if choice else ()
            except ValueError:
                return ()  # the field itself has refused the choice
        return judge(self, quantity, usual=desk.usual(quantity), kit_id=kit.id if kit else None)


TestForm = _TestForm


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPage:
    """What the page shows."""

    __test__ = False

    desk: Desk
    form: Any
    doors: tuple[Door, ...]


def kits_in_use(desk: Desk, line: StoryLine | None = None) -> dict[Quantity, Kit]:
    """By which kit each quantity is read: that of the entry to fix, else the newest in use."""
    kits = {k.quantity: k for k in desk.snapshot.kits if k.retired_on is None}
    by_id = {k.id: k for k in desk.snapshot.kits}
    for reading in line.readings if line else ():
        if reading.kit_id in by_id:
            kits[reading.quantity] = by_id[reading.kit_id]
    return kits


def card_choices(kit: Kit) -> dict[str, str]:
    """The colors of a card as choices, with what lies beyond its ends."""
    tail = f" {kit.unit}" if kit.unit else ""
    choices = {"": "Not tested"}
    if kit.steps[0] > 0:
        choices[LIGHTER] = f"Lighter than {plain(kit.steps[0])}"
    choices |= {plain(step): f"{plain(step)}{tail}" for step in kit.steps}
    choices[DARKER] = f"Darker than {plain(kit.steps[-1])}"
    return choices


def _fields(kits: dict[Quantity, Kit]) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    for quantity in USUAL_ORDER + SELDOM:
        kit = kits.get(quantity)
        hint = "" if kit is None else f"{kit.name}{f', {kit.basis}' if kit.basis else ''}"
        if kit is not None and kit.steps:
            fields[quantity.value] = ChoiceField(
                FACTS[quantity].label,
                noun=f"a color for {FACTS[quantity].label}",
                choices=card_choices(kit),
                default="",
                description=f"Compare under daylight. {hint}.",
            )
        else:
            fields |= reading_fields(
                quantity, description=f"{hint}." if hint else "", empty="Not tested"
            )
    return fields


def _filled(desk: Desk, line: StoryLine | None, kits: dict[Quantity, Kit]) -> dict[str, str]:
    data = {unit_name("temperature"): desk.temperature_unit}
    for quantity, kit in kits.items():
        data[unit_name(quantity.value)] = unit_key(kit.unit, kit.basis)
    if line is not None:
        data["note"] = line.detail.note
    return data | values_of(line)


@bp.route("/tank/<int:tank_id>/test", methods=["GET", "POST"])
def test(tank_id: int) -> ResponseReturnValue:
    """Write a water test down."""
    desk = at_desk(tank_id)
    form = TestForm.at(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    page = TestPage(desk=desk, form=form, doors=doors_for(tank_id))
    return render_template("writing/test.html", page=page), shown(form)
