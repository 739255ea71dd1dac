"""Warmth: what holds it in the coldest hour, what a cover saves, and what a year costs."""

from dataclasses import dataclass
from typing import Final

from app.domain.measures import net_volume, surface_cm2
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, degrees, listed, with_unit
from app.estimates.cooling import (
    CoolingPair,
    constant_of_pair_h,
    cooling_pair,
    later_reading,
    loss_by_measures,
    lost_w,
)
from app.estimates.evaporation import open_surface_mm
from app.estimates.missing import COLDEST, MEASURES
from app.estimates.model import (
    NOT_MEASURED,
    Estimate,
    Input,
    Origin,
    Spread,
    Triple,
    exact,
    spread,
)
from app.estimates.room import coldest_room
from app.knowledge.model import Knowledge
from app.science.heat import (
    CM2_PER_M2,
    energy_kwh_per_day,
    heater_size_w,
    held_c,
    holding_power_w,
    loss_w_per_c,
)

_WHAT: Final = "Power that holds the warmth in the coldest hour"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What somebody typed instead of what the record says; None: as it says. All in °C.

    `room_then` was the room while the tank cooled; `mean_room` is its mean over a year, `price`
    that of a kilowatt-hour in anybody's money.
    """

    coldest: float | None = None
    room_then: float | None = None
    mean_room: float | None = None
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """What a tank loses to its room in W for each °C, and where that is known from.

    `pair` are the two readings without a heater, with `constant` in hours (low, best, high); None
    and () where the measures have to do. `inputs` is all it rests on.
    """

    per_c: Input
    inputs: tuple[Input, ...]
    pair: CoolingPair | None = None
    constant: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """What a closed cover changes in the coldest hour: watts with and without it, mm and L a day.

    Without a cover so much evaporates; with one nearly nothing.
    """

    open_w: float
    closed_w: float
    mm_a_day: float
    liters_a_day: float

    @property
    def saved_w(self) -> float:
        """Watts that it saves."""
        return self.open_w - self.closed_w


@dataclass(frozen=True, slots=True, kw_only=True)
class Year:
    """A year of heating at a mean room temperature: kWh, and cost where a price was typed."""

    room_c: float
    kwh: Spread
    price: float | None

    @property
    def cost(self) -> Triple | None:
        """Low, best, high in the money of the price."""
        if self.price is None:
            return None
        return self.kwh.low * self.price, self.kwh.best * self.price, self.kwh.high * self.price


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmth:
    """What holds the warmth. All but `holding` and `target` is None where it is not known.

    `heater_w` is what the written heaters give together, `held` the warmest they hold in the
    coldest hour in °C (low, best, high), `size_w` a heater that does it with a margin.
    """

    holding: Estimate
    target: Input
    room: Input | None = None
    loss: Loss | None = None
    heater_w: float | None = None
    held: Triple | None = None
    size_w: float | None = None
    cover: Cover | None = None
    year: Year | None = None


def warmth(snapshot: TankSnapshot, knowledge: Knowledge, tried: Tried | None = None) -> Warmth:
    """What holds the warmth of this tank, as the record stands or as somebody tries it.

    Source:
        Newton's law of cooling where two readings without a heater were written; else the heat
        through the tank's planes, trusted to a quarter.
    """
    tried = tried or Tried()
    target = target_of(snapshot, knowledge)
    room = coldest_room(snapshot, tried.coldest)
    loss = None
    if room is not None:
        loss = loss_of(
            snapshot, knowledge, water_c=target.best, room_c=room.best, room_then=tried.room_then
        )
    if room is None or loss is None:
        return Warmth(holding=_unknown(snapshot, room), target=target, room=room)
    inputs = (target, room, *loss.inputs)
    found = spread(
        lambda v: holding_power_w(v["target"], v["room"], v["loss"]), (target, room, loss.per_c)
    )
    heater_w = heater_power(snapshot)
    margin, step = knowledge.value("heater.margin"), knowledge.value("heater.step")
    return Warmth(
        holding=Estimate(
            what=_WHAT, unit="W", decimals=0, low=max(found.low, 0.0), best=found.best,
            high=found.high, inputs=inputs, missing=_wished(snapshot),
            narrows_most=_narrows(loss),
            sentence=_sentence(found, target, room, snapshot),
        ),
        target=target,
        room=room,
        loss=loss,
        heater_w=heater_w,
        held=None if heater_w is None else held_by(heater_w, loss.per_c, room),
        size_w=heater_size_w(found.best, margin, step),
        cover=_cover(snapshot, knowledge, target.best, room.best),
        year=_year(target, loss, tried, knowledge),
    )  # fmt: skip


def target_of(snapshot: TankSnapshot, knowledge: Knowledge) -> Input:
    """How warm the water is to be: what the heater is set to, else the middle of the range."""
    title = "How warm it is to be"
    if snapshot.tank.set_point_c is not None:
        return exact("target", title, snapshot.tank.set_point_c, "°C", origin=Origin.WRITTEN)
    own = snapshot.tank.own_range(Quantity.TEMPERATURE)
    if own is not None and own.low is not None and own.high is not None:
        middle = (own.low + own.high) / 2.0
        return exact("target", title, middle, "°C", origin=Origin.WRITTEN)
    low, high = (knowledge.value(f"temperature.general-{end}") for end in ("low", "high"))
    return exact("target", title, (low + high) / 2.0, "°C", origin=Origin.ASSUMED)


def heater_power(snapshot: TankSnapshot) -> float | None:
    """What the heaters in use give together in watts; None where one has no watts or none is."""
    heaters = [e for e in snapshot.equipment if e.kind == "heater" and e.retired_on is None]
    watts = [e.watts for e in heaters if e.watts is not None]
    return sum(watts) if watts and len(watts) == len(heaters) else None


def loss_of(
    snapshot: TankSnapshot,
    knowledge: Knowledge,
    *,
    water_c: float,
    room_c: float,
    room_then: float | None = None,
) -> Loss | None:
    """What the tank loses for each °C above its room; None without measures.

    Args:
        snapshot: The record of the tank.
        knowledge: For how far readings and measures are off.
        water_c: The water that is to be held, for the measures.
        room_c: The room it is held in, for the measures.
        room_then: The room while the tank cooled, as typed; None: assumed.
    """
    measured = _loss_by_pair(snapshot, knowledge, room_then)
    if measured is not None:
        return measured
    by_measures = loss_by_measures(snapshot, knowledge, water_c, room_c)
    return None if by_measures is None else Loss(per_c=by_measures, inputs=(by_measures,))


def held_by(heater_w: float, per_c: Input, room: Input) -> Triple:
    """The warmest that a heater holds in a room, °C: low, best, high."""
    found = spread(lambda v: held_c(heater_w, v["loss"], v["room"]), (per_c, room))
    return found.low, found.best, found.high


def _loss_by_pair(
    snapshot: TankSnapshot, knowledge: Knowledge, room_then: float | None
) -> Loss | None:
    """From two readings without a heater; None where they do not tell.

    Each end must lie between the first reading and the room, else the pair says nothing.
    """
    pair, water = cooling_pair(snapshot, knowledge), net_volume(snapshot.tank.shape)
    if pair is None or water is None:
        return None
    then = _room_then(knowledge, room_then)
    later = later_reading(pair, knowledge)
    if not (then.high < later.low and later.high < pair.first.best):
        return None
    found = spread(lambda v: constant_of_pair_h(pair, v["later"], v["room_then"]), (later, then))
    # the longest that both ends together could make it, if the sum of errors reached beyond
    shortest = max(found.low, constant_of_pair_h(pair, later.low, then.high))
    best = loss_w_per_c(water.net_l, found.best)
    per_c = Input(
        name="loss", title="Warmth it loses for each °C above the room",
        low=loss_w_per_c(water.net_l, found.high), best=best,
        high=loss_w_per_c(water.net_l, shortest), unit="W", decimals=1, origin=Origin.MEASURED,
        at=pair.later.at, note="From two readings while nothing heated.",
    )  # fmt: skip
    constant = (shortest, found.best, found.high)
    return Loss(per_c=per_c, inputs=(later, then, per_c), pair=pair, constant=constant)


def _room_then(knowledge: Knowledge, typed_c: float | None) -> Input:
    """The room while the tank cooled, as typed or assumed.

    Its coldest hour does not tell: in too cold a room the tank would seem to keep its warmth
    better than it does.
    """
    title = "The room while it cooled"
    if typed_c is not None:
        return exact("room_then", title, typed_c, "°C", origin=Origin.TYPED)
    best, off = knowledge.value("outage.room"), knowledge.value("outage.room-off")
    return Input(
        name="room_then", title=title, low=best - off, best=best, high=best + off, unit="°C",
        origin=Origin.ASSUMED,
    )  # fmt: skip


def _cover(
    snapshot: TankSnapshot, knowledge: Knowledge, water_c: float, room_c: float
) -> Cover | None:
    surface = surface_cm2(snapshot.tank.shape)
    without, with_one = (
        lost_w(snapshot, knowledge, water_c, room_c, covered=covered) for covered in (False, True)
    )
    if surface is None or without is None or with_one is None:
        return None
    fall = open_surface_mm(knowledge, water_c=water_c, room_c=room_c)
    return Cover(
        open_w=max(without, 0.0),
        closed_w=max(with_one, 0.0),
        mm_a_day=fall,
        liters_a_day=fall * surface / CM2_PER_M2,  # a millimeter of a square meter is a liter
    )


def _year(target: Input, loss: Loss, tried: Tried, knowledge: Knowledge) -> Year | None:
    if tried.mean_room is None:
        return None
    days, mean = knowledge.value("warmth.year-days"), tried.mean_room
    kwh = spread(
        lambda v: days * energy_kwh_per_day(holding_power_w(v["target"], mean, v["loss"])),
        (target, loss.per_c),
    )
    return Year(room_c=mean, kwh=kwh, price=tried.price)


def _unknown(snapshot: TankSnapshot, room: Input | None) -> Estimate:
    measured = net_volume(snapshot.tank.shape) is not None
    missing = [] if measured else [MEASURES]
    if room is None:
        missing.append(COLDEST)
    return Estimate(
        what=_WHAT, unit="W", decimals=0, known=False, missing=tuple(missing),
        sentence=f"It cannot be estimated: nobody wrote {listed(missing)}.",
    )  # fmt: skip


def _wished(snapshot: TankSnapshot) -> tuple[str, ...]:
    """What would help and is not written."""
    wished = {
        "what the heater is set to": snapshot.tank.set_point_c is not None,
        "the heater’s watts": heater_power(snapshot) is not None,
        "how the tank is covered": bool(snapshot.tank.cover),
    }
    return tuple(what for what, known in wished.items() if not known)


def _narrows(loss: Loss) -> str:
    if loss.pair is None:
        return "two temperatures an hour or more apart, while nothing heats"
    if not loss.inputs[1].is_exact:
        return "how warm the room was while it cooled"
    return "two such temperatures that lie further apart"


def _sentence(found: Spread, target: Input, room: Input, snapshot: TankSnapshot) -> str:
    warm, cold = degrees(snapshot.site, target.best), degrees(snapshot.site, room.best)
    if found.best <= 0:
        return f"A room of {cold} alone keeps it at {warm}: {NOT_MEASURED}."
    watts = with_unit(decimal(found.best, 0), "W")
    low, high = decimal(found.low, 0), with_unit(decimal(found.high, 0), "W")
    return (
        f"Holding {warm} in a room of {cold} takes about {watts}; it may be {low} to {high}: "
        f"{NOT_MEASURED}."
    )
