"""Living lists for tests of needs: animals of the catalogue by their common name."""

from typing import Any

from app.knowledge.catalogue import Species
from app.knowledge.load import load
from app.rules.needs import Clash, ClashKind, ClashLevel, Lodger, Surroundings, compare

KNOWLEDGE = load()
SPECIES = {s.common_name: s for s in KNOWLEDGE.species.values()}
NO_TANK = Surroundings()


def lodger(name: str, count: int | None = None, adult_cm: float | None = None) -> Lodger:
    """So many of an animal of the catalogue; its smallest group without a number."""
    species = SPECIES[name]
    return Lodger(name, count if count is not None else species.min_group or 1, species, adult_cm)


def made(count: int = 1, **values: Any) -> Lodger:
    """An animal with just these values, everything else unknown."""
    name = values.pop("name", "Anna’s fish")
    species = Species(scientific_name=name, common_name=name, **values)
    return Lodger(name, count, species)


def clashes(*animals: Lodger, tank: Surroundings = NO_TANK) -> list[Clash]:
    """What is said of these, without remarks on what is unknown."""
    return [c for c in compare(animals, tank, KNOWLEDGE) if c.kind is not ClashKind.UNKNOWN]


def said(*animals: Lodger, tank: Surroundings = NO_TANK) -> list[tuple[ClashKind, ClashLevel]]:
    """Kind and level of each clash, the gravest first; remarks are left out."""
    found = clashes(*animals, tank=tank)
    return [(c.kind, c.level) for c in found if c.level is not ClashLevel.REMARK]


def level(kind: ClashKind, *animals: Lodger, tank: Surroundings = NO_TANK) -> ClashLevel | None:
    """The gravest level of one kind of clash, or None."""
    return max((c.level for c in clashes(*animals, tank=tank) if c.kind is kind), default=None)
