"""What the oxygen page shows: the day as it is and as somebody tries it, and what it asks."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from app.charts import day_course
from app.charts.day_course import DayCourse
from app.charts.describe import ChartWords
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, degrees, degrees_apart, listed, short, with_unit
from app.estimates.model import Input, Origin
from app.estimates.oxygen import MG_PER_L, OxygenNight, likely_lowest, night
from app.estimates.oxygen_inputs import SURFACES, WhatIf
from app.knowledge.model import Knowledge
from app.science.oxygen_day import OxygenCourse
from app.services.ahead.oxygen_sums import sums_of
from app.services.workings.model import Ask, Choose, Given, Sum, Unit
from app.services.workings.units import CELSIUS, HOURS, kept

_RECORD: Final = "record"
_SURFACE_WORDS: Final = {
    _RECORD: "As it is",
    "oily": "Filter off, a film on it",
    "still": "Still and clean",
    "moving": "The filter keeps it moving",
    "rippled": "Strong ripples",
}
_GRAMS: Final = (kept("g"),)
_AIR: Final = (kept("L/min"),)
_SLIDES: Final = 40.0
"""Steps from end to end of a slider."""


@dataclass(frozen=True, slots=True)
class Effect:
    """One change by itself, and the lowest oxygen that it would make, in words."""

    what: str
    lowest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OxygenAhead:
    """The page's contents. `tried` is None unless somebody tries something.

    `uses` says what the oxygen of the night hangs on; `svg` is "" where nothing is known. With
    `surface_measured` two readings of one night told how fast the surface exchanges.
    """

    as_it_is: OxygenNight
    tried: OxygenNight | None
    svg: str
    words: ChartWords | None
    uses: str
    effects: tuple[Effect, ...]
    sums: tuple[Sum, ...]
    surface_measured: bool

    @property
    def shown(self) -> OxygenNight:
        """What the chart and the sums are of."""
        return self.tried or self.as_it_is


def oxygen_ahead(
    snapshot: TankSnapshot, knowledge: Knowledge, what_if: WhatIf | None = None
) -> OxygenAhead:
    """A day and a night of oxygen; with `what_if` as tried, beside what the record says."""
    as_it_is = night(snapshot, knowledge)
    tried = night(snapshot, knowledge, what_if) if what_if not in {None, WhatIf()} else None
    found = tried or as_it_is
    course = _chart_of(as_it_is, tried, snapshot, knowledge)
    words = day_course.describe(course) if course else None
    inputs = found.estimate.inputs
    return OxygenAhead(
        as_it_is=as_it_is,
        tried=tried,
        svg=day_course.draw(course, "oxygen-day", words) if course and words else "",
        words=words,
        uses=_uses(found),
        effects=_effects(as_it_is, snapshot, knowledge),
        sums=sums_of(found, snapshot, knowledge),
        surface_measured=any(i.name == "velocity" and i.origin is Origin.MEASURED for i in inputs),
    )


def asks_of(snapshot: TankSnapshot, found: OxygenNight) -> tuple[Ask | Choose, ...]:
    """What may be tried; a number left empty stays as it is, and its hint says how that is."""
    unit = _thermometer(snapshot)
    known = {each.name: each for each in found.estimate.inputs}

    def hint(name: str, more: str = "") -> str:
        value = known.get(name)
        if value is None:
            return more
        if value.unit == "°C":
            return f"As it is: {degrees(snapshot.site, value.best)}. {more}".strip()
        amount = with_unit(decimal(value.best, value.decimals), value.unit)
        return f"As it is: {amount}. {more}".strip()

    return (
        Choose(
            name="surface", label="The surface", options=_SURFACE_WORDS, default=_RECORD,
            hint="Most of the oxygen comes in here.",
        ),
        Ask(
            name="air", label="Air from a pump", noun="the air", units=_AIR, low=0, high=20,
            required=False, hint=hint("air", "A small pump gives about 1."),
        ),
        Ask(
            name="warmth", label="Temperature", noun="the temperature", units=(unit,), low=5,
            high=40, required=False, quantity=Quantity.TEMPERATURE, hint=hint("temperature"),
        ),
        Ask(
            name="plants", label="Plants, weighed dry", noun="the dry plants", units=_GRAMS,
            low=0, high=5000, required=False,
            hint=hint("plants", "Fresh ones weigh about ten times as much."),
        ),
        Ask(
            name="grams", label="Food in a day", noun="the food", units=_GRAMS, low=0, high=200,
            required=False, hint=hint("grams"),
        ),
        Ask(
            name="light", label="Hours of light", noun="the hours of light", units=HOURS, low=0,
            high=24, required=False, hint=hint("light_hours"),
        ),
    )  # fmt: skip


def sliders_of(snapshot: TankSnapshot, found: OxygenNight) -> Mapping[str, tuple[str, ...]]:
    """The slider beside each number: lowest, highest, step, where it starts; all as text."""
    known = {each.name: each.best for each in found.estimate.inputs}
    if not known:
        return {}
    unit = _thermometer(snapshot)
    warm = unit.from_kept(known["temperature"])
    ends = {
        "air": (0.0, 4.0, 0.1, known["air"]),
        "warmth": (round(unit.from_kept(18.0)), round(unit.from_kept(32.0)), 0.5, round(warm, 1)),
        "plants": _to_most(known["plants"], 10.0),
        "grams": _to_most(known["grams"], 0.5),
        "light": (0.0, 16.0, 0.5, known["light_hours"]),
    }
    return {name: tuple(f"{each:.4g}" for each in numbers) for name, numbers in ends.items()}


def what_if_of(given: Given) -> WhatIf:
    """What somebody tries, from what was typed."""
    surface = given.choices["surface"]
    return WhatIf(
        surface=surface if surface in SURFACES else None,
        air_l_per_min=given.maybe("air"),
        celsius=given.maybe("warmth"),
        plants_g=given.maybe("plants"),
        grams=given.maybe("grams"),
        light_hours=given.maybe("light"),
    )


def _thermometer(snapshot: TankSnapshot) -> Unit:
    return CELSIUS[1] if snapshot.site.fahrenheit else CELSIUS[0]


def _to_most(value: float, least: float) -> tuple[float, ...]:
    """A slider to four times the present value, and to something where there is none."""
    most = max(4.0 * value, least)
    return 0.0, most, most / _SLIDES, value


def _chart_of(
    as_it_is: OxygenNight, tried: OxygenNight | None, snapshot: TankSnapshot, knowledge: Knowledge
) -> DayCourse | None:
    found = tried or as_it_is
    courses = (found.low, found.best, found.high)
    low, best, high = courses
    if low is None or best is None or high is None or found.day is None:
        return None
    other: OxygenCourse | None = as_it_is.best if tried else None
    return DayCourse(
        tank_name=snapshot.tank.name,
        hours=best.hours,
        low=low.mg_per_l,
        best=best.mg_per_l,
        high=high.mg_per_l,
        light_on_h=found.day.light_on_h,
        light_hours=found.day.light_hours,
        limits=tuple(
            (knowledge.value(key), f"{label} {short(knowledge.value(key))}")
            for key, label in (("oxygen.act", "Act below"), ("oxygen.emergency", "Act now below"))
        ),
        as_it_is=None if other is None else other.mg_per_l,
    )


def _uses(found: OxygenNight) -> str:
    """What takes oxygen in the dark, and what the surface gives, in sentences."""
    day, best = found.day, found.best
    if day is None or best is None or not day.used_in_the_dark:
        return ""
    parts = [f"{name} {decimal(share * 100.0, 0)}{NBSP}%" for name, share in found.uses if share]
    brings = day.exchange_l_per_h * max(day.saturation - best.lowest, 0.0)
    return (
        f"In the dark all of it takes about {_mg(day.used_in_the_dark)} in an hour: "
        f"{listed(parts)}. When oxygen is lowest, the surface and the air bring "
        f"{_mg(brings)} in an hour."
    )


def _mg(value: float) -> str:
    return with_unit(decimal(value, 0), "mg")


def _effects(
    as_it_is: OxygenNight, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[Effect, ...]:
    """What single changes would do to the lowest of the night, likely values."""
    known: Mapping[str, Input] = {each.name: each for each in as_it_is.estimate.inputs}
    if not known:
        return ()
    warmer = knowledge.value("tried.warmer")
    pump = knowledge.value("surface.pump-air")
    water, food, plants = (known[name].best for name in ("temperature", "grams", "plants"))
    tries = {
        "Ripples all over the surface": WhatIf(surface="rippled"),
        f"A small air pump, {short(pump)}{NBSP}L/min more": WhatIf(
            air_l_per_min=known["air"].best + pump
        ),
        "A still surface, as with the filter off": WhatIf(surface="still"),
        f"{degrees_apart(snapshot.site, warmer)} warmer": WhatIf(celsius=water + warmer),
    }
    if food:
        tries["Twice the food"] = WhatIf(grams=2.0 * food)
    if plants:
        tries["Twice the plants"] = WhatIf(plants_g=2.0 * plants)
    lowest = {what: likely_lowest(snapshot, knowledge, each) for what, each in tries.items()}
    return tuple(
        Effect(what, with_unit(decimal(value, 1), MG_PER_L)) for what, value in lowest.items()
    )
