"""Ammonia for a filter that grows in a tank without animals: arithmetic from a label, for adults.

It never adds where an animal lives, and never above the line that slows the bacteria.
"""

from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number, short
from app.knowledge.model import Knowledge
from app.science.carbonate import alkalinity_used_by_nitrification_dkh
from app.science.nitrogen import MOLAR_MASS_NH4CL, ammonia_solution_ml, ammonium_chloride_g
from app.science.units import MOLAR_MASS_N
from app.services.workings import known
from app.services.workings.model import Ask, CannotWork, Choose, Given, Sum, Theme, Worked, Working
from app.services.workings.units import AMMONIA, LITERS, PERCENT, of

_MG: Final = f"{NBSP}mg/L"
_SOURCES: Final = {
    "solution": "Plain ammonia solution: the label says % of ammonia (NH3)",
    "powder": "Ammonium chloride powder: the label says % of it",
}
_ANIMALS: Final = {"some": "Some live in it", "none": "Not one, and no snail either"}


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:
    rise = _rise(given, snapshot, knowledge)
    net, strength = given.number("net"), given.number("strength")
    kh = alkalinity_used_by_nitrification_dkh(rise)
    if given.choices["source"] == "solution":
        strongest = knowledge.value("maturing.strongest-solution")
        if strength > strongest:
            said = f"No ammonia solution is stronger than {short(strongest)}{NBSP}%."
            raise CannotWork(said, "strength")
        found, unit = decimal(ammonia_solution_ml(rise, net, strength), 1), "mL"
        text = f"{short(rise)} × {number(net, 1)} × 1.216 ÷ ({number(strength, 2)} × 10) ="
    else:
        found, unit = decimal(ammonium_chloride_g(rise, net, strength / 100.0), 2), "g"
        factor = number(MOLAR_MASS_NH4CL / MOLAR_MASS_N, 3)
        text = f"{short(rise)} × {number(net, 1)} ÷ 1000 × {factor} ÷ {number(strength, 1)}{NBSP}%="
    amount = f"{found}{NBSP}{unit}"
    return Worked(
        answer=f"{amount} raise {number(net, 1)}{NBSP}L by {short(rise)}{_MG} as N.",
        warning=_wait(given, knowledge),
        sums=(
            Sum(
                "Ammonia to add",
                f"up to {short(given.number('target'))}, {short(given.number('now'))} is there:",
                f"{short(rise)}{_MG} as N",
            ),
            Sum("Amount by the label", text, amount),
            Sum("KH that the filter then uses", f"{short(rise)} × 0.400 =", f"{decimal(kh, 1)}"
                f"{NBSP}°dKH"),
        ),
        remarks=_REMARKS,
        basis="Stoichiometry: one N in each molecule, and the percent read as grams in 100 mL. "
        "How much to add is common practice, no single source. The label comes first.",
        sources=("iupac-2021",),
        cautions=("ammonia_bottle", "hands"),
        door="ammonia",
        door_values={
            "reached": short(given.number("now") + rise), "amount": found, "amount_unit": unit,
            "strength": short(strength),
        },
    )  # fmt: skip


_REMARKS: Final = (
    "Stir it in near the filter, wait an hour, then test what is really there.",
    "Test ammonia and nitrite a day later. Test KH each week: soft water runs out of it.",
    "It is ready when this much is gone in a day, twice in a row, and nitrite with it.",
    "Before animals come: a large water change, with warmth matched and conditioner.",
)


def _rise(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> float:
    """How much is to be added, in mg/L as N."""
    if given.choices["animals"] != "none":
        raise CannotWork("Never add ammonia to a tank with animals. It burns gills.", "animals")
    if snapshot.expected_fish:
        raise CannotWork(
            f"The record says that {snapshot.expected_fish} animals live here. With animals in "
            "the tank nothing is worked out.",
            "animals",
        )
    most = knowledge.value("stall.too-much")
    target, now = given.number("target"), given.number("now")
    if target > most:
        raise CannotWork(
            f"Never above {short(most)}{_MG}: more slows the bacteria themselves.", "target"
        )
    if now >= target:
        raise CannotWork("There is as much already. Add nothing; test again tomorrow.", "now")
    rise = target - now
    nitrite = given.maybe("nitrite")
    if nitrite is not None and nitrite > knowledge.value("maturing.nitrite-halve"):
        rise /= 2.0
    return rise


def _wait(given: Given, knowledge: Knowledge) -> str:
    below = knowledge.value("maturing.added-below")
    nitrite, halve = given.maybe("nitrite"), knowledge.value("maturing.nitrite-halve")
    if given.number("now") >= below:
        return f"Wait until ammonia is below {short(below)}{_MG}, then add."
    if nitrite is not None and nitrite > halve:
        return f"Nitrite is above {short(halve)}{_MG}: this is half the amount."
    return ""


def _target(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return knowledge.value("maturing.added-mg")


def _animals(snapshot: TankSnapshot, knowledge: Knowledge) -> str:  # noqa: ARG001
    return "some" if snapshot.expected_fish else "none"


MATURING = Working(
    slug="maturing",
    theme=Theme.FOOD,
    title="Ammonia for a growing filter",
    question="How much ammonia does an empty tank’s new filter want? For grown-ups only.",
    asks=(
        Choose(
            name="animals", label="Animals in the tank", options=_ANIMALS, default="some",
            known=_animals,
        ),
        Choose(name="source", label="What is in the bottle", options=_SOURCES, default="solution"),
        Ask(
            name="strength", label="Strength on the label", noun="the strength on the label",
            units=PERCENT, low=0.1, high=100,
            hint="No label with a strength: do not use it.",
        ),
        Ask(
            name="now", label="Ammonia (total) now", noun="the ammonia now", units=AMMONIA, low=0,
            high=100, quantity=Quantity.AMMONIA,
        ),
        Ask(
            name="target", label="To be at", noun="how much it is to be", units=AMMONIA, low=0.1,
            high=100, known=_target,
        ),
        Ask(
            name="nitrite", label="Nitrite now", noun="the nitrite now",
            units=of(Quantity.NITRITE), low=0, high=200, required=False,
            quantity=Quantity.NITRITE,
        ),
        Ask(
            name="net", label="Water in the tank", noun="the water in the tank", units=LITERS,
            low=0.1, high=20000, known=known.net_l,
        ),
    ),
    work=_work,
    for_adults=True,
)  # fmt: skip
