"""The water that all animals of a tank can share, and where it does not reach."""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from app.domain.quantities import Quantity
from app.domain.wording import number, short, with_unit
from app.knowledge.catalogue import Span
from app.knowledge.model import Knowledge
from app.rules.lodgers import (
    UNITS,
    Clash,
    ClashKind,
    ClashLevel,
    Lodger,
    Surroundings,
    clash,
    span_text,
    together,
)
from app.rules.showing import limit
from app.science.units import FAHRENHEIT_PER_CELSIUS, fahrenheit_from_celsius

FIELDS: Final = {"temp_c": ClashKind.TEMPERATURE, "ph": ClashKind.PH, "gh": ClashKind.GH}
# GH moves no state: soft and hard water are told apart by the comparison of needs
_JUDGED: Final = {Quantity.TEMPERATURE: "temp_c", Quantity.PH: "ph"}
_LABELS: Final = {"temp_c": "", "ph": "pH ", "gh": "GH "}


@dataclass(frozen=True, slots=True)
class SharedRange:
    """What the known ranges have in common; `low` above `high`: nothing.

    `low_by` and `high_by` are the animals that set each end, `unknown` those whose range
    nobody knows.
    """

    low: float
    high: float
    low_by: tuple[str, ...]
    high_by: tuple[str, ...]
    unknown: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether no water suits all of them."""
        return self.low > self.high


@dataclass(frozen=True, slots=True)
class NeedsOverlap:
    """The shared ranges in °C, pH and dGH; None where no animal's range is known."""

    temperature: SharedRange | None
    ph: SharedRange | None
    gh: SharedRange | None


def overlap(animals: Sequence[Lodger]) -> NeedsOverlap:
    """What the needs of a living list have in common, and who sets each end."""
    living = together(animals)
    return NeedsOverlap(*(_shared(living, field) for field in FIELDS))


def needed(animals: Sequence[Lodger], quantity: Quantity) -> SharedRange | None:
    """The range of warmth or pH that all these animals can share, in the kept unit.

    None for other quantities, where the needs share nothing, and where nobody knows them.
    """
    field = _JUDGED.get(quantity)
    shared = _shared(together(animals), field) if field else None
    return None if shared is None or shared.is_empty else shared


def water_clashes(
    living: Sequence[Lodger], tank: Surroundings, knowledge: Knowledge
) -> Iterator[Clash]:
    """Pairs whose ranges share too little, and animals that the tank's own water leaves out."""
    for one, other in itertools.combinations(living, 2):
        for field in FIELDS:
            yield from _pair((one, other), field, knowledge, fahrenheit=tank.fahrenheit)
    for lodger, found in itertools.product(living, tuple(_found(tank, knowledge))):
        yield from _outside(lodger, found, knowledge, fahrenheit=tank.fahrenheit)


def _shared(living: Sequence[Lodger], field: str) -> SharedRange | None:
    known = [(lodger.called, span) for lodger in living if (span := lodger.span(field))]
    if not known:
        return None
    low, high = max(s[0] for _, s in known), min(s[1] for _, s in known)
    return SharedRange(
        low,
        high,
        tuple(name for name, s in known if s[0] == low),
        tuple(name for name, s in known if s[1] == high),
        tuple(lodger.called for lodger in living if lodger.span(field) is None),
    )


def _pair(
    pair: tuple[Lodger, Lodger], field: str, knowledge: Knowledge, *, fahrenheit: bool
) -> Iterator[Clash]:
    first, second = (lodger.span(field) for lodger in pair)
    if first is None or second is None:
        return
    common = max(first[0], second[0]), min(first[1], second[1])
    shared = round(common[1] - common[0], 6)
    level, key, what = _pair_level(field, shared, knowledge)
    if level is None:
        return
    ranges = [span_text(s, UNITS[field], fahrenheit=fahrenheit) for s in (first, second)]
    start = f"{pair[0].called} wants {_LABELS[field]}{ranges[0]}, {pair[1].called} {ranges[1]}: "
    much = _much(abs(shared), field, fahrenheit=fahrenheit)
    if shared < 0:
        end = f"they miss each other by {much}."
    elif shared == 0:
        end = f"they share no more than {span_text(common, UNITS[field], fahrenheit=fahrenheit)}."
    else:
        end = f"they share {much}, {span_text(common, UNITS[field], fahrenheit=fahrenheit)}."
    yield clash(
        FIELDS[field], level, start + end, pair, (field,), limits=(limit(knowledge, key, what),)
    )


