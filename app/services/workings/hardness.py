"""Hardness and KH in every unit, and hardness from the calcium and magnesium of a water report."""

from functools import partial
from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number
from app.knowledge.model import Knowledge
from app.science.hardness import (
    MG_PER_L_CACO3_PER_UNIT,
    MOLAR_MASS_CA,
    MOLAR_MASS_MG,
    HardnessUnit,
    convert,
    dgh_from_ions,
)
from app.services.workings.model import (
    Ask,
    CannotWork,
    Choose,
    Given,
    Sum,
    Theme,
    Unit,
    Worked,
    Working,
)
from app.services.workings.units import MG_PER_L

_BASE: Final = HardnessUnit.MG_PER_L_CACO3
_SYMBOLS: Final = {
    HardnessUnit.MG_PER_L_CACO3: ("mg-L-CaCO3", "mg/L as CaCO3", 0),
    HardnessUnit.GERMAN_DEGREE: ("d", "German degrees (°dGH, °dKH)", 1),
    HardnessUnit.MMOL_PER_L: ("mmol-L", "mmol/L", 2),
    HardnessUnit.MEQ_PER_L: ("meq-L", "meq/L", 2),
    HardnessUnit.GRAIN_PER_US_GALLON: ("gpg", "grains per US gallon (gpg)", 1),
    HardnessUnit.FRENCH_DEGREE: ("fH", "French degrees (°fH)", 1),
    HardnessUnit.ENGLISH_DEGREE: ("e", "English degrees (°e)", 1),
}
HARDNESS: Final = tuple(
    Unit(key, symbol, partial(convert, unit=unit, to=_BASE), partial(convert, unit=_BASE, to=unit))
    for unit, (key, symbol, _) in _SYMBOLS.items()
)
_WHAT: Final = {"gh": "General hardness (GH)", "kh": "Carbonate hardness (KH)"}
_ABOUT: Final = {
    "gh": "GH counts calcium and magnesium. 1 mmol/L of them is 2 meq/L.",
    "kh": "KH counts the acid that water can bind: it is alkalinity. Its own unit is meq/L; the "
    "line in mmol/L means CaCO3, and 1 mmol/L of that binds 2 meq/L of acid.",
}


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    base, what = given.number("amount"), given.choices["what"]
    label = "GH" if what == "gh" else "KH"
    degrees = convert(base, _BASE, HardnessUnit.GERMAN_DEGREE)
    return Worked(
        answer=f"{label} {decimal(degrees, 1)}{NBSP}°d{label} = "
        f"{decimal(base, 0)}{NBSP}mg/L as CaCO3.",
        sums=every_unit(base),
        remarks=(
            _ABOUT[what],
            "KH is no part of GH: it may be the larger of the two.",
            (
                "Grains per gallon (17.12) and German degrees (17.85) are near each other, and not "
                "the same."
            ),
            "A drop test counts whole drops: one drop more or less is no change.",
        ),
        sources=("din-38409-6", "iupac-2021"),
        basis="Definitions of the units.",
    )


def every_unit(base: float) -> tuple[Sum, ...]:
    """A hardness in mg/L as CaCO3 in every unit, a line each."""
    lines = []
    for unit, (_, symbol, places) in _SYMBOLS.items():
        if unit is _BASE:
            continue
        per = number(MG_PER_L_CACO3_PER_UNIT[unit], 3)
        answer = decimal(convert(base, _BASE, unit), places)
        lines.append(Sum(_upper(symbol), f"{number(base, 1)} ÷ {per} =", answer))
    return tuple(lines)


def _upper(symbol: str) -> str:
    return symbol if symbol.startswith("m") else symbol[0].upper() + symbol[1:]


HARDNESS_UNITS = Working(
    slug="hardness",
    theme=Theme.TESTS,
    title="Hardness in every unit",
    question="What is a GH or KH in the unit that the report, the kit or the book uses?",
    asks=(
        Choose(name="what", label="What is it", options=_WHAT, default="gh"),
        Ask(
            name="amount", label="So much", noun="the hardness", units=HARDNESS, low=0, high=2000,
        ),
    ),
    work=_work,
)  # fmt: skip


def _minerals(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    calcium, magnesium = given.maybe("calcium"), given.maybe("magnesium")
    if calcium is None and magnesium is None:
        raise CannotWork("Enter calcium, magnesium or both.", "calcium")
    degrees = dgh_from_ions(calcium or 0.0, magnesium or 0.0)
    base = convert(degrees, HardnessUnit.GERMAN_DEGREE, _BASE)
    millimoles = convert(base, _BASE, HardnessUnit.MMOL_PER_L)
    text = (
        f"{number(calcium or 0.0, 1)} ÷ {number(MOLAR_MASS_CA, 3)} + "
        f"{number(magnesium or 0.0, 1)} ÷ {number(MOLAR_MASS_MG, 3)} ="
    )
    missing = [
        name for name, amount in (("calcium", calcium), ("magnesium", magnesium)) if amount is None
    ]
    return Worked(
        answer=f"GH {decimal(degrees, 1)}{NBSP}°dGH = {decimal(base, 0)}{NBSP}mg/L as CaCO3.",
        sums=(
            Sum("Both together", text, f"{decimal(millimoles, 2)}{NBSP}mmol/L"),
            Sum(
                "As CaCO3",
                f"{decimal(millimoles, 2)} × 100.09 =",
                f"{decimal(base, 0)}{NBSP}mg/L",
            ),
            *every_unit(base),
        ),
        remarks=(
            *(f"Nothing was entered for {name}: it counts as 0 here." for name in missing),
            "Only from calcium and magnesium as ions, in mg/L, as water reports give them.",
        ),
        sources=("din-38409-6", "iupac-2021"),
        basis="Definition: the sum of both ions in mmol/L.",
    )


MINERALS = Working(
    slug="minerals",
    theme=Theme.TESTS,
    title="Hardness from a water report",
    question="What is the GH of tap water with so much calcium and magnesium?",
    asks=(
        Ask(
            name="calcium", label="Calcium", noun="calcium", units=MG_PER_L, low=0, high=1000,
            required=False, hint="As it stands in the report of your water works.",
        ),
        Ask(
            name="magnesium", label="Magnesium", noun="magnesium", units=MG_PER_L, low=0,
            high=1000, required=False,
        ),
    ),
    work=_minerals,
)  # fmt: skip
