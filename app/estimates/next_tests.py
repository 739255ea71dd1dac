"""Which test tells most now: by how much a fresh reading would narrow what is known."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, in_sentence, with_unit
from app.estimates.kh import kh_ahead
from app.estimates.model import NOT_MEASURED
from app.estimates.nitrate import pace_of
from app.estimates.nitrate_course import DAY
from app.estimates.nitrate_forecast import expected_at, line_of
from app.estimates.twin import ends_of, expected_now, least_of
from app.knowledge.model import Knowledge
from app.science.ammonia import unionized_range
from app.science.carbonate import CO2_RANGE_DKH, CO2_RANGE_PH, co2_mg_per_l

Ends = tuple[float, float]
"""Low and high."""
Ranges = Mapping[Quantity, Ends]
_OFFERED: Final = (
    Quantity.AMMONIA, Quantity.PH, Quantity.TEMPERATURE, Quantity.NITRATE, Quantity.NITRITE,
    Quantity.KH, Quantity.GH,
)  # fmt: skip
_HARMFUL: Final = (Quantity.AMMONIA, Quantity.PH, Quantity.TEMPERATURE)
_GAS: Final = (Quantity.KH, Quantity.PH, Quantity.TEMPERATURE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrowing:
    """What a fresh test of `quantity` would do to one number that nobody can measure.

    `decides`: a line lies inside what is known now, so that the answer hangs on it.
    """

    quantity: Quantity
    what: str
    unit: str
    decimals: int
    before: Ends
    after: Ends
    decides: bool = False

    @property
    def share(self) -> float:
        """What part of the width would go, 0 to 1."""
        width = self.before[1] - self.before[0]
        return 0.0 if width <= 0.0 else max(1.0 - (self.after[1] - self.after[0]) / width, 0.0)

    @property
    def shows(self) -> bool:
        """Whether it would be seen in the digits that the number deserves."""
        return self.said(self.before) != self.said(self.after)

    def said(self, ends: Ends) -> str:
        """Two ends in words."""
        return " to ".join(decimal(end, self.decimals) for end in ends)


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTest:
    """One test, and what it would narrow, the most first; `stale`: the last no longer counts."""

    quantity: Quantity
    narrows: tuple[Narrowing, ...]
    stale: bool = False


def next_tests(
    snapshot: TankSnapshot, knowledge: Knowledge, stale: Iterable[Quantity] = ()
) -> tuple[NextTest, ...]:
    """All tests that would tell something, the best one first.

    First what would settle a question of harm, then what is too old to count, then what narrows
    most. A fresh reading is taken to come out as expected, with the step of the kit used last.

    Args:
        snapshot: The tank.
        knowledge: Its numbers.
        stale: Quantities of which the last test no longer counts.
    """
    old = frozenset(stale)
    least = knowledge.value("twin.least-gain") / 100.0
    found = [
        NextTest(
            quantity=quantity,
            narrows=tuple(
                sorted(
                    (
                        n
                        for n in narrowings(quantity, snapshot, knowledge)
                        if n.share >= least and n.shows
                    ),
                    key=lambda n: (not n.decides, -n.share),
                )
            ),
            stale=quantity in old,
        )
        for quantity in _OFFERED
    ]
    told = [each for each in found if each.narrows or each.stale]
    return tuple(sorted(told, key=_place))


def sentence(tests: tuple[NextTest, ...]) -> str:
    """The best one in a sentence."""
    if not tests:
        return "No test would tell much more just now."
    best = tests[0]
    name = in_sentence(FACTS[best.quantity].label)
    if not best.narrows:
        return f"Test {name} first: no test of it counts any more."
    narrowed = narrowing_words(best.narrows[0])
    return f"Test {name} first: it would narrow {narrowed} ({NOT_MEASURED})."


def narrowing_words(narrowing: Narrowing) -> str:
    """One narrowing in words, with its ends before and after."""
    before, after = (narrowing.said(ends) for ends in (narrowing.before, narrowing.after))
    return f"{narrowing.what} from {before} down to {with_unit(after, narrowing.unit)}"


def narrowings(
    quantity: Quantity, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[Narrowing, ...]:
    """What a fresh reading of one quantity would narrow, whatever it is worth."""
    known = ranges_now(snapshot, knowledge)
    fresh = dict(known)
    if quantity in known:
        fresh[quantity] = freshened(quantity, known[quantity], snapshot, knowledge)
    found = [
        of_harmful_part(quantity, known, fresh, knowledge),
        _of_gas(quantity, known, fresh),
        _of_nitrate(quantity, known, fresh, snapshot, knowledge),
        _of_kh(quantity, fresh, snapshot, knowledge),
    ]
    return tuple(each for each in found if each is not None)


def ranges_now(snapshot: TankSnapshot, knowledge: Knowledge) -> dict[Quantity, Ends]:
    """Between what ends each quantity lies now, as far as the record tells.

    A reading of these hours is taken as it is; an older one as what is expected now, or where
    nothing is expected yet, with the swing that is usual. What a card cannot bound is left out.
    """
    found: dict[Quantity, Ends] = {}
    for quantity in _OFFERED:
        newest = snapshot.latest(quantity)
        expected = expected_now(quantity, snapshot, knowledge)
        if newest is not None and snapshot.age_of(newest.at) < DAY / 2:
            found[quantity] = ends_of(newest, knowledge)
        elif expected is not None:
            found[quantity] = (expected.low, expected.high)
        elif newest is not None:
            low, high = ends_of(newest, knowledge)
            swing = least_of(quantity, knowledge)
            found[quantity] = (max(low - swing, 0.0), high + swing)
        elif quantity is Quantity.PH:
            keys = ("ph.general-low", "ph.general-high")
            found[quantity] = (knowledge.value(keys[0]), knowledge.value(keys[1]))
    return {quantity: ends for quantity, ends in found.items() if math.isfinite(ends[1])}


def freshened(quantity: Quantity, now: Ends, snapshot: TankSnapshot, knowledge: Knowledge) -> Ends:
    """The range after a fresh reading in the middle of what is known, with the kit used last."""
    half = _half_step(quantity, snapshot, knowledge)
    middle = (now[0] + now[1]) / 2.0
    return max(now[0], middle - half), min(now[1], middle + half)


def of_harmful_part(
    quantity: Quantity, known: Ranges, fresh: Ranges, knowledge: Knowledge
) -> Narrowing | None:
    """The harmful part of ammonia, from total ammonia, pH and warmth.

    Source:
        Emerson et al. 1975, by `science.ammonia`.
    """
    if quantity not in _HARMFUL or not _all(known, _HARMFUL):
        return None
    before, after = (_harmful(each) for each in (known, fresh))
    lines = (knowledge.value("ammonia.free-watch"), knowledge.value("ammonia.free-act"))
    return Narrowing(
        quantity=quantity, what="the harmful ammonia", unit="mg/L (as N)", decimals=3,
        before=before, after=after, decides=any(before[0] < line <= before[1] for line in lines),
    )  # fmt: skip


def _harmful(ranges: Ranges) -> Ends:
    ammonia, ph, warmth = (ranges[q] for q in _HARMFUL)
    low, high = unionized_range(*ammonia, *ph, *warmth)
    return float(low), float(high)


def _of_gas(quantity: Quantity, known: Ranges, fresh: Ranges) -> Narrowing | None:
    """Carbon dioxide from KH and pH; only where the equation holds."""
    if quantity not in _GAS or not _all(known, _GAS):
        return None
    (kh_low, kh_high), (ph_low, ph_high) = known[Quantity.KH], known[Quantity.PH]
    holds = CO2_RANGE_DKH[0] <= kh_low and kh_high <= CO2_RANGE_DKH[1]
    if not holds or ph_low < CO2_RANGE_PH[0] or ph_high > CO2_RANGE_PH[1]:
        return None
    before, after = (_gas(each) for each in (known, fresh))
    return Narrowing(
        quantity=quantity, what="the carbon dioxide", unit="mg/L", decimals=0,
        before=before, after=after,
    )  # fmt: skip


def _gas(ranges: Ranges) -> Ends:
    kh, ph, warmth = (ranges[q] for q in _GAS)
    ends = [float(co2_mg_per_l(k, p, t)) for k in kh for p in ph for t in warmth]
    return min(ends), max(ends)


def _of_nitrate(
    quantity: Quantity, known: Ranges, fresh: Ranges, snapshot: TankSnapshot, knowledge: Knowledge
) -> Narrowing | None:
    """Nitrate two weeks from now without a change."""
    if quantity is not Quantity.NITRATE or quantity not in known:
        return None
    more = _with(snapshot, quantity, fresh[quantity])
    days = knowledge.value("twin.days")
    paces = [pace_of(each, knowledge) for each in (snapshot, more)]
    ends = [
        (ahead.low, ahead.high)
        for pace, seen in zip(paces, (snapshot, more), strict=True)
        if pace is not None
        and (ahead := expected_at(snapshot.as_of + DAY * days, pace, seen, planned=False))
    ]
    if len(ends) < len(paces):
        return None
    before, after = ends
    return Narrowing(
        quantity=quantity, what=f"nitrate in {days:.0f} days", unit="mg/L (as nitrate)",
        decimals=0, before=before, after=after,
        decides=before[0] < line_of(snapshot, knowledge) <= before[1],
    )  # fmt: skip


def _of_kh(
    quantity: Quantity, fresh: Ranges, snapshot: TankSnapshot, knowledge: Knowledge
) -> Narrowing | None:
    """The days that KH lasts without a change."""
    if quantity is not Quantity.KH or quantity not in fresh:
        return None
    left = [
        kh_ahead(each, knowledge).left
        for each in (snapshot, _with(snapshot, quantity, fresh[quantity]))
    ]
    if not all(each.known for each in left):
        return None
    soon = knowledge.value("forecast.days")
    return Narrowing(
        quantity=quantity, what="the days that KH lasts without a change", unit="days",
        decimals=0, before=(left[0].low, left[0].high), after=(left[1].low, left[1].high),
        decides=left[0].low < soon <= left[0].high,
    )  # fmt: skip


def _with(snapshot: TankSnapshot, quantity: Quantity, ends: Ends) -> TankSnapshot:
    """The tank as if a reading in the middle of these ends had just been written."""
    middle, reach = (ends[0] + ends[1]) / 2.0, ends[1] - ends[0]
    newest = snapshot.latest(quantity)
    by_card = newest is not None and newest.least != newest.most
    # the ends of a reading are a card's neighbors, and what counts lies halfway to them
    read = Reading(
        id=0, entry_id=0, quantity=quantity, at=snapshot.as_of, value=middle,
        low=max(middle - reach, 0.0) if by_card else None,
        high=middle + reach if by_card else None,
    )  # fmt: skip
    return replace(snapshot, readings=(*snapshot.readings, read))


def _half_step(quantity: Quantity, snapshot: TankSnapshot, knowledge: Knowledge) -> float:
    """How far a fresh reading would reach to either side, by the last one."""
    newest = snapshot.latest(quantity)
    if newest is None or newest.most is None:
        return least_of(quantity, knowledge)
    low, high = ends_of(newest, knowledge)
    return (high - low) / 2.0


def _all(ranges: Ranges, wanted: Iterable[Quantity]) -> bool:
    return all(quantity in ranges for quantity in wanted)


def _place(each: NextTest) -> tuple[bool, bool, float]:
    best = each.narrows[0] if each.narrows else None
    decides = best is not None and best.decides
    return not decides, not each.stale, -(best.share if best else 0.0)
