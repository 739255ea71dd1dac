"""KH ahead: what the filter uses up, how long what is left lasts, and where changes hold it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from app.domain.calendar import local_day
from app.domain.measures import net_volume
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, full_day, listed
from app.estimates import nitrate_course as courses
from app.estimates.food import grams_a_day, protein_of
from app.estimates.missing import A_KH_TEST, GRAMS_A_DAY, MEASURES, PROTEIN, TAP_KH
from app.estimates.model import (
    NOT_MEASURED,
    Compute,
    Estimate,
    Input,
    Origin,
    Triple,
    exact,
    spread,
)
from app.knowledge.model import Knowledge
from app.science.carbonate import alkalinity_used_by_nitrification_dkh
from app.science.dilution import SettlePoint, settles_at
from app.science.nitrogen import ammonia_n_mg
from app.science.units import n_from_no3

_NARROWS: Final = "a new KH test"
"""What else is uncertain nobody can measure."""
_WHAT: Final = "Days until KH is too low without a water change"


@dataclass(frozen=True, slots=True, kw_only=True)
class KhAhead:
    """How long KH lasts, and where it settles.

    `left` counts days until the line `line` (°dKH) without any change. `used` is what the filter
    uses a day in °dKH: low, best, high. `settles` are the points before and after each planned
    change (low, best, high), empty without a plan or the tap water’s KH; below 0: used up.
    """

    left: Estimate
    line: float
    used: Triple = (0.0, 0.0, 0.0)
    nitrogen_mg: float = 0.0
    net_l: float = 0.0
    tap: float | None = None
    settles: tuple[SettlePoint, ...] = ()

    @property
    def days_each(self) -> float:
        """Days in which 1 °dKH goes, at the best guess."""
        return 1.0 / self.used[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What must be written: the water, the food of a day, and a test that still counts."""

    net_l: float
    grams: float
    protein: Input
    reading: Reading


def kh_ahead(snapshot: TankSnapshot, knowledge: Knowledge) -> KhAhead:
    """Look KH ahead from the food: each part of ammonia that the filter turns takes its share.

    Fish and plants give some back (low end), and what rots takes more (high end).

    Source:
        Stoichiometry of nitrification: two acid charges for each N (`science.carbonate`);
        Timmons and Ebeling 2013 for the nitrogen of food; a balance of mass for changes.
    """
    line = knowledge.value("kh.act")
    missing = missing_of(snapshot, knowledge)
    if missing:
        return KhAhead(left=_unknown(missing), line=line)
    known = _known(snapshot, knowledge)
    inputs = _inputs(known, snapshot, knowledge)
    reach = spread(_days_left(known, line, snapshot), inputs)
    days = (max(reach.low, 0.0), reach.best, reach.high)
    nitrogen = ammonia_n_mg(known.grams, known.protein.best / 100.0)
    best = float(alkalinity_used_by_nitrification_dkh(nitrogen / known.net_l))
    part = next(each for each in inputs if each.name == "part")
    used = (best * part.low / 100.0, best, best * part.high / 100.0)
    tap = snapshot.site.tap_value(Quantity.KH)
    return KhAhead(
        left=Estimate(
            what=_WHAT, unit="days", decimals=0, low=days[0], best=days[1], high=days[2],
            sentence=_sentence(days, line, knowledge, snapshot), inputs=inputs,
            missing=_wished(snapshot), narrows_most=_NARROWS,
        ),
        line=line, used=used, nitrogen_mg=nitrogen, net_l=known.net_l, tap=tap,
        settles=_settles(tap, used, snapshot),
    )  # fmt: skip


