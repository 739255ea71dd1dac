"""Lessons about what goes in: where the food goes, and what a year takes."""

from datetime import timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, count
from app.estimates.food import grams_a_day
from app.estimates.missing import GRAMS_A_DAY, PLAN, PROTEIN, TAP_NITRATE, VOLUME
from app.estimates.nitrate_forecast import forecast
from app.estimates.nitrate_from_food import outlook
from app.estimates.room import coldest_room
from app.estimates.warmth import loss_of, target_of
from app.knowledge.model import Knowledge
from app.science.heat import energy_kwh_per_day, holding_power_w
from app.science.nitrogen import (
    TAN_PER_PROTEIN,
    ammonia_n_mg,
    nitrate_rise_mg_per_l,
    share_taken_up,
)
from app.services.equipment import KIND_WORDS
from app.services.lessons import lacking
from app.services.lessons.model import ESTIMATE, Filled, Lacking, Level, Question
from app.services.lessons.numbers import half_up, rounded, spoken
from app.services.workings import both_units
from app.services.workings.known import net_l
from app.services.workings.model import Sum
from app.storage.queries import lessons
from app.storage.queries.lessons import Used

_MG: Final = f"{NBSP}mg/L"
_G: Final = f"{NBSP}g"
_KWH: Final = f"{NBSP}kWh"
_WEEK: Final = 7
_YEAR: Final = 365
_HOURS: Final = 24.0
_PER_KWH: Final = 1000.0
_LACKS: Final = {
    PROTEIN: lacking.PROTEIN,
    GRAMS_A_DAY: lacking.MEALS,
    VOLUME: lacking.VOLUME,
    TAP_NITRATE: lacking.TAP,
    PLAN: lacking.PLAN,
}
_TAKES_POWER: Final = frozenset({"filter", "lamp", "air_pump", "pump"})
"""Kinds of equipment that take power all the time, or while the light is on; the heater apart."""


