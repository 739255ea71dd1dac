"""Nitrate ahead, as facts and sums for a page: nothing here is measured."""

from dataclasses import dataclass
from typing import Final

from app.domain.calendar import local_day
from app.domain.measures import fall_cm
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import (
    NBSP,
    decimal,
    full_day,
    number,
    value_text,
    water_amount,
    with_unit,
)
from app.estimates.nitrate_forecast import NitrateForecast, forecast
from app.knowledge.model import Knowledge
from app.rules.showing import days_text
from app.science.nitrogen import ammonia_n_mg
from app.science.units import no3_from_n
from app.services.ahead.facts import NO_PLAN, Facts, between, nitrogen_sum
from app.services.workings import both_units
from app.services.workings.model import Sum

SOURCES: Final = ("timmons-ebeling-2013",)
_WEEK: Final = 7
_MG: Final = f"{NBSP}mg/L"
_FEED_LESS: Final = "Feed less, or plan fewer animals."


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrateAhead:
    """The estimate with its facts and its working; no sums where nothing is known."""

    forecast: NitrateForecast
    facts: Facts
    sums: tuple[Sum, ...]


def nitrate_ahead(snapshot: TankSnapshot, knowledge: Knowledge) -> NitrateAhead:
    """Look nitrate of one tank ahead."""
    found = forecast(snapshot, knowledge)
    return NitrateAhead(
        forecast=found,
        facts=_facts(found, snapshot, knowledge),
        sums=_sums(found, snapshot),
    )


def _facts(ahead: NitrateForecast, snapshot: TankSnapshot, knowledge: Knowledge) -> Facts:
    line = value_text(Quantity.NITRATE, ahead.target, snapshot.site)
    own = snapshot.tank.own_range(Quantity.NITRATE)
    whose = "the range of this tank" if own is not None and own.high is not None else "our range"
    facts = [("The line", f"{line}, the top of {whose}")]
    if ahead.pace is None:
        return tuple(facts)
    return (
        *facts,
        ("It rises", _rise(ahead)),
        ("Plants and others take", _taken(ahead)),
        ("The next change of the plan", _next_change(ahead, snapshot)),
        ("To hold the line each change must be", _size(ahead, snapshot, knowledge)),
        ("This habit settles at", _settled(ahead)),
    )


def _rise(ahead: NitrateForecast) -> str:
    if ahead.rise[2] <= 0.0:
        return "Not at this pace."
    low, best, high = (each * _WEEK for each in ahead.rise)
    a_day = with_unit(decimal(ahead.rise[1], 2), "mg/L")
    return f"{between((low, best, high), 1, 'mg/L', ' in a week')}. That is {a_day} a day."


def _taken(ahead: NitrateForecast) -> str:
    if ahead.pace is None or ahead.pace.gross is None:
        return "Cannot be told: not every meal has its grams."
    if ahead.taken_up is None:
        return "Cannot be told yet. A few more tests will tell it."
    low, best, high = (_in_fives(each) for each in ahead.taken_up)
    if best < 0:
        more = f"about {-best}{NBSP}% more nitrate shows than the food explains"
        if high > 0:
            return f"Nothing that shows: {more}. They could take up to {high}{NBSP}%."
        return f"Nothing: {more}. Something rots, or more is fed than is written."
    return f"about {best}{NBSP}%, could be {decimal(low, 0)} to {high}{NBSP}%"


def _in_fives(share: float) -> int:
    """Percent to the nearest five: no test tells more."""
    return round(share * 20.0) * 5


def _next_change(ahead: NitrateForecast, snapshot: TankSnapshot) -> str:
    plan = snapshot.tank.plan
    if ahead.planned is None:
        return NO_PLAN
    day = local_day(ahead.planned, snapshot.site.zone)
    when = (
        "It is due, and the forecast counts it as done" if day == snapshot.today else full_day(day)
    )
    return f"{when}: {_amount(plan.water_change_percent / 100.0, ahead, snapshot)}"


def _amount(share: float, ahead: NitrateForecast, snapshot: TankSnapshot) -> str:
    """A share of the water as it is carried: "25 %, 21 L, 8.0 cm of level"."""
    parts = [with_unit(decimal(share * 100.0, 0), "%")]
    if ahead.pace is not None:
        liters = share * ahead.pace.tests.net_l
        parts.append(water_amount(snapshot.site, liters))
        if (fall := fall_cm(snapshot.tank.shape, liters)) is not None:
            cm = with_unit(decimal(fall, 1), "cm")
            parts.append(f"{both_units.length(fall) if snapshot.site.us_gallons else cm} of level")
    return ", ".join(parts)


