"""The form of an idea: it comes in the address and saves nothing."""

from collections.abc import Iterable, Mapping
from typing import Any, Final, Self, TypeVar

from werkzeug.datastructures import MultiDict
from wtforms import Form, SelectField, StringField
from wtforms.validators import Length

from app.domain.snapshot import TankSnapshot
from app.knowledge.catalogue import Plant, Species
from app.knowledge.model import Knowledge
from app.services.livestock.ideas import Idea
from app.services.livestock.plants import AMOUNT_WORDS
from app.web.fields import NumberField

Record = TypeVar("Record", Species, Plant)

GROUP, NEW, PLANT, PLANTED = "group_", "new_", "plant_", "planted_"
_MOST_NEW: Final = 12


class IdeaForm(Form):
    """How many of each animal would live here, how much of each plant, and nitrate."""

    look = StringField(
        "Look for an animal or a plant",
        [Length(max=80, message="Use 80 letters at most.")],
        description="A common, a scientific or an old name. The beginning of a word is enough.",
    )
    nitrate = NumberField(
        "Nitrate now", noun="nitrate in mg/L", low=0, high=500,
        description="As nitrate. Leave it empty for the last test.",
    )  # fmt: skip
    target = NumberField(
        "Change the water at", noun="nitrate in mg/L", low=0, high=500,
        description="As nitrate. Leave it empty for the top of our range.",
    )  # fmt: skip
    animals: Mapping[str, str]
    plants: Mapping[str, str]

    @classmethod
    def at(cls, snapshot: TankSnapshot, knowledge: Knowledge, args: MultiDict[str, str]) -> Self:
        """The form with the tank as it is, and what stands in the address."""
        animals = named(args, NEW, knowledge.species.values())
        plants = named(args, PLANTED, knowledge.plants.values())
        fields: dict[str, Any] = {}
        for group in snapshot.groups:
            if group.count > 0 or f"{GROUP}{group.id}" in args:
                fields[f"{GROUP}{group.id}"] = _count(group.name, f"{group.count} now", group.count)
        for species in animals:
            name = species.common_name.replace("'", "’")
            fields[f"{NEW}{species.slug}"] = _count(name, f"new, {species.scientific_name}", 1)
        for plant in snapshot.plants:
            fields[f"{PLANT}{plant.id}"] = _amount(plant.name, f"{plant.amount} now", plant.amount)
        for new in plants:
            name = new.common_name.replace("'", "’")
            fields[f"{PLANTED}{new.slug}"] = _amount(name, f"new, {new.scientific_name}", "sparse")
        form: Self = type("OneIdeaForm", (cls,), fields)(args or None)
        form.animals = {f"{NEW}{s.slug}": s.scientific_name for s in animals}
        form.plants = {f"{PLANTED}{p.slug}": p.scientific_name for p in plants}
        return form

    def of(self, prefix: str) -> tuple[Any, ...]:
        """The fields of one kind."""
        return tuple(f for f in self if f.name.startswith(prefix))

    def idea(self) -> Idea | None:
        """What was typed, or None with sentences beside the fields."""
        if not self.validate():
            return None
        return Idea(
            counts={_id(f, GROUP): int(f.number or 0) for f in self.of(GROUP)},
            animals=tuple((self.animals[f.name], int(f.number or 0)) for f in self.of(NEW)),
            amounts={_id(f, PLANT): f.data for f in self.of(PLANT)},
            plants=tuple((self.plants[f.name], f.data) for f in self.of(PLANTED)),
            nitrate=self.nitrate.number,
            target=self.target.number,
        )


def named(args: MultiDict[str, str], prefix: str, known: Iterable[Record]) -> tuple[Record, ...]:
    """The records that the address names with this prefix, so many at most."""
    asked = {key.removeprefix(prefix) for key in args if key.startswith(prefix)}
    return tuple(r for r in known if r.slug in asked)[:_MOST_NEW]


def _id(field: Any, prefix: str) -> int:
    return int(field.name.removeprefix(prefix))


def _count(name: str, hint: str, number: int) -> NumberField:
    return NumberField(
        name, noun="how many would live here", low=0, high=10_000, whole=True, required=True,
        description=hint, default=str(number),
    )  # fmt: skip


def _amount(name: str, hint: str, amount: str) -> SelectField:
    return SelectField(name, choices=AMOUNT_WORDS, description=hint, default=amount)