def food(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """What the food explains, beside what the tests show."""
    found, water = outlook(snapshot, knowledge), net_l(snapshot, knowledge)
    needed = [each for each in found.missing if each in {PROTEIN, GRAMS_A_DAY, VOLUME}]
    protein, grams = snapshot.tank.food_protein_percent, grams_a_day(snapshot, knowledge)
    if needed or water is None or protein is None or grams is None:
        return Filled(lacking=tuple(_LACKS[each] for each in needed))
    grams = half_up(grams, 3)
    nitrogen = ammonia_n_mg(grams, protein / 100.0)
    day = nitrate_rise_mg_per_l(nitrogen, water)
    ahead = forecast(snapshot, knowledge)
    tests = ahead.pace.from_tests if ahead.pace is not None else 0
    measured = ahead.rise[1] * _WEEK if tests else None
    made = day * _WEEK
    return Filled(
        facts=(
            ("Food on a day, by the last meals", f"{spoken(grams, 3)}{_G}"),
            ("Protein of the food", f"{spoken(protein, 1)} of 100 parts"),
            ("Water in the tank", both_units.liters(water)),
            *(
                (("Nitrate rose by the tests", f"{rounded(measured, 1)}{_MG} in a week"),)
                if measured is not None
                else ()
            ),
        ),
        questions=(
            Question(
                level=Level.EASY,
                text="How many grams of food go into the tank in a week?",
                answer=f"{spoken(grams * _WEEK, 2)}{_G}",
                sums=(
                    Sum(
                        "Food of a week",
                        f"{spoken(grams, 3)} × {_WEEK} =",
                        f"{spoken(grams * _WEEK, 2)}{_G}",
                    ),
                ),
                values=(grams * _WEEK,),
            ),
            Question(
                level=Level.MIDDLE,
                text="Of 1000 mg of protein, 92 mg become nitrogen that the fish give off. 1 mg of "
                "nitrogen becomes 4.427 mg of nitrate. By how much should nitrate rise in a week?",
                answer=f"By {rounded(made, 1)}{_MG}, if plants took nothing.",
                sums=(
                    Sum(
                        "Nitrogen of a day",
                        f"{spoken(grams, 3)} × 1000 × {spoken(protein / 100.0, 3)} × "
                        f"{spoken(TAN_PER_PROTEIN, 3)} =",
                        f"{rounded(nitrogen, 2)}{NBSP}mg",
                    ),
                    Sum(
                        "Nitrate of a week",
                        f"{rounded(nitrogen, 2)} × 4.427 ÷ {rounded(water, 1)} × {_WEEK} =",
                        f"{rounded(made, 1)}{_MG}",
                    ),
                ),
                values=(made,),
            ),
            _taken(made, measured),
        ),
        surprise=_where(made, measured, tests),
        lacking=() if measured is not None else (lacking.NITRATE_TEST,),
        basis=f"{ESTIMATE} Of protein 16 in 100 are nitrogen; about 0.092 of it is given off as "
        "ammonia (Timmons and Ebeling 2013).",
    )


def _taken(made: float, measured: float | None) -> Question:
    text = "The tests show another rise. What part of 100 did plants and others take?"
    if measured is None or made <= 0.0:
        return Question(
            level=Level.HARD,
            text=text,
            answer="Too few tests for that yet. Two more nitrate tests, a week apart, will tell.",
        )
    share = 100.0 * share_taken_up(made, measured)
    said = f"About {rounded(share, 0)} of 100."
    if share < 0.0:
        said = "Nothing: more shows than the food explains. Something rots, or more was fed."
    return Question(
        level=Level.HARD,
        text=text,
        answer=said,
        sums=(
            Sum(
                "What is gone",
                f"(1 − {rounded(measured, 1)} ÷ {rounded(made, 2)}) × 100 =",
                f"{rounded(share, 0)}{NBSP}%",
                "worked out with all digits",
            ),
        ),
        values=(share,),
    )


def _where(made: float, measured: float | None, tests: int) -> str:
    if measured is None:
        return f"The food should make {rounded(made, 1)}{_MG} in a week. No tests to compare yet."
    said = (
        f"The food says {rounded(made, 1)}{_MG} in a week. {count(tests, 'test', 'tests')} "
        f"say {rounded(measured, 1)}."
    )
    if measured < made:
        return f"{said} Plants, and what is trimmed off them, took the rest."
    return f"{said} Here more shows than the food explains: leftovers, leaves, or extra food."


def year(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:
    """Liters, grams and kilowatt-hours of a year, from what the record knows."""
    tank, end = snapshot.tank, snapshot.as_of
    begins = lessons.first_entry_at(session, tank.id)
    start = max(begins or end, end - timedelta(days=_YEAR))
    days = (end - start).days
    if days < knowledge.value("lesson.year-least-days"):
        return Filled(lacking=(lacking.YOUNG,))
    used = lessons.used(session, tank.id, start, end)
    known, lacks = _power(snapshot)
    cold = _cold_day_w(snapshot, knowledge)
    if cold is None and snapshot.tank.has_heater:
        lacks = (*lacks, lacking.ROOM)
    watts = sum(known.values())
    grams = _weighed(used)
    to_year = _YEAR / days
    kwh = energy_kwh_per_day(watts)
    return Filled(
        facts=(
            ("The record counts", count(days, "day", "days")),
            ("New water in these days", both_units.liters(used.liters, 0)),
            ("Meals in these days", _meals(used)),
            *((what, f"{spoken(each, 1)}{NBSP}W on average") for what, each in known.items()),
        ),
        questions=(
            _scaled(Level.EASY, "How many liters of new water is that in a year?", "Water",
                    (used.liters, days, to_year), f"{NBSP}L"),
            _scaled(Level.MIDDLE, "How many grams of food is that in a year?", "Food",
                    (grams, days, to_year), _G),
            Question(
                level=Level.HARD,
                text=f"The parts that we know take {spoken(watts, 1)}{NBSP}W on average. How many "
                "kilowatt-hours is that in a day? And in a year?",
                answer=f"{rounded(kwh, 2)}{_KWH} a day, {rounded(kwh * _YEAR, 0)}{_KWH} a year.",
                sums=(
                    Sum(
                        "A day",
                        f"{spoken(watts, 1)} × 24 ÷ 1000 =",
                        f"{rounded(kwh, 2)}{_KWH}",
                    ),
                    Sum(
                        "A year",
                        f"{spoken(watts, 1)} × 24 ÷ 1000 × {_YEAR} =",
                        f"{rounded(kwh * _YEAR, 0)}{_KWH}",
                    ),
                ),
                values=(kwh, kwh * _YEAR),
            ),
        ),
        surprise=f"In a year about {rounded(used.liters * to_year, 0)}{NBSP}L of water, "
        f"{rounded(grams * to_year, 0)}{_G} of food and {rounded(kwh * _YEAR, 0)}{_KWH} for "
        f"what runs all year.{_cold_day(cold)}",
        lacking=lacks,
        basis=f"{ESTIMATE} A year is worked out of {count(days, 'day', 'days')}. The heater is not "
        "in the sum: what it takes hangs on the room, day by day.",
    )  # fmt: skip


def _meals(used: Used) -> str:
    if used.meals == used.weighed:
        return f"{used.meals}, {spoken(used.grams, 2)}{_G} in all"
    return f"{used.meals}; {used.weighed} of them weighed, {spoken(used.grams, 2)}{_G}"


def _weighed(used: Used) -> float:
    """Grams of all meals, where some have none: as the others."""
    return used.grams * used.meals / used.weighed if used.weighed else 0.0


def _scaled(
    level: Level, text: str, what: str, amount: tuple[float, int, float], unit: str
) -> Question:
    counted, days, to_year = amount
    whole = counted * to_year
    return Question(
        level=level,
        text=text,
        answer=f"About {rounded(whole, 0)}{unit}",
        sums=(
            Sum(
                f"{what} of a year",
                f"{spoken(counted, 1)} ÷ {days} × {_YEAR} =",
                f"{rounded(whole, 0)}{unit}",
            ),
        ),
        values=(whole,),
    )


def _power(snapshot: TankSnapshot) -> tuple[dict[str, float], tuple[Lacking, ...]]:
    """Mean watts by what takes them all year, and what is not known."""
    known: dict[str, float] = {}
    lacks: list[Lacking] = []
    for piece in snapshot.equipment:
        if piece.kind not in _TAKES_POWER:
            continue
        hours = snapshot.tank.light_hours if piece.kind == "lamp" else _HOURS
        if piece.watts is None or hours is None:
            lacks.append(lacking.WATTS)
        else:
            name = f"{KIND_WORDS[piece.kind]}, {spoken(piece.watts, 1)}{NBSP}W"
            known[name] = known.get(name, 0.0) + piece.watts * hours / _HOURS
    return known, tuple(dict.fromkeys(lacks or ([] if known else [lacking.WATTS])))


def _cold_day_w(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:
    """What the heater takes while the room is as cold as it gets; None where nobody knows."""
    target, room = target_of(snapshot, knowledge), coldest_room(snapshot, None)
    if room is None or not snapshot.tank.has_heater:
        return None
    loss = loss_of(snapshot, knowledge, water_c=target.best, room_c=room.best)
    return None if loss is None else holding_power_w(target.best, room.best, loss.per_c.best)


def _cold_day(cold: float | None) -> str:
    if not cold:
        return ""
    return (
        f" On a day as cold as the room gets, the heater takes about {rounded(cold, 0)}{NBSP}W "
        f"more: {rounded(energy_kwh_per_day(cold), 2)}{_KWH} on that day alone."
    )
