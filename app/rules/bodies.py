"""What the animals of a group weigh, from their length."""

from dataclasses import dataclass

from app.domain.livestock import StockGroup
from app.knowledge.model import Knowledge
from app.science.metabolism import mass_g


@dataclass(frozen=True, slots=True)
class Mass:
    """Grams of all animals of a group; `is_assumed`: the shape of the body was not known."""

    low: float
    best: float
    high: float
    is_assumed: bool = False


def group_mass(group: StockGroup, knowledge: Knowledge) -> Mass | None:
    """What a group weighs, or None where neither length nor species is known.

    The length is the measured one, else the grown one. Where the species is not known the usual
    shape of a small fish is taken, and said to be assumed.
    """
    species = knowledge.species.get(group.species)
    length = group.length_cm or group.adult_cm or (species.adult_tl_cm if species else None)
    if length is None:
        return None
    a, b = knowledge.value("body.usual-a"), knowledge.value("body.usual-b")
    known = species is not None and species.length_weight_a is not None
    if species is not None and species.length_weight_a is not None:
        a, b = species.length_weight_a, species.length_weight_b or b
    best = group.count * float(mass_g(length, a, b))
    spread = knowledge.value("body.spread") / 100.0
    return Mass(best * (1.0 - spread), best, best * (1.0 + spread), is_assumed=not known)


def group_mass_g(group: StockGroup, knowledge: Knowledge) -> tuple[float, float, float] | None:
    """The grams of a group as (low, best, high), or None where its length is not known."""
    mass = group_mass(group, knowledge)
    return None if mass is None else (mass.low, mass.best, mass.high)
