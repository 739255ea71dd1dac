"""The running twin: what the record leads one to expect of the next reading, and whether it came.

Nitrate follows its pace, KH what the filter uses, warmth the set point; everything else this
tank's own history. A reading that lies beyond what was expected, with its own ends, does not fit.
"""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from operator import attrgetter
from statistics import median
from typing import Final

from app.domain.calendar import day_start
from app.domain.forecast import stretched
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import Item, TankSnapshot
from app.estimates import kh
from app.estimates import nitrate_course as courses
from app.estimates.model import Triple
from app.estimates.nitrate import halfway, pace_of, past_events
from app.estimates.nitrate_course import DAY
from app.estimates.temperature import temperature_at
from app.knowledge.model import Knowledge
from app.science.series import SD_PER_MAD

HISTORY: Final = 8
"""Readings of its own that a quantity is expected by."""
_SAME_DAY: Final = timedelta(hours=12)
_LEAST: Final[Mapping[Quantity, str]] = {
    Quantity.TEMPERATURE: "twin.temperature",
    Quantity.PH: "twin.ph",
    Quantity.AMMONIA: "twin.ammonia",
    Quantity.NITRITE: "twin.nitrite",
    Quantity.NITRATE: "twin.nitrate",
    Quantity.KH: "twin.kh",
    Quantity.GH: "twin.gh",
    Quantity.OXYGEN: "twin.oxygen",
}


class Way(StrEnum):
    """What an expectation rests on; the value is said on the page."""

    PACE = "its pace, the meals and the water changes"
    LOSS = "the last test, the meals and the water changes"
    LAST_DAYS = "the thermometer of the last days"
    SET_POINT = "the set point and this tank’s own swing"
    HISTORY = "this tank’s own last readings"


class Fit(StrEnum):
    """How a reading lies to what was expected."""

    FITS = "fits"
    MORE = "more"
    LESS = "less"


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """Between what ends a reading at a moment is expected, in the kept unit of its quantity."""

    quantity: Quantity
    at: datetime
    low: float
    best: float
    high: float
    way: Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A reading beside what the record had led to expect of it.

    `low` and `high` are what the reading itself may be; `high` may be `inf`.
    """

    reading: Reading
    low: float
    high: float
    expected: Expected

    @property
    def fit(self) -> Fit:
        """Fits where the two intervals touch."""
        if self.low > self.expected.high:
            return Fit.MORE
        return Fit.LESS if self.high < self.expected.low else Fit.FITS

    def fits_at(self, value: float) -> bool:
        """Whether another value would have fitted, as when it was typed in another unit."""
        return self.expected.low <= value <= self.expected.high


def quantities() -> tuple[Quantity, ...]:
    """What anything is expected of."""
    return tuple(_LEAST)


def least_of(quantity: Quantity, knowledge: Knowledge) -> float:
    """What a quantity is expected no narrower than, to either side, by its history."""
    return knowledge.value(_LEAST[quantity])


def expected_now(
    quantity: Quantity, snapshot: TankSnapshot, knowledge: Knowledge
) -> Expected | None:
    """What a reading would show now; None where the record says too little.

    Warmth as it is looked ahead to anywhere else, where the last days tell it. No reading is held
    against that: it is as narrow as nine readings in ten.
    """
    if quantity is Quantity.TEMPERATURE:
        ahead = temperature_at(snapshot.as_of, snapshot, knowledge)
        if ahead.known:
            low, high = stretched(ahead.low, ahead.best, ahead.high, snapshot.widening(quantity))
            return Expected(
                quantity=quantity, at=snapshot.as_of, low=low, best=ahead.best, high=high,
                way=Way.LAST_DAYS,
            )  # fmt: skip
    oldest = _at_hand_from(snapshot, knowledge)
    return _expected(quantity, snapshot, snapshot, oldest, knowledge)


def compared(quantity: Quantity, snapshot: TankSnapshot, knowledge: Knowledge) -> Compared | None:
    """The newest reading beside what the record as it stood before had led to expect of it.

    Nitrate is held against the pace of two weeks before, with the meals and changes since: what
    was read in between would explain the rise away. None where the record says too little.
    """
    newest = snapshot.latest(quantity)
    if newest is None:
        return None
    own = replace(snapshot, readings=snapshot.of(quantity))  # of the readings no others tell
    meanwhile = as_it_stood(own, newest.at, before=newest)
    past = meanwhile
    if quantity is Quantity.NITRATE:
        days = knowledge.value("twin.days")
        earlier = as_it_stood(meanwhile, newest.at - DAY * days + _SAME_DAY)
        past = earlier if earlier.of(quantity) else meanwhile
    expected = _expected(quantity, past, meanwhile, _at_hand_from(snapshot, knowledge), knowledge)
    if expected is None:
        return None
    low, high = ends_of(newest, knowledge)
    return Compared(reading=newest, low=low, high=high, expected=expected)


def as_it_stood(
    snapshot: TankSnapshot, moment: datetime, *, before: Reading | None = None
) -> TankSnapshot:
    """The meals, jobs and readings up to a moment, without that of `before` and later ones."""
    readings = _until(moment, snapshot.readings, "at")
    if before is not None:
        readings = tuple(
            r for r in readings if r.quantity is not before.quantity or r.at < before.at
        )
    return replace(
        snapshot,
        as_of=moment,
        feedings=_until(moment, snapshot.feedings, "happened_at"),
        jobs=_until(moment, snapshot.jobs, "happened_at"),
        readings=readings,
    )


def _until(moment: datetime, items: tuple[Item, ...], when: str) -> tuple[Item, ...]:
    """Of items that ascend in time those up to a moment."""
    return items[: bisect_right(items, moment, key=attrgetter(when))]


def ends_of(reading: Reading, knowledge: Knowledge) -> tuple[float, float]:
    """What a reading itself may be: halfway to a card's next colors, and a little beyond."""
    low, high = halfway(reading)
    if reading.quantity is Quantity.TEMPERATURE:
        return low, high
    if reading.quantity is Quantity.PH:
        off = knowledge.value("carbon-dioxide.ph-off")
        return (low - off, high + off) if low == high else (low, high)
    part = knowledge.value("twin.off") / 100.0
    return low * (1.0 - part), high * (1.0 + part)


