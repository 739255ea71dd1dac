"""Nitrate that food becomes, and when it will have come to a line."""

from datetime import timedelta
from math import isinf
from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, full_day, number, short
from app.estimates.nitrate_from_food import could_be
from app.knowledge.model import Knowledge
from app.science.nitrogen import (
    ammonia_n_mg,
    days_until,
    nitrate_rise_mg_per_l,
    share_taken_up,
)
from app.services.workings import known
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working
from app.services.workings.units import DAYS, GRAMS, LITERS, NITRATE, PERCENT

_MG: Final = f"{NBSP}mg/L"
_WEEK: Final = 7
_LONGEST_DAYS: Final = 3650.0


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:
    grams, protein = given.number("grams"), given.number("protein") / 100.0
    fed, net = given.number("fed"), given.number("net")
    as_n = ammonia_n_mg(grams, protein)
    day = nitrate_rise_mg_per_l(as_n, net)
    week = nitrate_rise_mg_per_l(as_n * fed, net)
    sums = [
        Sum(
            "Ammonia the animals give off on a day with food",
            f"{number(grams, 3)} × 1000 × {number(protein, 3)} × 0.092 =",
            f"{decimal(as_n, 2)}{NBSP}mg as N",
        ),
        Sum(
            "Nitrate that it becomes",
            f"{decimal(as_n, 2)} × 4.427 ÷ {number(net, 1)} =",
            f"{decimal(day, 2)}{_MG} a day",
        ),
        Sum("In a week", f"{decimal(day, 3)} × {number(fed, 0)} =", f"{decimal(week, 1)}{_MG}"),
    ]
    forecast = _forecast(given, week, snapshot)
    return Worked(
        answer=f"Nitrate rises by {decimal(week, 1)}{_MG} in a week, if plants take nothing.",
        spread=_spread(week, knowledge),
        sums=(*sums, *forecast.sums),
        remarks=(*forecast.remarks, *_REMARKS),
        sources=("timmons-ebeling-2013",),
        basis="Of protein 16 in 100 are nitrogen; of that 8 in 10 are taken in, 8 in 10 of those "
        "given off, 9 in 10 of those as ammonia: together 0.092.",
    )


_REMARKS: Final = (
    "Food that nobody eats becomes nearly twice as much, and ammonia first.",
    "An estimate, not measured: only a test shows what is there.",
)


class _Forecast:
    """What follows for the days to come."""

    def __init__(self, sums: tuple[Sum, ...] = (), remarks: tuple[str, ...] = ()) -> None:
        self.sums = sums
        self.remarks = remarks


def _forecast(given: Given, week: float, snapshot: TankSnapshot) -> _Forecast:
    now, line, measured = (given.maybe(name) for name in ("now", "line", "measured"))
    sums, remarks = [], []
    if measured is not None:
        if week <= 0.0:
            raise CannotWork("Without food there is no rise to compare with.", "grams")
        share = 100.0 * share_taken_up(week, measured)
        sums.append(
            Sum(
                "What plants and others take",
                f"1 − {decimal(measured, 1)} ÷ {decimal(week, 2)} =",
                f"{decimal(share, 0)}{NBSP}%",
            )
        )
        remarks.append(_taken(share))
    if now is not None and line is not None:
        sums_more, said = _until(now, line, (week, measured), snapshot)
        sums += sums_more
        remarks.insert(0, said)
    return _Forecast(tuple(sums), tuple(remarks))


def _taken(share: float) -> str:
    if share < 0.0:
        return "More nitrate appears than the food explains: leftovers, leaves, or a test off."
    if share > 100.0:
        return "Nitrate fell although there was food: plants, a water change, or a test off."
    return f"Plants and others take about {decimal(round(share, -1), 0)}{NBSP}%."


def _until(
    now: float, line: float, rises: tuple[float, float | None], snapshot: TankSnapshot
) -> tuple[list[Sum], str]:
    """Days to a line by the food and, where there is one, by the measured rise."""
    if now >= line:
        raise CannotWork("Nitrate is there already. Enter a higher line.", "line")
    sums: list[Sum] = []
    ends: list[float] = []
    for rise in rises:
        if rise is None:
            continue
        days = days_until(now, line, rise / _WEEK)
        if isinf(days) or days > _LONGEST_DAYS:
            return sums, f"With this rise it does not come to {short(line)}{_MG}."
        text = f"({short(line)} − {short(now)}) ÷ {decimal(rise, 2)} × 7 ="
        sums.append(
            Sum(f"From {short(now)} to {short(line)}{_MG}", text, f"{decimal(days, 1)} days")
        )
        ends.append(days)
    dates = [full_day(snapshot.today + timedelta(days=round(days))) for days in sorted(ends)]
    whole = [decimal(days, 0) for days in sorted(ends)]
    if len(ends) == 1 or whole[0] == whole[1]:
        return sums, f"At {short(line)}{_MG} in about {whole[0]} days: {dates[0]}."
    return sums, (
        f"At {short(line)}{_MG} in {whole[0]} to {whole[1]} days: {dates[0]} to {dates[1]}."
    )


def _spread(week: float, knowledge: Knowledge) -> str:
    low, _, high = could_be(week, knowledge)
    return f"Between {decimal(low, 1)} and {decimal(high, 1)}{_MG}, by what sand and leaves do."


def _grams(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    scoop = snapshot.tank.scoop_grams
    return None if scoop is None else scoop * snapshot.tank.plan.portion_scoops


def _protein(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    return snapshot.tank.food_protein_percent


def _fed_days(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return float(len(snapshot.tank.plan.feed_weekdays))


NITRATE_FROM_FOOD = Working(
    slug="food",
    theme=Theme.FOOD,
    title="Nitrate from food",
    question="How much nitrate does the food become, and when is it too much?",
    asks=(
        Ask(
            name="grams", label="Food on one day", noun="the food of one day", units=GRAMS, low=0,
            high=1000, known=_grams, hint="Dry food. One flat scoop: see “Weigh the scoop”.",
        ),
        Ask(
            name="protein", label="Protein, on its label", noun="the protein", units=PERCENT,
            low=0, high=100, known=_protein, hint="Crude protein; flakes have 40 to 48 %.",
        ),
        Ask(
            name="fed", label="Days with food in a week", noun="the days with food", units=DAYS,
            low=1, high=7, known=_fed_days,
        ),
        Ask(
            name="net", label="Water in the tank", noun="the water in the tank", units=LITERS,
            low=0.1, high=20000, known=known.net_l,
        ),
        Ask(
            name="now", label="Nitrate now", noun="the nitrate now", units=NITRATE, low=0,
            high=1000, required=False, quantity=Quantity.NITRATE,
        ),
        Ask(
            name="line", label="When will it be at", noun="the line to look out for",
            units=NITRATE, low=0, high=1000, required=False, quantity=Quantity.NITRATE,
        ),
        Ask(
            name="measured", label="Measured rise in a week", noun="the measured rise",
            units=NITRATE, low=0, high=1000, required=False,
            hint="From two tests, without a change between them.",
        ),
    ),
    work=_work,
)  # fmt: skip
