"""The animals of a tank as the comparison of needs takes them."""

from collections.abc import Sequence

from app.domain.livestock import StockGroup
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.rules.lodgers import Lodger


def lodgers_of(groups: Sequence[StockGroup], knowledge: Knowledge) -> tuple[Lodger, ...]:
    """The groups that hold animals, each with its species where somebody said which it is."""
    return tuple(_lodger(g, knowledge) for g in groups if g.count > 0)


def _lodger(group: StockGroup, knowledge: Knowledge) -> Lodger:
    """A grown length that is the list's own stays the list's, with its source."""
    species = knowledge.species.get(group.species)
    as_listed = species is not None and group.adult_cm == species.adult_tl_cm
    return Lodger(group.name, group.count, species, None if as_listed else group.adult_cm)


def living(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Lodger, ...]:
    """The animals of a snapshot."""
    return lodgers_of(snapshot.groups, knowledge)
