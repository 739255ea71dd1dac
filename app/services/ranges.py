"""Our range of each quantity: the tank's own, else the general band, with where it comes from."""

from app.domain.quantities import Quantity
from app.domain.series import Band
from app.domain.tank import Tank
from app.knowledge.load import load
from app.rules.ranges import range_shown


def ranges_of(tank: Tank) -> dict[Quantity, Band]:
    """The range that holds for each quantity of a tank, where there is one."""
    found = {q: range_shown(tank, q, load()) for q in Quantity}
    return {q: Band(r.low, r.high, r.label, r.source) for q, r in found.items() if r}
