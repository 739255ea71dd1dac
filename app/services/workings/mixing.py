"""New water of another warmth: how warm the tank will be, and how warm the new water must be."""

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal
from app.knowledge.model import Knowledge
from app.science.dilution import lowest_new_water_c, mixing_temperature
from app.services.workings import both_units, known
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working
from app.services.workings.units import CELSIUS, DEGREES, LITERS


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    tank_c, new_c = given.number("tank"), given.number("new")
    net_l, new_l = given.number("net"), given.number("poured")
    drop = given.number("drop")
    if new_l > net_l:
        raise CannotWork("More than the whole tank cannot be poured in.", "poured")
    left_l = net_l - new_l
    mixed = mixing_temperature(tank_c, left_l, new_c, new_l)
    lowest = lowest_new_water_c(tank_c, left_l, new_l, drop)
    moved = mixed - tank_c
    least = f"For a drop of {both_units.apart(drop)} at most, the new water should be at least"
    cold = f"{least} {both_units.warmth(lowest)}."
    warning = ""
    if -moved > drop + _SLACK:
        warning = f"That is a drop of {both_units.apart(-moved)}. Warm the new water first. {cold}"
    elif moved > drop + _SLACK:
        warning = f"That is {both_units.apart(moved)} warmer. Let the new water cool first."
    return Worked(
        answer=f"The tank would be {both_units.warmth(mixed)}.",
        warning=warning,
        sums=(
            Sum("Water that stays", f"{_l(net_l)} − {_l(new_l)} =", both_units.liters_only(left_l)),
            Sum(
                "Warmth after mixing",
                f"({_l(left_l)} × {_l(tank_c)} + {_l(new_l)} × {_l(new_c)}) ÷ {_l(net_l)} =",
                f"{decimal(mixed, 1)}{NBSP}°C",
            ),
            Sum(
                f"Coldest new water for a drop of {decimal(drop, 1)}{NBSP}°C",
                f"{_l(tank_c)} − {_l(drop)} × {_l(net_l)} ÷ {_l(new_l)} =",
                f"{decimal(lowest, 1)}{NBSP}°C",
            ),
        ),
        remarks=() if warning else (cold,),
        basis="A balance of heat by volume. Glass and sand hold heat too, so the tank moves a "
        "little less.",
        cautions=("untreated_water", "hands"),
        door="change",
        door_values={"liters_out": _l(new_l), "volume_unit": "L"},
    )


_SLACK = 1e-9


def _l(value: float) -> str:
    return decimal(value, 1)


MIXING = Working(
    slug="mixing",
    theme=Theme.CHANGE,
    title="How warm will it be",
    question="How warm will the tank be after the new water, and how warm must that be?",
    asks=(
        Ask(
            name="tank", label="The tank now", noun="the warmth of the tank", units=CELSIUS,
            low=0, high=45, quantity=Quantity.TEMPERATURE,
        ),
        Ask(
            name="new", label="The new water", noun="the warmth of the new water", units=CELSIUS,
            low=0, high=45, quantity=Quantity.TEMPERATURE, hint="Measure in the bucket.",
        ),
        Ask(
            name="poured", label="How much new water", noun="how much new water", units=LITERS,
            low=0.1, high=5000, known=known.planned_l,
        ),
        Ask(
            name="net", label="Water in the full tank", noun="the water in the tank", units=LITERS,
            low=0.1, high=5000, known=known.net_l,
        ),
        Ask(
            name="drop", label="It may fall by", noun="how far it may fall", units=DEGREES,
            low=0.1, high=10, known=known.allowed_drop_c,
        ),
    ),
    work=_work,
)  # fmt: skip
