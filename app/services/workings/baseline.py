"""The tank beside its tap water: what the tank itself adds and uses up."""

from typing import Final

from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, unit_and_basis, with_unit
from app.knowledge.model import Knowledge
from app.services.workings import units
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working

_NAMES: Final = {
    Quantity.NITRATE: "Nitrate",
    Quantity.KH: "KH",
    Quantity.GH: "GH",
    Quantity.PH: "pH",
}
_MEANS: Final = {
    (Quantity.NITRATE, 1): "Food becomes nitrate. Plants and water changes take it out.",
    (Quantity.NITRATE, -1): "Plants take up more than the food brings. Or test both once more.",
    (Quantity.KH, 1): "Stones, sand or shells give lime off, or water evaporated.",
    (Quantity.KH, -1): "The filter uses KH up. New water brings it back.",
    (Quantity.GH, 1): "Top-ups leave their minerals behind, or stones give lime off.",
    (Quantity.GH, -1): "Softer water went in at some time, or test both once more.",
    (Quantity.PH, 1): "Plants in light, lime, or gas that left the water.",
    (Quantity.PH, -1): "Carbon dioxide of the night, wood, or KH that is used up.",
}


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    sums, remarks, said = [], [], []
    for quantity, name in _NAMES.items():
        tank, tap = (given.maybe(f"{place}_{quantity.value}") for place in ("tank", "tap"))
        if (tank is None) != (tap is None):
            empty = "tank" if tank is None else "tap"
            raise CannotWork("Enter both, or none.", f"{empty}_{quantity.value}")
        if tank is None or tap is None:
            continue
        facts = FACTS[quantity]
        apart = round(tank - tap, facts.decimals)
        texts = [decimal(value, facts.decimals) for value in (tank, tap, abs(apart))]
        unit = unit_and_basis(quantity)
        answer = with_unit(("−" if apart < 0 else "") + texts[2], unit)
        sums.append(Sum(name, f"{texts[0]} − {texts[1]} =", answer))
        if apart:
            word = "more" if apart > 0 else "less"
            said.append(f"{name} {texts[2]} {word}")
            remarks.append(f"{name}: {_MEANS[quantity, 1 if apart > 0 else -1]}")
        else:
            said.append(f"{name} the same")
    if not sums:
        raise CannotWork("Enter at least one value of the tank and the tap.", "tank_nitrate")
    return Worked(
        answer=f"The tank, against its tap water: {', '.join(said)}.",
        sums=tuple(sums),
        remarks=(
            *remarks,
            "Test tap water that stood open overnight: gas in fresh tap water moves its pH.",
            "Both with the same kit, on the same day.",
        ),
        basis="Subtraction. What a difference means is common practice, no single source.",
    )


def _ask(place: str, words: str, quantity: Quantity) -> Ask:
    facts = FACTS[quantity]
    low, high = facts.impossible
    label = f"{_NAMES[quantity]} {words}"
    return Ask(
        name=f"{place}_{quantity.value}", label=label, noun=label, units=units.of(quantity),
        low=low, high=high, required=False, quantity=quantity,
    )  # fmt: skip


BASELINE = Working(
    slug="tap-water",
    theme=Theme.CHANGE,
    title="Tank beside tap",
    question="How far is the tank from its tap water?",
    asks=tuple(
        _ask(place, words, quantity)
        for quantity in _NAMES
        for place, words in (("tank", "in the tank"), ("tap", "in the tap water"))
    ),
    work=_work,
)