def _at_hand_from(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime:
    """From where on all meals and changes are at hand; it moves at the tank's midnight only."""
    days = int(knowledge.value("forecast.window-days"))
    return day_start(snapshot.today - timedelta(days=days - 1), snapshot.site.zone)


def _expected(
    quantity: Quantity,
    past: TankSnapshot,
    meanwhile: TankSnapshot,
    oldest: datetime,
    knowledge: Knowledge,
) -> Expected | None:
    """By the model of the quantity, else by its history.

    A model starts at no test before `oldest`: it would lack the meals and changes since.
    """
    way, ends = Way.HISTORY, None
    known = replace(past, readings=tuple(r for r in past.of(quantity) if r.at >= oldest))
    if quantity is Quantity.NITRATE:
        way, ends = Way.PACE, _by_pace(known, meanwhile, knowledge)
    elif quantity is Quantity.KH:
        way, ends = Way.LOSS, _by_loss(known, meanwhile, knowledge)
    elif quantity is Quantity.TEMPERATURE and past.tank.set_point_c is not None:
        way, ends = Way.SET_POINT, _by_history(quantity, past, knowledge, past.tank.set_point_c)
    if ends is None:
        way, ends = Way.HISTORY, _by_history(quantity, past, knowledge)
    if ends is None:
        return None
    low, best, high = ends
    return Expected(quantity=quantity, at=meanwhile.as_of, low=low, best=best, high=high, way=way)


def _by_pace(past: TankSnapshot, meanwhile: TankSnapshot, knowledge: Knowledge) -> Triple | None:
    """Nitrate by the pace of the past, with what was fed and changed since."""
    pace = pace_of(past, knowledge)
    if pace is None or (pace.tests.by_food and _unweighed(meanwhile, pace.since)):
        return None
    events = past_events(pace.tests, meanwhile)
    course = courses.course(pace.since, [meanwhile.as_of], events, pace.tests.tap)
    lower, upper = knowledge.value("twin.low-end") / 100.0, knowledge.value("twin.high-end") / 100.0
    parts = (lower, 0.5, upper)
    ends = pace.weighed.values(course.kept, course.gained, course.known, *parts)[0]
    low, best, high = (max(float(end), 0.0) for end in ends)
    return low, best, high


def _unweighed(snapshot: TankSnapshot, since: datetime) -> bool:
    return any(meal.grams is None and meal.happened_at > since for meal in snapshot.feedings)


def _by_loss(past: TankSnapshot, meanwhile: TankSnapshot, knowledge: Knowledge) -> Triple | None:
    """KH by what the filter uses in a day, from the last test on, with the changes since."""
    ahead = kh.kh_ahead(past, knowledge)
    if not ahead.left.known:
        return None
    last = next(each for each in ahead.left.inputs if each.name == "kh")
    since = last.at or past.as_of
    changed = tuple(c for c in courses.changes(meanwhile, ahead.net_l) if c.at > since)
    if changed and ahead.tap is None:
        return None
    days, rest = divmod((meanwhile.as_of - since) / DAY, 1.0)
    used = (*courses.daily(since, int(days), 1.0), courses.Gain(meanwhile.as_of, rest))
    course = courses.course(since, [meanwhile.as_of], (*used, *changed), ahead.tap or 0.0)
    kept, gone, came = course.kept[0], course.gained[0], course.known[0]
    starts, slow_first = (last.low, last.best, last.high), ahead.used
    low, best, high = (
        max(float(start * kept - use * gone + came), 0.0)
        for start, use in zip(starts, reversed(slow_first), strict=True)
    )
    return low, best, high


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A quantity by its last readings: their median, their spread around it, and what counts.

    `half` is how far a reading may lie to either side: some spreads, and no less than `least` and
    a color of the card.
    """

    readings: int
    middle: float
    swing: float
    least: float
    half: float


def history_of(quantity: Quantity, snapshot: TankSnapshot, knowledge: Knowledge) -> History | None:
    """What the last readings of a quantity tell of the next one; None where they are too few.

    Source:
        Iglewicz and Hoaglin (1993) for the spread by the median distance from the median.
    """
    sound = [r for r in snapshot.of(quantity) if not r.kit_doubtful][-HISTORY:]
    if len(sound) < knowledge.value("twin.least-readings"):
        return None
    values = [r.best for r in sound]
    middle = median(values)
    swing = SD_PER_MAD * median(abs(value - middle) for value in values)
    step = max(float(r.most or r.best) - r.best for r in sound)
    least = max(least_of(quantity, knowledge), step)
    return History(
        readings=len(sound), middle=middle, swing=swing, least=least,
        half=max(knowledge.value("twin.spreads") * swing, least),
    )  # fmt: skip


def _by_history(
    quantity: Quantity, past: TankSnapshot, knowledge: Knowledge, center: float | None = None
) -> Triple | None:
    """Around the median of its last readings, or a set point, as wide as they swing."""
    found = history_of(quantity, past, knowledge)
    half = least_of(quantity, knowledge) if found is None else found.half
    best = found.middle if center is None and found is not None else center
    return None if best is None else (max(best - half, 0.0), best, best + half)
