"""Where nitrate is going: its pace from this tank's own tests, and what follows from it."""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from app.domain.measures import net_volume
from app.domain.quantities import Quantity
from app.domain.records import Feeding, Reading
from app.domain.snapshot import TankSnapshot
from app.estimates import nitrate_course as courses
from app.estimates.food import grams_a_day, protein_of
from app.estimates.missing import A_NITRATE_TEST, MEASURES
from app.estimates.model import Input, Origin, Triple, exact
from app.estimates.nitrate_course import DAY, Change, Course, Gain
from app.knowledge.model import Knowledge
from app.science.interval_fit import Weighed, weigh

_STARTS: Final = 61
_PACES: Final = 81
_WIDTHS: Final = 4.0
_LEAST_GROSS: Final = 0.01
"""mg/L a day: less food than this explains nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tests:
    """The nitrate tests that count, and the meals between them.

    `by_food`: every meal between them has its grams, so that a pace is a part of what the food
    explains; else it is mg/L a day. `food_off`: how far, as a part, all of it may be off alike.
    """

    readings: tuple[Reading, ...]
    meals: tuple[Feeding, ...]
    by_food: bool
    net_l: float
    protein: float
    tap: float
    food_off: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How fast nitrate rises, from this tank's tests or from the published range.

    `weighed` holds pairs of the value at `since` and the pace; `ends` are the parts of their weight
    below low, best and high. `gross` is what the food of a day
    explains in mg/L, None where meals have no grams. `from_tests` counts the tests it rests on;
    0: the published range.
    """

    weighed: Weighed
    ends: Triple
    since: datetime
    tests: Tests
    gross: float | None
    from_tests: int

    @property
    def per_day(self) -> float:
        """mg/L a day for a pace of 1."""
        return 1.0 if self.gross is None else self.gross

    def rise(self) -> Triple:
        """Rise of nitrate in mg/L a day: low, best, high."""
        low, best, high = self.weighed.pace(*self.ends)
        return low * self.per_day, best * self.per_day, high * self.per_day

    def taken_up(self) -> Triple | None:
        """Share that plants and others take of what the food makes; None without grams.

        Negative where more appears than the food explains. What a scoop really holds widens it;
        it does not widen the pace, as the tests saw the same scoop.
        """
        if self.gross is None or not self.from_tests:
            return None
        low, best, high = self.weighed.pace(*self.ends)
        off = self.tests.food_off * best
        more, less = math.hypot(high - best, off), math.hypot(best - low, off)
        return 1.0 - best - more, 1.0 - best, 1.0 - best + less


def ends_of_cover(knowledge: Knowledge) -> Triple:
    """Parts of the weight below low, best and high, so that a range holds what it is meant to."""
    outside = (1.0 - knowledge.value("ledger.cover") / 100.0) / 2.0
    return outside, 0.5, 1.0 - outside


def missing_of(snapshot: TankSnapshot) -> tuple[str, ...]:
    """What must be written before nitrate can be looked ahead at all."""
    missing = [] if net_volume(snapshot.tank.shape) is not None else [MEASURES]
    if not snapshot.of(Quantity.NITRATE):
        missing.append(A_NITRATE_TEST)
    return tuple(missing)


def pace_of(snapshot: TankSnapshot, knowledge: Knowledge) -> Pace | None:
    """The pace of nitrate, or None where `missing_of` names something or the tests are too old.

    With too few tests the pace is the published range of what food becomes, around the last
    test. Where the earlier tests do not lead to the last one, only the last one counts, as what
    was measured: with that range, or with every pace that tanks have if the food is not known.
    """
    tests = _tests(snapshot, knowledge)
    if tests is None:
        return None
    grams = grams_a_day(snapshot, knowledge) if tests.by_food else None
    gross = None if grams is None else courses.rise_of(grams, tests.net_l, tests.protein)
    used, events = tests.readings, past_events(tests, snapshot)
    ends = ends_of_cover(knowledge)
    if len(used) >= knowledge.value("forecast.least-tests"):
        through = courses.course(used[0].at, [r.at for r in used], events, tests.tap)
        weighed = _weighed(used, through, gross, knowledge)
        if _leads_to(used[-1], through, weighed, knowledge):
            return Pace(
                weighed=weighed, ends=ends, since=used[0].at, tests=tests, gross=gross,
                from_tests=len(used),
            )  # fmt: skip
    elif gross is None:
        return None
    newest = used[-1]
    there = courses.course(newest.at, [newest.at], (), tests.tap)
    weighed = _weighed((newest,), there, gross, knowledge)
    return Pace(weighed=weighed, ends=ends, since=newest.at, tests=tests, gross=gross, from_tests=0)


def _leads_to(newest: Reading, through: Course, weighed: Weighed, knowledge: Knowledge) -> bool:
    """Whether the course through all tests comes as near to the newest one as a test is sure."""
    there = through.kept[-1:], through.gained[-1:], through.known[-1:]
    least, _, most = ends_of_cover(knowledge)
    ends = weighed.values(*there, least, most)
    low, high = halfway(newest)
    off = max(_off(newest, knowledge) * newest.best, knowledge.value("forecast.off-least"))
    return bool(low - off <= ends[0, 1] and ends[0, 0] <= high + off)


