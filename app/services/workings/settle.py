"""Where a value ends when the same change is repeated week by week."""

from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number
from app.knowledge.model import Knowledge
from app.science.dilution import settles_at
from app.services.workings import known
from app.services.workings.model import Ask, CannotWork, Choose, Given, Sum, Theme, Worked, Working
from app.services.workings.units import DAYS, PERCENT, PLAIN

_WHAT: Final = {"nitrate": "Nitrate", "kh": "KH", "gh": "GH"}
_UNITS: Final = {"nitrate": "mg/L as nitrate", "kh": "°dKH", "gh": "°dGH"}


def _days(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return float(snapshot.tank.plan.water_change_days)


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    tap, moves = given.number("tap"), given.number("moves")
    share, days = given.number("share") / 100.0, given.number("days")
    what, unit = _WHAT[given.choices["what"]], _UNITS[given.choices["what"]]
    if share == 0.0:
        return _without(what, unit, moves, days)
    point = settles_at(tap, moves, share)
    sign = "+" if moves >= 0 else "−"
    sums = (
        Sum(
            "Just before a change",
            f"{number(tap, 2)} {sign} {number(abs(moves), 2)} ÷ {number(share, 3)} =",
            f"{decimal(point.before_change, 1)}{NBSP}{unit}",
        ),
        Sum(
            "Just after it",
            f"{decimal(point.before_change, 1)} {'−' if moves >= 0 else '+'} "
            f"{number(abs(moves), 2)} =",
            f"{decimal(point.after_change, 1)}{NBSP}{unit}",
        ),
    )
    answer = (
        f"{what} settles at {decimal(point.before_change, 1)} just before each change and "
        f"{decimal(point.after_change, 1)}{NBSP}{unit} just after it."
    )
    if point.before_change < 0.0:
        answer = f"{what} is used up before it settles. The changes are too small or too rare."
    weeks = "" if moves >= 0 else _rate(what, unit, moves, days)
    return Worked(
        answer=answer,
        sums=sums,
        remarks=tuple(filter(None, (_SLOWLY, weeks))),
        basis="A balance of mass with equal changes and an equal move between them.",
    )


_SLOWLY: Final = (
    "It comes near that point slowly: with 25 in 100 each time, after about five changes three "
    "quarters of the way are behind it."
)


def _rate(what: str, unit: str, moves: float, days: float) -> str:
    if moves == 0.0:
        return f"Without changes {what} stays where it is."
    each, word = days / abs(moves), "lost" if moves < 0 else "gained"
    return f"Without changes, 1{NBSP}{unit} is {word} every {decimal(each, 1)} days."


def _without(what: str, unit: str, moves: float, days: float) -> Worked:
    if moves == 0.0:
        raise CannotWork("Nothing moves it: there is nothing to work out.", "moves")
    each = days / abs(moves)
    return Worked(
        answer=_rate(what, unit, moves, days),
        sums=(
            Sum(
                f"Days for 1{NBSP}{unit}",
                f"{number(days, 1)} ÷ {number(abs(moves), 2)} =",
                f"{decimal(each, 1)} days",
            ),
        ),
        remarks=("Without water changes it never settles.",),
        basis="A balance of mass.",
    )


SETTLE = Working(
    slug="settle",
    theme=Theme.CHANGE,
    title="Where will it settle",
    question="Where does nitrate or hardness end with the same change again and again?",
    asks=(
        Choose(name="what", label="What is it", options=_WHAT, default="nitrate"),
        Ask(
            name="tap", label="In the tap water", noun="the tap water’s value", units=PLAIN,
            low=0, high=1000, hint="Nitrate in mg/L as nitrate, KH and GH in degrees.",
        ),
        Ask(
            name="moves", label="The tank adds between two changes",
            noun="what the tank adds", units=PLAIN, low=-100, high=500,
            hint="With a minus sign where it uses something up, as a filter does with KH.",
        ),
        Ask(
            name="share", label="Water changed each time", noun="the share of the water",
            units=PERCENT, low=0, high=100, known=known.planned_percent,
        ),
        Ask(
            name="days", label="Days from one change to the next", noun="the days", units=DAYS,
            low=1, high=365, known=_days,
        ),
    ),
    work=_work,
)  # fmt: skip
