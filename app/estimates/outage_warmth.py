"""When the heater stops, or does not stop: hours until the water is too cold or too warm."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import degrees
from app.estimates.cooling import constant_h, room_now
from app.estimates.missing import MEASURES
from app.estimates.model import Estimate, Input, Origin, Spread, exact, spread, title_of
from app.estimates.outage import Reaching, Situation, reaching
from app.estimates.oxygen_inputs import temperature_now
from app.estimates.warmth import Loss, heater_power, loss_of
from app.knowledge.model import Knowledge
from app.science.heat import held_c, hours_to_reach

HEATER_WATTS: Final = "the watts of the heater"

Hours = Callable[[Mapping[str, float], float], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heating:
    """A heater that does not stop: hours until too warm, and where it would end, in °C."""

    reaching: Reaching
    held: Spread | None = None


def too_cold(
    snapshot: TankSnapshot, knowledge: Knowledge, given: Situation, lines_c: Sequence[float]
) -> Reaching:
    """Hours until the water has cooled to each line, the warmest first, with nothing heating it.

    Source:
        Newton's law of cooling; the loss from two readings of an outage where the record holds
        them, else from the tank's measures.
    """
    known = _known(snapshot, knowledge, given)
    if known is None:
        return Reaching(missing=(MEASURES,))

    def hours(values: Mapping[str, float], line_c: float) -> float:
        constant = constant_h(values["loss"], snapshot)
        return hours_to_reach(values["temperature"], line_c, values["room"], constant)

    return known.reaching(hours, lines_c)


def too_warm(
    snapshot: TankSnapshot, knowledge: Knowledge, given: Situation, lines_c: Sequence[float]
) -> Heating:
    """Hours until a heater that does not stop has warmed the water to each line.

    Source:
        Newton's law of cooling, toward the warmth at which the heater's power and the loss are
        equal.
    """
    known, watts = _known(snapshot, knowledge, given), heater_power(snapshot)
    unknown = {MEASURES: known is None, HEATER_WATTS: watts is None}
    if known is None or watts is None:
        return Heating(reaching=Reaching(missing=tuple(w for w, is_so in unknown.items() if is_so)))
    power = exact("watts", "The heater", watts, "W", origin=Origin.WRITTEN, decimals=0)

    def held(values: Mapping[str, float]) -> float:
        return held_c(watts, values["loss"], values["room"])

    def hours(values: Mapping[str, float], line_c: float) -> float:
        water, end = values["temperature"], held(values)
        if end <= water:  # the room is colder than this heater can make up for
            return 0.0 if water >= line_c else math.inf
        return hours_to_reach(water, line_c, end, constant_h(values["loss"], snapshot))

    return Heating(
        reaching=known.reaching(hours, lines_c, power),
        held=spread(held, known.inputs),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """Water, room and loss of a tank, and how the loss is known."""

    inputs: tuple[Input, ...]
    loss: Loss
    snapshot: TankSnapshot
    knowledge: Knowledge

    def reaching(self, hours: Hours, lines_c: Sequence[float], *more: Input) -> Reaching:
        """Hours to each line, with `more` to show among the inputs."""
        most = self.knowledge.value("outage.most-hours")

        def spread_to(line_c: float) -> Spread:
            return spread(lambda values: min(hours(values, line_c), most), self.inputs)

        spreads = [spread_to(line) for line in lines_c]
        behind = tuple(each for each in self.loss.inputs if each not in self.inputs)
        return Reaching(
            lines=tuple(
                self._estimate(line, found, most)
                for line, found in zip(lines_c, spreads, strict=True)
            ),
            inputs=(*self.inputs, *more, *behind),
            narrows_most=title_of(spreads[0].narrows_most, self.inputs),
        )

    def _estimate(self, line_c: float, found: Spread, most: float) -> Estimate:
        what = degrees(self.snapshot.site, line_c)
        return reaching(what, max(found.low, 0.0), found.best, found.high, most)


def _known(snapshot: TankSnapshot, knowledge: Knowledge, given: Situation) -> _Known | None:
    """What tells how the tank changes its warmth; None where nothing does."""
    water = temperature_now(snapshot, knowledge, given.water_c)
    room = room_now(snapshot, knowledge, given.room_c)
    loss = loss_of(
        snapshot, knowledge, water_c=water.best, room_c=room.best, room_then=given.room_c
    )
    if loss is None:
        return None
    return _Known(
        inputs=(water, room, loss.per_c), loss=loss, snapshot=snapshot, knowledge=knowledge
    )
