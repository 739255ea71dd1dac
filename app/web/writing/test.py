"""Test water: each quantity by its own kit. What was not tested stays "Not tested", never 0."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Self

from flask import render_template, request
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.drafts import LONGEST_NOTE, NewTest
from app.domain.guard import DARKER, LIGHTER, NewReading
from app.domain.kit import Kit
from app.domain.quantities import FACTS, Quantity
from app.domain.tube import MOST_READERS
from app.knowledge.model import Caution
from app.services import words
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
from app.web.writing.readers import how_many, names_of, read, reader_fields, readers_of
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import WritingForm
from app.web.writing.staying import MORE, Added, came_back, come_back

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

# what to know before the bottles are opened
CAUTIONS = ("test_kits", "hands")


class _TestForm(WritingForm):
    """One visit with the kits; `kits` tells by which kit each quantity is read.

    `tubes` tells for how many readers of its card there is room.
    """

    note = StringField(
        "Note", [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")]
    )
    kits: ClassVar[Mapping[Quantity, Kit]] = {}
    tubes: ClassVar[Mapping[Quantity, int]] = {}

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank and its kits, empty or with what an entry says."""
        kits = kits_in_use(desk, line)
        tubes = {q: how_many(q, line) for q, kit in kits.items() if kit.steps}
        people = readers_of(line) | desk.people
        more = {q: reader_fields(q, n, card_choices(kits[q]), people) for q, n in tubes.items()}
        fields = _fields(kits) | {name: f for found in more.values() for name, f in found.items()}
        form_class = with_fields(cls, "TestForm", {**fields, "kits": kits, "tubes": tubes})
        typed = (request.args,) if came_back() else ()
        form = form_class(*typed, data=_filled(desk, line, kits))
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
        return quantity in self.tubes

    def readers(self, quantity: Quantity) -> tuple[str, ...]:
        """The names of the color fields of a card, one a reader."""
        return names_of(quantity, self.tubes[quantity])

    def has_room(self, quantity: Quantity) -> bool:
        """Whether one more may read the card."""
        return self.tubes[quantity] < MOST_READERS

    def added(self, desk: Desk) -> Added | None:  # noqa: ARG002  # as the base has it
        """One more reader of a card, where that was asked for."""
        asked = request.form.get(MORE)
        if asked is None:
            return None
        for quantity, readers in self.tubes.items():
            if quantity.value == asked and self.has_room(quantity):
                name = names_of(quantity, readers + 1)[-1]
                return Added({name: ""}, place=name)
        return Added()

    def measured(self, desk: Desk) -> tuple[NewReading, ...]:
        """All readings that were taken."""
        return tuple(
            reading for quantity in USUAL_ORDER + SELDOM for reading in self._of(quantity, desk)
        )

    def draft(self, desk: Desk) -> NewTest | None:  # noqa: ARG002  # a test needs no more
        """The test, or None when nothing was tested."""
        named = {q.value for q in USUAL_ORDER + SELDOM}
        named |= {name for quantity in self.tubes for name in self.readers(quantity)}
        if not any(self.text(name) for name in named):
            self.form_errors.append("Test at least one thing, or leave this page.")
            return None
        return NewTest(note=self.text("note"))

    def _of(self, quantity: Quantity, desk: Desk) -> tuple[NewReading, ...]:
        kit = self.kits.get(quantity)
        if kit is not None and self.is_card(quantity):
            return tuple(read(self, quantity, kit, self.tubes[quantity]))
        return judge(self, quantity, usual=desk.usual(quantity), kit_id=kit.id if kit else None)


TestForm = _TestForm


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPage:
    """What the page shows."""

    __test__ = False

    desk: Desk
    form: Any
    doors: tuple[Door, ...]
    cautions: tuple[Caution, ...]


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
    if (added := form.added(desk)) is not None:
        return come_back(form, added)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    page = TestPage(
        desk=desk, form=form, doors=doors_for(tank_id), cautions=words.cautions(CAUTIONS)
    )
    return render_template("writing/test.html", page=page), shown(form)