def inputs_of(snapshot: TankSnapshot, knowledge: Knowledge, pace: Pace) -> tuple[Input, ...]:
    """What the look ahead rests on, for the page."""
    tests, last = pace.tests, pace.tests.readings[-1]
    low, best, high = pace.rise()
    tap_known = snapshot.site.tap_value(Quantity.NITRATE) is not None
    found = [
        Input(
            name="nitrate",
            title="The last nitrate test",
            low=last.least,
            best=last.best,
            high=last.best if last.most is None else last.most,
            unit="mg/L",
            decimals=0,
            origin=Origin.MEASURED,
            at=last.at,
        ),
        Input(
            name="rise",
            title="Rise in a day",
            low=low,
            best=best,
            high=high,
            unit="mg/L",
            decimals=2,
            origin=Origin.MEASURED if pace.from_tests else Origin.ASSUMED,
            note=_rests_on(pace),
        ),
        exact("volume", "Water in the tank", tests.net_l, "L", origin=Origin.WRITTEN, decimals=1),
        exact(
            "tap",
            "Nitrate of the tap water",
            tests.tap,
            "mg/L",
            origin=Origin.WRITTEN if tap_known else Origin.ASSUMED,
            decimals=0,
        ),
    ]
    grams = grams_a_day(snapshot, knowledge)
    if pace.gross is not None and grams is not None:
        found += [
            exact("grams", "Food in a day", grams, "g", origin=Origin.WRITTEN, decimals=2),
            protein_of(snapshot, knowledge),
        ]
    return tuple(found)


def _rests_on(pace: Pace) -> str:
    if pace.from_tests:
        return f"From {pace.from_tests} tests."
    if pace.gross is None:
        return "As in any tank: the tests do not fit together."
    return "From the food alone: too few tests, or they do not fit together."


def past_events(tests: Tests, snapshot: TankSnapshot) -> tuple[Gain | Change, ...]:
    """What brought and took nitrate up to now."""
    if tests.by_food:
        brought = courses.gains(snapshot.feedings, tests.net_l, tests.protein)
    else:
        first = tests.readings[0].at
        days, rest = divmod((snapshot.as_of - first) / DAY, 1.0)
        brought = (*courses.daily(first, int(days), 1.0), Gain(snapshot.as_of, rest))
    return (*brought, *courses.changes(snapshot, tests.net_l))


def _tests(snapshot: TankSnapshot, knowledge: Knowledge) -> Tests | None:
    water = net_volume(snapshot.tank.shape)
    oldest = snapshot.as_of - timedelta(days=knowledge.value("forecast.window-days"))
    readings = tuple(
        r for r in snapshot.of(Quantity.NITRATE) if r.at >= oldest and not r.kit_doubtful
    )
    if water is None or not readings:
        return None
    meals = tuple(f for f in snapshot.feedings if f.happened_at >= readings[0].at)
    return Tests(
        readings=readings,
        meals=meals,
        by_food=bool(snapshot.feedings) and all(meal.grams is not None for meal in meals),
        net_l=water.net_l,
        protein=protein_of(snapshot, knowledge).best / 100.0,
        tap=snapshot.site.tap_value(Quantity.NITRATE) or 0.0,
        food_off=knowledge.value("forecast.food-off") / 100.0,
    )


def _weighed(
    used: tuple[Reading, ...], through: Course, gross: float | None, knowledge: Knowledge
) -> Weighed:
    """Weigh starts and paces by the tests; one test alone leaves the pace as it was before."""
    ends = [halfway(r) for r in used]
    lows, highs = (np.array(side) for side in zip(*ends, strict=True))
    paces, before = _paces(gross, knowledge)
    newest = used[-1].at
    old = timedelta(days=knowledge.value("forecast.old-days"))
    return weigh(
        lows, highs, kept=through.kept, gained=through.gained, known=through.known,
        starts=np.linspace(max(lows[0] * 0.7 - 2.0, 0.0), _reach(used[0]) * 1.3 + 2.0, _STARTS),
        paces=paces, pace_weights=before,
        off_part=np.array([_off(r, knowledge) * (1.0 + (newest - r.at) / old) for r in used]),
        off_least=knowledge.value("forecast.off-least"),
    )  # fmt: skip


def _paces(gross: float | None, knowledge: Knowledge) -> tuple[np.ndarray, np.ndarray | None]:
    """The paces to try, and how likely each is before any test.

    By food it is a part of what the food explains, and besides that a little each day whatever
    was fed: what rots, what sand and plants take of the old.
    """
    if gross is None:
        most = knowledge.value("forecast.pace-most")
        return np.linspace(-most / 4.0, most, _PACES), None
    usual, spread = knowledge.value("forecast.kept"), knowledge.value("forecast.kept-spread")
    wide = math.hypot(spread, knowledge.value("forecast.else") / max(gross, _LEAST_GROSS))
    paces = np.linspace(usual - _WIDTHS * wide, usual + _WIDTHS * wide, _PACES)
    return paces, np.exp(-0.5 * ((paces - usual) / wide) ** 2)


def _off(reading: Reading, knowledge: Knowledge) -> float:
    """How far a reading is off besides its range, as a part of it."""
    key = "forecast.off-meter" if reading.least == reading.most else "forecast.off-part"
    return knowledge.value(key) / 100.0


def halfway(reading: Reading) -> tuple[float, float]:
    """The ends of a reading for weighing: the color that looks nearest ends halfway to the next.

    The neighbors stay possible by how far readings are off. A meter's two ends are one.
    """
    low, high = reading.least, math.inf if reading.most is None else reading.most
    if reading.value is None or low == high:
        return low, high
    middle = reading.value
    return (low + middle) / 2.0, math.inf if math.isinf(high) else (middle + high) / 2.0


def _reach(reading: Reading) -> float:
    """How high a start is looked for."""
    return reading.best * 2.0 if reading.most is None else reading.most
