"""A reading on its scale: where the scale begins and ends, what it says, how long it keeps."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import timedelta

from app.domain import wording
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Observation, Reading
from app.domain.series import Band
from app.domain.snapshot import TankSnapshot, last
from app.rules.model import Freshness
from app.web.filters import ago

Edge = float | None
_MOST_LABELS = 4
_SLACK = 1e-9
_SHORTEST = 0.01
_FEWEST_FISH = 4
# darker than the last color: how far beyond it the drawn bar goes on
_BEYOND_THE_CARD = 1.25
_HOURS_BELOW = timedelta(days=4)
_COUNT = "count"
_LOOK = "look"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A drawn scale: its ends, our range, what was read, what it could be."""

    low: float
    high: float
    step: float
    labels: tuple[float, ...]
    range: tuple[Edge, Edge] | None
    value: float | None
    maybe: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """One reading as Today shows it. `shelf` is (age, life) in the same unit."""

    name: str
    value: str
    unit: str
    sub: str
    age: str
    gone: bool
    scale: Scale | None
    shelf: tuple[float, float]


def gauges(
    snapshot: TankSnapshot, fresh: Iterable[Freshness], ranges: dict[Quantity, Band]
) -> tuple[tuple[Gauge, ...], tuple[str, ...]]:
    """All readings there are, and the names of what matters and was never measured."""
    found, never = [], []
    counted = last([o for o in snapshot.observations if o.seen is not None])
    for row in fresh:
        reading = None if row.name in {_LOOK, _COUNT} else snapshot.latest(Quantity(row.name))
        if reading is not None:
            found.append(_gauge(snapshot, row, reading, ranges.get(reading.quantity)))
        elif row.name == _COUNT and counted is not None:
            found.append(_fish(snapshot, row, counted, counted.seen or 0))
        elif row.name != _LOOK:
            never.append(row.label)
    return tuple(found), tuple(never)


def _gauge(snapshot: TankSnapshot, row: Freshness, reading: Reading, band: Band | None) -> Gauge:
    quantity = reading.quantity
    facts, shown = FACTS[quantity], _shown_unit(snapshot, quantity)
    in_f = quantity is Quantity.TEMPERATURE and snapshot.site.fahrenheit
    unit = "°F" if in_f else facts.unit
    own = (_through(shown, band.low), _through(shown, band.high)) if band else None
    gone, said, shelf = _keeps(snapshot, row)
    if reading.kit_doubtful:
        said = f"Tested {ago(reading.at, snapshot.as_of)} with a doubtful kit. Test with a new one."
    return Gauge(
        name=facts.label,
        value=_value_words(reading, shown, facts.decimals),
        unit=unit,
        sub=_sub(reading, facts.basis, unit),
        age=said,
        gone=gone,
        scale=_scale(reading, shown, own, from_zero=quantity not in _NOT_FROM_ZERO),
        shelf=shelf,
    )


_NOT_FROM_ZERO = {Quantity.TEMPERATURE, Quantity.PH}


def _fish(snapshot: TankSnapshot, row: Freshness, counted: Observation, fish: int) -> Gauge:
    gone, said, shelf = _keeps(snapshot, row)
    top = max(fish, counted.expected or 0, _FEWEST_FISH)
    return Gauge(
        name="Fish seen",
        value=str(fish),
        unit=f"of {counted.expected}" if counted.expected else "",
        sub=_calm(counted),
        age=said,
        gone=gone,
        scale=_ruled(0.0, top, value=fish, whole=True),
        shelf=shelf,
    )


def _calm(look: Observation) -> str:
    if look.breathing_calm is None:
        return look.hands
    return "breathing calm" if look.breathing_calm else "breathing not calm"


def _shown_unit(snapshot: TankSnapshot, quantity: Quantity) -> Callable[[float], float]:
    if quantity is Quantity.TEMPERATURE and snapshot.site.fahrenheit:
        return FACTS[quantity].unit_named("°F").from_kept
    return float


def _through(shown: Callable[[float], float], value: Edge) -> Edge:
    return None if value is None else shown(value)


def _value_words(reading: Reading, shown: Callable[[float], float], decimals: int) -> str:
    least, most = shown(reading.least), _through(shown, reading.most)
    if reading.lighter_than_first and most is not None:
        return f"under {wording.short(most)}"
    if most is None:
        return f"over {wording.short(least)}"
    if least == most:
        return wording.decimal(least, decimals)
    ends = [wording.short(round(end, decimals)) for end in (least, most)]
    places = max(len(end.partition(".")[2]) for end in ends)
    return f"{wording.decimal(least, places)} – {wording.decimal(most, places)}"


