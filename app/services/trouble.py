"""Trouble: what the record says first, and the water change that poisoned water asks for."""

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from app.domain.entry_words import JOB_WORDS, STOCK_WORDS
from app.domain.measures import fall_cm, net_volume
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import (
    decimal,
    degrees,
    degrees_apart,
    in_sentence,
    reading_text,
    value_text,
    water_amount,
    with_unit,
)
from app.knowledge.load import load
from app.rules.ammonia import judge
from app.rules.model import WorkingLine
from app.rules.showing import remark
from app.science.dilution import (
    CannotBeReached,
    after_changes,
    changes_for_target,
    lowest_new_water_c,
)
from app.science.units import liters_from_us_gallons
from app.services.changes import tank_temperature

FIRST_TESTS: Final = (Quantity.AMMONIA, Quantity.NITRITE, Quantity.PH)
_POISONS: Final = (Quantity.AMMONIA, Quantity.NITRITE)


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that changed lately."""

    at: datetime
    what: str


@dataclass(frozen=True, slots=True)
class LastReading:
    """The last reading of a quantity in words; `text` is empty where nobody measured."""

    label: str
    text: str
    at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EmergencyChange:
    """A water change for poisoned water; what is None is told in `untold`.

    `share` is one step, 0 to 1, of the net volume; `steps` how many such changes bring the
    value under the limit, with hours between; `lowest_new_c` cools by `change.cool` at most.
    """

    quantity: Quantity | None = None
    reading: Reading | None = None
    share: float | None = None
    steps: int | None = None
    liters: float | None = None
    level_cm: float | None = None
    buckets: int | None = None
    bucket_l: float | None = None
    lowest_new_c: float | None = None
    working: tuple[WorkingLine, ...] = ()
    untold: tuple[str, ...] = ()


def lately(snapshot: TankSnapshot, *, with_hidden: bool) -> tuple[Happening, ...]:
    """What changed in the last 72 hours, newest first, without names.

    Args:
        snapshot: The tank.
        with_hidden: Also losses that pupils are not told of yet.
    """
    since = snapshot.as_of - timedelta(hours=load().value("trouble.lately-hours"))
    found = [Happening(j.happened_at, JOB_WORDS[j.job]) for j in snapshot.jobs]
    found += [Happening(f.happened_at, "Fed") for f in snapshot.feedings]
    found += [
        Happening(e.happened_at, f"{e.count} {e.group_name or 'animals'} {STOCK_WORDS[e.what]}")
        for e in snapshot.stock_events
        if with_hidden or not e.hidden
    ]
    recent = [h for h in found if h.at >= since]
    return tuple(sorted(recent, key=lambda h: (h.at, h.what), reverse=True))


def last_readings(
    snapshot: TankSnapshot, quantities: tuple[Quantity, ...] = FIRST_TESTS
) -> tuple[LastReading, ...]:
    """The last readings of some quantities, in words with their moments."""
    lines = []
    for quantity in quantities:
        newest = snapshot.latest(quantity)
        text = reading_text(newest, snapshot.site) if newest else ""
        lines.append(LastReading(FACTS[quantity].label, text, newest.at if newest else None))
    return tuple(lines)


def emergency_change(snapshot: TankSnapshot) -> EmergencyChange:
    """The change that the last ammonia and nitrite tests ask for; the one with more steps counts.

    A step is `change.most` of the net volume at most, whatever the tests say.
    """
    high = [q for q in _POISONS if _limit(snapshot, q) is not None]
    if not high:
        return EmergencyChange(untold=_nothing_high(snapshot))
    sized = [_sized(snapshot, q) for q in high]
    return max(sized, key=lambda c: (c.steps is None, c.steps or 0))


def _nothing_high(snapshot: TankSnapshot) -> tuple[str, ...]:
    untold = [
        f"A change for {in_sentence(FACTS[q].label)} cannot be told, because nobody tested it."
        for q in _POISONS
        if snapshot.latest(q) is None
    ]
    tested = [q for q in _POISONS if snapshot.latest(q) is not None]
    for quantity in tested:
        label = in_sentence(FACTS[quantity].label)
        untold.append(f"The last test of {label} asks for no such change.")
    return tuple(untold)


def _limit(snapshot: TankSnapshot, quantity: Quantity) -> float | None:
    """The value to arrive under, in the kept unit, where the last test reaches it; else None."""
    newest, knowledge = snapshot.latest(quantity), load()
    if newest is None:
        return None
    if quantity is Quantity.NITRITE:
        edge = knowledge.value("nitrite.act")
        return edge if newest.best >= edge else None
    free = judge(newest, snapshot, knowledge).best
    edge = knowledge.value("ammonia.free-act")
    return newest.best * edge / free if free >= edge else None


def _sized(snapshot: TankSnapshot, quantity: Quantity) -> EmergencyChange:
    share = load().value("change.most") / 100.0
    steps, working, untold = _steps(snapshot, quantity, share)
    change = EmergencyChange(
        quantity=quantity, reading=snapshot.latest(quantity), share=share, steps=steps
    )
    net = net_volume(snapshot.tank.shape)
    if net is None:
        untold.append("Liters cannot be told, because nobody measured the water depth.")
    else:
        liters = net.net_l * share
        bucket = _bucket_l(snapshot.site)
        change = replace(
            change,
            liters=liters,
            level_cm=fall_cm(snapshot.tank.shape, liters),
            buckets=math.ceil(liters / bucket - 1e-9),
            bucket_l=bucket,
        )
        working += [remark("How much is one step"), _line(net.net_l, share, liters)]
    lowest, lines = _coolest(snapshot, share)
    if lowest is None:
        untold.append(
            "How cool the new water may be cannot be told, because nobody read the "
            "thermometer in the last day."
        )
    return replace(change, lowest_new_c=lowest, working=(*working, *lines), untold=tuple(untold))


def _bucket_l(site: Site) -> float:
    """A bucket that one person carries, in liters: round in the units of the household."""
    if site.us_gallons:
        return liters_from_us_gallons(load().value("bucket.gallons"))
    return load().value("bucket.liters")


def _coolest(snapshot: TankSnapshot, share: float) -> tuple[float | None, list[WorkingLine]]:
    tank_c, site = tank_temperature(snapshot), snapshot.site
    if tank_c is None:
        return None, []
    drop = load().value("change.cool")
    lowest = lowest_new_water_c(tank_c, 1.0 - share, share, drop)
    said = f"{degrees(site, tank_c)} − {degrees_apart(site, drop)} ÷ {decimal(share, 2)} ="
    return lowest, [
        remark("How cool the new water may be"),
        WorkingLine(said, degrees(site, lowest)),
    ]


def _line(net_l: float, share: float, liters: float) -> WorkingLine:
    percent = with_unit(decimal(share * 100.0, 0), "%")
    net, answer = (with_unit(decimal(v, 1), "L") for v in (net_l, liters))
    return WorkingLine(f"{net} × {percent} =", answer)


def _limit_lines(
    snapshot: TankSnapshot, quantity: Quantity, newest: Reading, target: float
) -> list[WorkingLine]:
    site = snapshot.site
    lines = [remark(f"Last test: {reading_text(newest, site)}")]
    if quantity is Quantity.AMMONIA:
        judged = judge(newest, snapshot, load())
        lines.append(remark(f"Its harmful part: {with_unit(decimal(judged.best, 3), 'mg/L')}"))
        if judged.assumed:
            lines.append(remark("pH or warmth is assumed: nobody measured it near that test"))
    lines.append(remark(f"To arrive at: {value_text(quantity, target, site)}"))
    return lines


def _steps(
    snapshot: TankSnapshot, quantity: Quantity, share: float
) -> tuple[int | None, list[WorkingLine], list[str]]:
    """How many steps bring the last reading to its limit, at least 1, with working and gaps."""
    newest, target = snapshot.latest(quantity), _limit(snapshot, quantity)
    if newest is None or target is None:
        return None, [], []
    untold: list[str] = []
    if snapshot.age_of(newest.at) > timedelta(hours=load().value("trouble.test-hours")):
        untold.append("The test is more than a day old. Test again first, if that is quick.")
    working = _limit_lines(snapshot, quantity, newest, target)
    label = in_sentence(FACTS[quantity].label)
    tap, value = snapshot.site.tap_value(quantity), newest.best
    if tap is None:
        untold.append(
            f"How many steps cannot be told, because nobody tested the tap water for {label}."
        )
        return None, working, untold
    try:
        steps = max(1, changes_for_target(value, target, tap, share))
    except CannotBeReached:
        untold.append(
            f"Your tap water holds too much {label}: changes alone do not get there. "
            "Ask a veterinarian or an aquatic health professional."
        )
        return None, working, untold
    left = after_changes(value, tap, share, steps)
    kept = decimal(1.0 - share, 2)
    said = f"{decimal(tap, 2)} + ({decimal(value, 2)} − {decimal(tap, 2)}) × {kept}^{steps} ="
    working += [
        remark("What is left after the steps, if nothing new comes in"),
        WorkingLine(said, value_text(quantity, left, snapshot.site)),
    ]
    return steps, working, untold


def amount_text(change: EmergencyChange, snapshot: TankSnapshot) -> str:
    """One step in words: liters and buckets, or "" where liters cannot be told."""
    if change.liters is None or change.buckets is None or change.bucket_l is None:
        return ""
    bucket = water_amount(snapshot.site, change.bucket_l)
    word = "bucket" if change.buckets == 1 else "buckets"
    return f"{water_amount(snapshot.site, change.liters)}: {change.buckets} {word} of {bucket}"