def missing_of(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[str, ...]:
    """What must be written before KH can be looked ahead."""
    test = _last_test(snapshot, knowledge)
    changed = test is not None and any(
        change.at > test.at for change in courses.changes(snapshot, 1.0)
    )
    parts = {
        MEASURES: net_volume(snapshot.tank.shape) is not None,
        A_KH_TEST: test is not None,
        GRAMS_A_DAY: bool(grams_a_day(snapshot, knowledge)),
        TAP_KH: not changed or snapshot.site.tap_value(Quantity.KH) is not None,
    }
    return tuple(what for what, there in parts.items() if not there)


def _last_test(snapshot: TankSnapshot, knowledge: Knowledge) -> Reading | None:
    oldest = snapshot.as_of - timedelta(days=knowledge.value("forecast.window-days"))
    tests = [r for r in snapshot.of(Quantity.KH) if r.at >= oldest and not r.kit_doubtful]
    return tests[-1] if tests else None


def _known(snapshot: TankSnapshot, knowledge: Knowledge) -> _Known:
    """All that `missing_of` asks for.

    Raises:
        LookupError: If something is missing.
    """
    water, reading = net_volume(snapshot.tank.shape), _last_test(snapshot, knowledge)
    grams, protein = grams_a_day(snapshot, knowledge), protein_of(snapshot, knowledge)
    if water is None or reading is None or grams is None:
        raise LookupError("the record lacks what `missing_of` names")
    return _Known(net_l=water.net_l, grams=grams, protein=protein, reading=reading)


def _inputs(known: _Known, snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Input, ...]:
    test, tap = known.reading, snapshot.site.tap_value(Quantity.KH)
    # a drop test counts whole drops
    off = knowledge.value("carbon-dioxide.kh-off") if test.least == test.most else 0.0
    most = test.best if test.most is None else test.most
    found = [
        Input(
            name="kh", title="The last KH test", low=max(test.least - off, 0.0), best=test.best,
            high=most + off, unit="°dKH", origin=Origin.MEASURED, at=test.at,
        ),
        Input(
            name="part", title="Part of the filter’s rule that shows", unit="%", decimals=0,
            low=knowledge.value("kh-ahead.used-low"), best=100.0,
            high=knowledge.value("nitrate.rise-high"), origin=Origin.ASSUMED,
            note="Two acid charges for each nitrogen. Fish and plants give some back.",
        ),
        exact("grams", "Food in a day", known.grams, "g", origin=Origin.WRITTEN, decimals=2),
        known.protein,
        exact("volume", "Water in the tank", known.net_l, "L", origin=Origin.WRITTEN),
    ]  # fmt: skip
    if tap is not None:
        found.append(exact("tap", "KH of the tap water", tap, "°dKH", origin=Origin.WRITTEN))
    return tuple(found)


def _days_left(known: _Known, line: float, snapshot: TankSnapshot) -> Compute:
    """From a KH at the test and a part of the filter’s rule to the days until the line."""
    protein = known.protein.best / 100.0
    events: list[courses.Gain | courses.Change] = [
        *courses.gains(snapshot.feedings, known.net_l, protein),
        *courses.changes(snapshot, known.net_l),
    ]
    tap = snapshot.site.tap_value(Quantity.KH) or 0.0
    course = courses.course(known.reading.at, [snapshot.as_of], events, tap)
    a_day = courses.rise_of(known.grams, known.net_l, protein)
    each = float(alkalinity_used_by_nitrification_dkh(n_from_no3(1.0)))

    def days(values: Mapping[str, float]) -> float:
        used = each * values["part"] / 100.0
        now = values["kh"] * course.kept[0] - used * course.gained[0] + course.known[0]
        return max(float(now) - line, 0.0) / (used * a_day)

    return days


def _settles(tap: float | None, used: Triple, snapshot: TankSnapshot) -> tuple[SettlePoint, ...]:
    plan = snapshot.tank.plan
    share, days = plan.water_change_percent / 100.0, plan.water_change_days
    if tap is None or days <= 0 or not 0 < share <= 1:
        return ()
    return tuple(settles_at(tap, -each * days, share) for each in reversed(used))


def _wished(snapshot: TankSnapshot) -> tuple[str, ...]:
    wished = {
        TAP_KH: snapshot.site.tap_value(Quantity.KH) is not None,
        PROTEIN: snapshot.tank.food_protein_percent is not None,
    }
    return tuple(what for what, there in wished.items() if not there)


def _unknown(missing: tuple[str, ...]) -> Estimate:
    return Estimate(
        what=_WHAT, unit="days", decimals=0, known=False, missing=missing,
        sentence=f"It cannot be estimated: nobody wrote {listed(missing)}.",
    )  # fmt: skip


def _sentence(days: Triple, line: float, knowledge: Knowledge, snapshot: TankSnapshot) -> str:
    longest, goal = knowledge.value("forecast.longest-days"), f"{decimal(line, 0)} °dKH"
    if days[1] <= 0.0:
        return f"KH is at {goal} already, by {NOT_MEASURED}."
    if days[0] > longest:
        return (
            f"Without a change KH stays above {goal} for more than {decimal(longest, 0)} days: "
            f"{NOT_MEASURED}."
        )
    first = _day(days[0], snapshot)
    if days[2] > longest:
        return (
            f"Without a change KH falls to {goal} in {decimal(days[0], 0)} days at the soonest "
            f"({first}), or much later: {NOT_MEASURED}."
        )
    return (
        f"Without a change KH falls to {goal} in {decimal(days[0], 0)} to {decimal(days[2], 0)} "
        f"days ({first} to {_day(days[2], snapshot)}): {NOT_MEASURED}."
    )


def _day(days: float, snapshot: TankSnapshot) -> str:
    return full_day(local_day(snapshot.as_of + timedelta(days=days), snapshot.site.zone))