def _sub(reading: Reading, basis: str, unit: str) -> str:
    parts = [basis] if basis else []
    if reading.lighter_than_first:
        parts.insert(0, f"lighter than the first color{_readers(reading)}")
    elif reading.value is None:
        parts.insert(0, f"darker than the last color{_readers(reading)}")
    elif reading.least != reading.most:
        # the card is read in its own unit, which may differ from the one shown
        parts = [_said(reading), reading.basis or basis]
    elif reading.typed and reading.unit and reading.unit != unit:
        parts.insert(0, f"typed {reading.typed} {reading.unit}")
    return ", ".join(part for part in parts if part)


def _said(reading: Reading) -> str:
    tube = reading.tube
    if tube is not None and not tube.is_color:
        return f"measured {reading.readers} times: {reading.typed} {reading.unit}".strip()
    typed = reading.typed if tube is None else tube.middle.typed
    return f"the card said {typed} {reading.unit}".strip() + _readers(reading)


def _readers(reading: Reading) -> str:
    tube = reading.tube
    if tube is None:
        return ""
    lowest, *_, highest = tube.in_order
    seen = "all the same" if tube.agreed else f"{lowest.typed} to {highest.typed}"
    return f" ({seen}, {reading.readers} readers)"


def _keeps(snapshot: TankSnapshot, row: Freshness) -> tuple[bool, str, tuple[float, float]]:
    """Whether it is past its shelf life, that in words, and (age, life) for the strip."""
    if row.taken_at is None or row.keeps_until is None:
        # a doubtful kit freshens nothing: there is a reading, and no shelf life
        return True, "Tested with a doubtful kit. Test with a new one.", (1.0, 0.0)
    age, life = snapshot.age_of(row.taken_at), row.keeps_until - row.taken_at
    verb = "Counted" if row.name == _COUNT else _verb(row.name)
    unit = timedelta(hours=1) if life < _HOURS_BELOW else timedelta(days=1)
    shelf = (age / unit, life / unit)
    began = f"{verb} {ago(row.taken_at, snapshot.as_of)}."
    if not row.is_fresh(snapshot.as_of):
        return True, f"{began} It kept {_rough(life)}. Now: don’t know.", shelf
    left = _rough(row.keeps_until - snapshot.as_of, more=True)
    return False, f"{began} Keeps {left}.", shelf


def _verb(name: str) -> str:
    return "Measured" if name == Quantity.TEMPERATURE.value else "Tested"


def _rough(length: timedelta, *, more: bool = False) -> str:
    """Whole days from two days on, else whole hours: "14 days", "3 more hours"."""
    left = "more " if more else ""
    if length >= timedelta(days=2):
        return wording.count(length.days, f"{left}day", f"{left}days")
    hours = int(length / timedelta(hours=1))
    return wording.count(hours, f"{left}hour", f"{left}hours") if hours else "less than an hour"


def _scale(
    reading: Reading,
    shown: Callable[[float], float],
    own: tuple[Edge, Edge] | None,
    *,
    from_zero: bool,
) -> Scale:
    least, most = shown(reading.least), _through(shown, reading.most)
    edges = [e for e in (own or ()) if e is not None]
    points = [least, *edges, *([most] if most is not None else [least * _BEYOND_THE_CARD])]
    return _ruled(
        0.0 if from_zero else min(points),
        max(points),
        own=own,
        value=None if reading.value is None else shown(reading.value),
        maybe=None if least == most else (least, math.inf if most is None else most),
    )


def _ruled(
    low: float,
    high: float,
    *,
    own: tuple[Edge, Edge] | None = None,
    value: float | None = None,
    maybe: tuple[float, float] | None = None,
    whole: bool = False,
) -> Scale:
    """A scale with whole labels below and above, and never one without length."""
    length = max(high - low, _SHORTEST)
    step = _nice(length / _MOST_LABELS)
    first = math.floor(low / step + _SLACK)
    last = math.ceil((low + length) / step - _SLACK)
    ends = (round(first * step, 6), round(last * step, 6))
    tick = step / (4 if f"{step:e}".startswith("2") else 5)
    return Scale(
        low=ends[0],
        high=ends[1],
        step=max(1.0, tick) if whole else tick,
        labels=tuple(round(n * step, 6) for n in range(first, last + 1)),
        range=own,
        value=value,
        maybe=(maybe[0], min(maybe[1], ends[1])) if maybe else None,
    )


def _nice(step: float) -> float:
    """The next of 1, 2, 5, 10, ... that is at least `step`."""
    power = 10.0 ** math.floor(math.log10(step))
    return next(n * power for n in (1.0, 2.0, 5.0, 10.0) if n * power >= step * (1 - 1e-9))