def _size(ahead: NitrateForecast, snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    days = snapshot.tank.plan.water_change_days
    if ahead.pace is None or days <= 0:
        return NO_PLAN
    tap = ahead.pace.tests.tap
    if tap >= ahead.target:
        return (
            f"The line cannot be reached with this tap water: it has {number(tap, 1)}{_MG} itself. "
            f"{_FEED_LESS}"
        )
    if ahead.share is None:
        return f"All the water every {days_text(days)} would not hold the line. {_FEED_LESS}"
    if ahead.share == 0.0:
        return "For nitrate no change is needed at this pace."
    needed = f"{_amount(ahead.share, ahead, snapshot)}, every {days_text(days)}"
    if ahead.share > knowledge.value("nitrate.most-share") / 100.0:
        return f"{needed}. That is too much each time. {_FEED_LESS}"
    if ahead.share < snapshot.tank.plan.water_change_percent / 100.0:
        return f"{needed}, by the best guess. The plan changes more: keep to it."
    return needed


def _settled(ahead: NitrateForecast) -> str:
    if not ahead.settles:
        return NO_PLAN
    low, best, high = (max(point.before_change, 0.0) for point in ahead.settles)
    after = with_unit(decimal(max(ahead.settles[1].after_change, 0.0), 0), "mg/L")
    by = "the tests" if ahead.pace is not None and ahead.pace.from_tests else "the food alone"
    before = between((low, best, high), 0, "mg/L")
    said = f"{before}, right before a change; {after} after it, by {by}. "
    if high <= ahead.target:
        return f"{said}That is below the line: the plan holds it."
    if best <= ahead.target:
        return f"{said}That is below the line by the best guess; it may be above it."
    return f"{said}That is above the line."


def _sums(ahead: NitrateForecast, snapshot: TankSnapshot) -> tuple[Sum, ...]:
    if ahead.pace is None or ahead.now is None:
        return ()
    rise, now, line = ahead.rise[1], ahead.now.best, ahead.target
    sums = list(_food_sums(ahead))
    if rise > 0.0 and now < line:
        sums.append(
            Sum(
                "Days to the line without a change, at the best guess",
                f"({number(line, 1)} − {decimal(now, 1)}) ÷ {decimal(rise, 2)} =",
                f"{decimal((line - now) / rise, 0)} days",
                "about: the box weighs all paces that fit the tests",
            )
        )
    plan = snapshot.tank.plan
    week = f"{plan.water_change_days} × {decimal(rise, 2)}"
    tap = number(ahead.pace.tests.tap, 1)
    if ahead.share:
        sums.append(
            Sum(
                "Share of the water to change each time",
                f"{week} ÷ ({number(line, 1)} − {tap}) =",
                f"{decimal(ahead.share * 100.0, 0)}{NBSP}%",
            )
        )
    if ahead.settles:
        point = ahead.settles[1]
        share = number(plan.water_change_percent / 100.0, 3)
        sums += [
            Sum(
                "Where this habit settles, right before a change",
                f"{tap} + {week} ÷ {share} =",
                f"{decimal(point.before_change, 1)}{_MG}",
            ),
            Sum(
                "And right after it",
                f"{decimal(point.before_change, 1)} − {week} =",
                f"{decimal(point.after_change, 1)}{_MG}",
            ),
        ]
    return tuple(sums)


def _food_sums(ahead: NitrateForecast) -> tuple[Sum, ...]:
    """From the food of a day to its nitrate, and what tests say of it; () where grams lack."""
    pace = ahead.pace
    grams = next((i.best for i in ahead.crossing.inputs if i.name == "grams"), None)
    if pace is None or pace.gross is None or grams is None:
        return ()
    tests = pace.tests
    nitrogen = ammonia_n_mg(grams, tests.protein)
    sums = [
        nitrogen_sum(grams, tests.protein, nitrogen),
        Sum(
            "As nitrate, in a day, before plants take any",
            f"{decimal(nitrogen, 2)} × {decimal(no3_from_n(1.0), 3)} ÷ {decimal(tests.net_l, 1)} =",
            f"{decimal(pace.gross, 2)}{_MG}",
        ),
    ]
    if ahead.taken_up is not None:
        shown = decimal(ahead.rise[1], 2)
        sums.append(
            Sum(
                f"What plants and others take: {pace.from_tests} tests show {shown} a day",
                f"1 − {shown} ÷ {decimal(pace.gross, 2)} =",
                f"{decimal(ahead.taken_up[1] * 100.0, 0)}{NBSP}%",
            )
        )
    return tuple(sums)
