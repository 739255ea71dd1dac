"""What animals weigh, from their length: one of a known species, and all of a group."""

from dataclasses import dataclass

from app.domain.livestock import StockGroup
from app.knowledge.catalogue import Species
from app.knowledge.model import Knowledge
from app.science.metabolism import mass_g


@dataclass(frozen=True, slots=True)
class Mass:
    """Grams of all animals of a group; `is_assumed`: the shape of the body was not known."""

    low: float
    best: float
    high: float
    is_assumed: bool = False


def one_g(species: Species | None, length_cm: float | None) -> float | None:
    """What one animal of a length weighs, or None where its length or shape is not known."""
    if species is None or length_cm is None:
        return None
    a, b = species.length_weight_a, species.length_weight_b
    return None if a is None or b is None else float(mass_g(length_cm, a, b))


def group_mass(group: StockGroup, knowledge: Knowledge) -> Mass | None:
    """What a group weighs, or None where neither length nor species is known.

    The length is the measured one, else the grown one. Where the species is not known the usual
    shape of a small fish is taken, and said to be assumed.
    """
    species = knowledge.species.get(group.species)
    length = group.length_cm or group.adult_cm or (species.adult_tl_cm if species else None)
    if length is None:
        return None
    each = one_g(species, length)
    is_assumed = each is None
    if each is None:
        usual = knowledge.value("body.usual-a"), knowledge.value("body.usual-b")
        each = float(mass_g(length, *usual))
    best, spread = group.count * each, knowledge.value("body.spread") / 100.0
    return Mass(best * (1.0 - spread), best, best * (1.0 + spread), is_assumed)
