"""Units that get mixed up: nitrogen as N or as the ion, gallons, degrees and differences."""

from collections.abc import Callable
from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number
from app.knowledge.model import Knowledge
from app.science import units as convert
from app.services.workings.model import Ask, CannotWork, Choose, Given, Sum, Theme, Worked, Working
from app.services.workings.units import CELSIUS, DEGREES, LITERS, MG_PER_L

_MG: Final = f"{NBSP}mg/L"
# name on the page, name in a sentence, from N, to N, how many times heavier than N
_Kind = tuple[str, str, Callable[[float], float], Callable[[float], float], float]
_KINDS: Final[dict[str, _Kind]] = {
    "nitrate": ("Nitrate", "nitrate", convert.no3_from_n, convert.n_from_no3, 4.427),
    "nitrite": ("Nitrite", "nitrite", convert.no2_from_n, convert.n_from_no2, 3.284),
    "ammonium": ("Ammonia as ammonium", "ammonium", convert.nh4_from_n, convert.n_from_nh4, 1.288),
    "nh3": ("Ammonia as NH3", "NH3", convert.nh3_from_n, convert.n_from_nh3, 1.216),
}
_BASES: Final = {"n": "As N (nitrogen)", "ion": "As the whole: nitrate, nitrite, ammonium or NH3"}


def _nitrogen(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    amount, (_, name, from_n, to_n, factor) = given.number("amount"), _KINDS[given.choices["what"]]
    typed = number(amount, 3)
    if given.choices["basis"] == "n":
        found = _digits(from_n(amount))
        answer = f"{typed}{_MG} as N = {found}{_MG} as {name}."
        line = Sum(f"As {name}", f"{typed} × {factor} =", f"{found}{_MG}")
    else:
        found = _digits(to_n(amount))
        answer = f"{typed}{_MG} as {name} = {found}{_MG} as N."
        line = Sum("As N", f"{typed} ÷ {factor} =", f"{found}{_MG}")
    return Worked(
        answer=answer,
        sums=(line,),
        remarks=(
            "The same water, counted in two ways: once only the nitrogen, once all of it.",
            "The card or the sheet of the kit says which. Write the number with its basis.",
        ),
        sources=("iupac-2021",),
        basis="Molar masses.",
    )


def _digits(value: float) -> str:
    """About three significant digits."""
    return decimal(value, 3 if value < 1 else 2 if value < 10 else 1 if value < 100 else 0)


NITROGEN_UNITS = Working(
    slug="nitrogen-units",
    theme=Theme.TESTS,
    title="As N, or as the whole",
    question="What is nitrate, nitrite or ammonia “as N” in the other way of counting?",
    asks=(
        Choose(
            name="what", label="What was tested", default="nitrate",
            options={key: kind[0] for key, kind in _KINDS.items()},
        ),
        Ask(name="amount", label="So much", noun="the amount", units=MG_PER_L, low=0, high=1000),
        Choose(name="basis", label="Counted", options=_BASES, default="n"),
    ),
    work=_nitrogen,
)  # fmt: skip


def _units(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    sums = (
        *_water(given.maybe("water")),
        *_warmth(given.maybe("warmth")),
        *_apart(given.maybe("apart")),
    )
    if not sums:
        raise CannotWork("Enter at least one of them.", "water")
    return Worked(
        answer=f"{sums[0].what}: {sums[0].answer}.",
        sums=sums,
        remarks=(
            "An imperial gallon is one fifth more than a US gallon. Look which one gear means.",
            "“Two degrees colder” has no 32 in it: a difference is only multiplied.",
        ),
        basis="Exact by definition.",
    )


def _water(liters: float | None) -> tuple[Sum, ...]:
    if liters is None:
        return ()
    text = number(liters, 2)
    us, imperial = (
        decimal(convert.us_gallons_from_liters(liters), 2),
        decimal(convert.imperial_gallons_from_liters(liters), 2),
    )
    return (
        Sum(f"{text}{NBSP}L in US gallons", f"{text} ÷ 3.785 =", f"{us}{NBSP}US{NBSP}gal"),
        Sum(
            f"{text}{NBSP}L in imperial gallons",
            f"{text} ÷ 4.546 =",
            f"{imperial}{NBSP}imperial{NBSP}gal",
        ),
    )


def _warmth(celsius: float | None) -> tuple[Sum, ...]:
    if celsius is None:
        return ()
    text, fahrenheit = decimal(celsius, 1), decimal(convert.fahrenheit_from_celsius(celsius), 1)
    return (Sum(f"{text}{NBSP}°C, how warm", f"{text} × 1.8 + 32 =", f"{fahrenheit}{NBSP}°F"),)


def _apart(celsius: float | None) -> tuple[Sum, ...]:
    if celsius is None:
        return ()
    text, fahrenheit = decimal(celsius, 1), decimal(convert.fahrenheit_difference(celsius), 1)
    return (Sum(f"{text}{NBSP}°C apart", f"{text} × 1.8 =", f"{fahrenheit}{NBSP}°F"),)


UNIT_BOOK = Working(
    slug="units",
    theme=Theme.TANK,
    title="Liters, gallons, degrees",
    question="What is an amount of water or a temperature in the other unit?",
    asks=(
        Ask(
            name="water", label="Water", noun="the amount of water", units=LITERS, low=0,
            high=100000, required=False,
        ),
        Ask(
            name="warmth", label="A temperature", noun="the temperature", units=CELSIUS, low=-50,
            high=150, required=False,
        ),
        Ask(
            name="apart", label="A difference of temperatures", noun="the difference",
            units=DEGREES, low=-100, high=100, required=False,
        ),
    ),
    work=_units,
)  # fmt: skip
