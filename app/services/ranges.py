"""Our range of each quantity, with where it comes from."""

from app.domain.quantities import Quantity
from app.domain.series import Band
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.ranges import range_shown


def ranges_of(snapshot: TankSnapshot, knowledge: Knowledge) -> dict[Quantity, Band]:
    """The range that holds for each quantity of a tank, where there is one.

    Args:
        snapshot: The tank; its animals move the range of warmth and pH.
        knowledge: All that is known, with the household's own animals.
    """
    animals = living(snapshot, knowledge)
    found = {q: range_shown(snapshot.tank, animals, q, knowledge) for q in Quantity}
    return {q: Band(r.low, r.high, r.label, r.source) for q, r in found.items() if r}
