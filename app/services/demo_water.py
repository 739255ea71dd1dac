"""The water of an invented tank, day by day: what its tests will show. Invented, not science."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from app.domain.guard import DARKER, LIGHTER, NewReading, card_reading
from app.domain.kit import Kit
from app.domain.quantities import FACTS, Quantity


@dataclass(frozen=True, slots=True)
class DemoKit:
    """A kit with the days ago on which its use began and ended (-1: still in use)."""

    key: str
    kit: Kit
    first: int
    last: int

    def is_used(self, ago: int) -> bool:
        """Whether it was the one in use so many days ago."""
        return self.last < ago <= self.first


def nitrate_by_day(tank: dict[str, Any], tap: float, changes: frozenset[int]) -> dict[int, float]:
    """Nitrate in mg/L as nitrate at the end of each day ago, from food and water changes."""
    water, climb = tank["water"], tank.get("climb")
    level = float(water["nitrate_start"])
    found = {}
    for ago in range(tank["started"], -1, -1):
        climbing = climb is not None and ago <= climb["from"]
        level += climb["nitrate_per_day"] if climb and climbing else water["nitrate_per_day"]
        if ago in changes:
            share = tank["change"]["percent"] / 100
            level = level * (1 - share) + tap * share
        found[ago] = level
    return found


def on_curve(points: Sequence[Sequence[float]], day: int) -> float:
    """The height of a line through (day, value) points; level before and after them."""
    before = points[0]
    for point in points:
        if point[0] >= day:
            width = point[0] - before[0]
            share = (day - before[0]) / width if width else 1.0
            return before[1] + (point[1] - before[1]) * share
        before = point
    return float(before[1])


def by_card(kit: Kit, value: float) -> NewReading:
    """What a careful reader sees on a color card: the nearest color."""
    if kit.steps[0] > 0 and value < kit.steps[0] * 0.6:
        return card_reading(kit, LIGHTER)
    if value > kit.steps[-1] * 1.4:
        return card_reading(kit, DARKER)
    nearest = min(kit.steps, key=lambda step: abs(step - value))
    return card_reading(kit, f"{nearest:g}")


def by_number(quantity: Quantity, typed: str, kit: Kit | None = None) -> NewReading:
    """A value as somebody typed it, in the unit kept inside."""
    facts = FACTS[quantity]
    return NewReading(
        quantity=quantity,
        value=float(typed),
        low=None,
        high=None,
        typed=typed,
        unit=facts.unit,
        basis=facts.basis,
        kit_id=kit.id if kit else None,
    )


class Bench:
    """The shelf with the kits, and how one tank is tested with them."""

    def __init__(self, kits: Sequence[DemoKit], tank: dict[str, Any], chance: Random) -> None:
        self._kits = kits
        self._tank = tank
        self._chance = chance

    def kit(self, quantity: Quantity, ago: int) -> Kit | None:
        """The kit in use so many days ago; for pH the one this tank is tested with."""
        used = [k for k in self._kits if k.kit.quantity is quantity and k.is_used(ago)]
        preferred = [k for k in used if k.key == self._tank["test"]["ph_kit"]]
        return next((k.kit for k in (*preferred, *used)), None)

    def reading(self, quantity: Quantity, ago: int, value: float) -> NewReading:
        """One quantity by the kit of that day, or typed from a meter or drops."""
        kit = self.kit(quantity, ago)
        if kit is not None and kit.steps:
            return by_card(kit, value)
        decimals = 2 if quantity is Quantity.PH else 1
        return by_number(quantity, f"{value:.{decimals}f}", kit)

    def test(self, ago: int, nitrate: float, *, hard: bool) -> tuple[NewReading, ...]:
        """A water test of four quantities, with the two hardnesses now and then."""
        tank, chance = self._tank, self._chance
        day = tank["started"] - ago
        values = {
            Quantity.AMMONIA: on_curve(tank["maturing"]["ammonia"], day),
            Quantity.NITRITE: on_curve(tank["maturing"]["nitrite"], day),
            Quantity.NITRATE: nitrate * chance.uniform(0.94, 1.06),
            Quantity.PH: tank["water"]["ph"] + chance.gauss(0, 0.04),
        }
        if hard:
            for quantity in (Quantity.KH, Quantity.GH):
                values[quantity] = tank["water"][quantity.value] + chance.choice((-0.5, 0.0, 0.5))
        return tuple(self.reading(quantity, ago, value) for quantity, value in values.items())