def _pair_level(
    field: str, shared: float, knowledge: Knowledge
) -> tuple[ClashLevel | None, str, str]:
    """How much a shared span weighs, with the number that decided and what it is."""
    if field == "ph":
        level = ClashLevel.CAUTION if shared < 0 else None
        apart = -shared > knowledge.value("needs.ph-apart")
        return ClashLevel.CONFLICT if apart else level, "needs.ph-apart", "Apart by more than"
    key = "needs.temperature-overlap" if field == "temp_c" else "needs.gh-overlap"
    level = ClashLevel.CAUTION if shared < knowledge.value(key) else None
    if field == "temp_c" and shared < 0:
        level = ClashLevel.CONFLICT
    return level, key, "They should share at least"


@dataclass(frozen=True, slots=True)
class _Found:
    """What the tank has of a field, from `low` to `high`, and how that is known."""

    field: str
    low: float
    high: float
    said: str


def _found(tank: Surroundings, knowledge: Knowledge) -> Iterator[_Found]:
    if tank.set_point_c is not None:
        yield _Found("temp_c", tank.set_point_c, tank.set_point_c, "the heater is set to")
    if tank.temperature_c is not None:
        days = short(knowledge.value("needs.recent-days"))
        yield _Found("temp_c", *tank.temperature_c, f"the last {days} days had")
    if tank.ph is not None:
        yield _Found("ph", tank.ph, tank.ph, "the last test read pH")
    if tank.gh is not None:
        yield _Found("gh", tank.gh, tank.gh, "the last test read GH")


def _outside(
    lodger: Lodger, found: _Found, knowledge: Knowledge, *, fahrenheit: bool
) -> Iterator[Clash]:
    field = found.field
    wanted = lodger.span(field)
    if wanted is None:
        return
    below, above = round(wanted[0] - found.low, 6), round(found.high - wanted[1], 6)
    if field == "gh" and wanted[0] < knowledge.value("needs.hard-water"):
        below = 0.0
    much = max(below, above)
    if much <= 0:
        return
    level, key, what = _outside_level(field, much, knowledge)
    text = (
        f"{lodger.called} wants {_LABELS[field]}"
        f"{span_text(wanted, UNITS[field], fahrenheit=fahrenheit)}; "
        f"{found.said} {_read((found.low, found.high), field, fahrenheit=fahrenheit)}, "
        f"{_much(much, field, fahrenheit=fahrenheit)} "
        f"{'too little' if below >= above else 'too much'}."
    )
    limits = (limit(knowledge, key, what),)
    yield clash(FIELDS[field], level, text, (lodger,), (field,), limits=limits)


def _outside_level(field: str, much: float, knowledge: Knowledge) -> tuple[ClashLevel, str, str]:
    if field == "gh":
        return ClashLevel.CAUTION, "needs.hard-water", "Hard water is wanted from a lower end of"
    is_temperature = field == "temp_c"
    key = "temperature.act-outside" if is_temperature else "needs.ph-apart"
    edge = knowledge.value(key)
    is_far = much >= edge if is_temperature else much > edge
    what = "A conflict from" if is_temperature else "A conflict above"
    return ClashLevel.CONFLICT if is_far else ClashLevel.CAUTION, key, what


def _much(value: float, field: str, *, fahrenheit: bool) -> str:
    """A difference in the unit of the field: "3 °C", "0.5"."""
    if field == "temp_c" and fahrenheit:
        return with_unit(number(value * FAHRENHEIT_PER_CELSIUS, 1), "°F")
    return with_unit(number(value, 1 if field != "ph" else 2), UNITS[field])


def _read(found: Span, field: str, *, fahrenheit: bool) -> str:
    """What was read, with a decimal where it has one."""
    ends = found
    unit = UNITS[field]
    if field == "temp_c" and fahrenheit:
        ends, unit = (fahrenheit_from_celsius(found[0]), fahrenheit_from_celsius(found[1])), "°F"
    return with_unit(" to ".join(dict.fromkeys(number(v, 1) for v in ends)), unit)
