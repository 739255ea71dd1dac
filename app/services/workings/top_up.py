"""Evaporated water: how much is missing, how nitrate reads meanwhile, what a top-up does."""

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number
from app.knowledge.model import Knowledge
from app.science.dilution import after_evaporation, after_top_up
from app.services.workings import both_units, known
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working
from app.services.workings.units import LEVEL, LITERS, LITERS_PER_CM, NITRATE

_MG = f"{NBSP}mg/L"


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    down, layer, net = given.number("down"), given.number("layer"), given.number("net")
    gone = down * layer
    if gone >= net:
        raise CannotWork("That is more water than the tank holds.", "down")
    fell, missing = number(down, 2), decimal(gone, 1)
    sums = [Sum("Missing", f"{fell} × {number(layer, 2)} =", both_units.liters_only(gone))]
    nitrate, tap = given.maybe("nitrate"), given.maybe("tap")
    remarks = ["It takes nothing out, so it is no water change. It is not counted as one."]
    if nitrate is not None:
        low = after_evaporation(nitrate, net, gone)
        left = decimal(net - gone, 1)
        sums.append(
            Sum(
                "Nitrate with that water gone",
                f"{number(nitrate, 1)} × {decimal(net, 1)} ÷ {left} =",
                f"{decimal(low, 1)}{_MG}",
            )
        )
        says = f"Nitrate of {number(nitrate, 1)} at the full level reads as {decimal(low, 1)} now"
        if tap is not None:
            after = after_top_up(low, tap, net - gone, gone)
            sums.append(
                Sum(
                    "Nitrate after the top-up",
                    f"({decimal(low, 1)} × {left} + {number(tap, 1)} × {missing})"
                    f" ÷ {decimal(net, 1)} =",
                    f"{decimal(after, 1)}{_MG}",
                )
            )
            added = decimal(after - nitrate, 1)
            says += f", and {decimal(after, 1)} after the top-up: the tap water adds {added}"
        remarks.insert(0, f"{says}.")
    return Worked(
        answer=f"{both_units.liters(gone)} are missing.",
        sums=tuple(sums),
        remarks=tuple(remarks),
        basis="A balance of mass: water goes into the air, what is dissolved in it stays.",
        cautions=("untreated_water", "heater"),
        door="change",
        door_values={"job": "top_up", "liters_in": missing, "volume_unit": "L"},
    )


TOP_UP = Working(
    slug="top-up",
    theme=Theme.CHANGE,
    title="Fill up what evaporated",
    question="The level fell. How many liters are missing, and what does that do?",
    asks=(
        Ask(name="down", label="The level fell by", noun="how far the level fell", units=LEVEL,
            low=0.05, high=100),
        Ask(
            name="layer", label="One centimeter of level holds",
            noun="what one centimeter of level holds", units=LITERS_PER_CM, low=0.01, high=1000,
            known=known.centimeter_l, hint="Length × width ÷ 1000, inside, in cm.",
        ),
        Ask(name="net", label="Water in the full tank", noun="the water in the tank",
            units=LITERS, low=0.1, high=20000, known=known.net_l),
        Ask(
            name="nitrate", label="Nitrate when it was full", noun="nitrate when it was full",
            units=NITRATE, low=0, high=1000, required=False, quantity=Quantity.NITRATE,
        ),
        Ask(
            name="tap", label="Nitrate in the water you add", noun="nitrate in the new water",
            units=NITRATE, low=0, high=1000, required=False, known=known.tap_nitrate,
            quantity=Quantity.NITRATE, hint="About 0 for rain or filtered water.",
        ),
    ),
    work=_work,
)  # fmt: skip
