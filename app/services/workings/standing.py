"""Tap water: what leaves it when it stands, and the conditioner by its label."""

from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number, short
from app.knowledge.model import Knowledge
from app.science.dilution import after_change, conditioner_ml, n_from_chloramine
from app.science.tap_water import hours_of_standing, left_after_standing
from app.services.workings import both_units, known
from app.services.workings.model import Ask, CannotWork, Choose, Given, Sum, Theme, Worked, Working
from app.services.workings.units import HOURS, LITERS, MG_PER_L, MILLILITERS

_MG: Final = f"{NBSP}mg/L"
_KINDS: Final = {"unknown": "Not known", "no": "Chlorine", "yes": "Chloramine"}
_RATES: Final = {
    "free chlorine": ("standing.chlorine-fast", "standing.chlorine-slow"),
    "chloramine": ("standing.chloramine-fast", "standing.chloramine-slow"),
}
_OF_KIND: Final = {
    "unknown": ("free chlorine", "chloramine"),
    "no": ("free chlorine",),
    "yes": ("chloramine",),
}


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    hours, start = given.number("hours"), given.maybe("start")
    sums, said, remarks = [], [], []
    for name in _OF_KIND[given.choices["kind"]]:
        fast, slow = (knowledge.value(key) / 100.0 for key in _RATES[name])
        least, most = (100.0 * left_after_standing(1.0, k, hours) for k in (fast, slow))
        share = f"{decimal(least, 0)} to {decimal(most, 0)}{NBSP}%"
        said.append(f"{share} of {name} is still there")
        text = f"e^(−{number(fast, 3)} × {number(hours, 1)}) to e^(−{number(slow, 3)} × "
        sums.append(Sum(f"Left of {name}", f"{text}{number(hours, 1)}) =", share))
        if start:
            ends = [left_after_standing(start, k, hours) for k in (fast, slow)]
            sums.append(
                Sum(
                    f"Where it began with {number(start, 2)}{_MG}",
                    f"{number(start, 2)} × {share} =",
                    f"{decimal(ends[0], 2)} to {decimal(ends[1], 2)}{_MG}",
                )
            )
            remarks.append(_days(name, start, fast, slow, knowledge))
    if "chloramine" in _OF_KIND[given.choices["kind"]]:
        bubbled = knowledge.value("standing.chloramine-bubbled") / 100.0
        left = 100.0 * left_after_standing(1.0, bubbled, hours)
        remarks.append(f"Even bubbled, {decimal(left, 0)}{NBSP}% of chloramine is still there.")
    return Worked(
        answer=f"After {number(hours, 1)}{NBSP}h {', and '.join(said)}.",
        warning="Standing does not get tap water ready. Treat it with conditioner, by its label.",
        sums=tuple(sums),
        remarks=(*remarks, *_REMARKS),
        sources=("sheikhi-2021", "garcia-anderson-2017", "epa-chlorine"),
        basis="A decay of the first order. Waters differ by more than the two rates show. The "
        "“24 hours” that are often named are common practice, and the tests do not bear them out.",
        cautions=("untreated_water",),
    )


_REMARKS: Final = (
    "Standing does good for two things: the warmth comes near the room, and gas leaves.",
    "A kit for free chlorine shows nothing where chloramine is. Ask for total chlorine.",
)


def _days(name: str, start: float, fast: float, slow: float, knowledge: Knowledge) -> str:
    trace = knowledge.value("chlorine.act")
    least, most = (hours_of_standing(start, trace, k) / 24.0 for k in (fast, slow))
    return (
        f"Down to {short(trace)}{_MG}, the line for water life, {name} would take "
        f"{decimal(least, 0)} to {decimal(most, 0)} days."
    )


def _kind(snapshot: TankSnapshot, knowledge: Knowledge) -> str:  # noqa: ARG001
    return snapshot.site.chloramine


def _night(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return knowledge.value("standing.hours")


STANDING = Working(
    slug="standing",
    theme=Theme.CHANGE,
    title="Tap water that stands",
    question="What really leaves tap water that stands overnight?",
    asks=(
        Choose(
            name="kind", label="What the water works adds", options=_KINDS, default="unknown",
            known=_kind, hint="The water works says it, on paper or by phone.",
        ),
        Ask(
            name="hours", label="It stands for", noun="the hours", units=HOURS, low=0, high=1000,
            known=_night,
        ),
        Ask(
            name="start", label="At the tap", noun="the amount at the tap", units=MG_PER_L, low=0,
            high=20, required=False, hint="As chlorine. Total chlorine, fresh from the tap.",
        ),
    ),
    work=_work,
)  # fmt: skip
_WHERE: Final = {"bucket": "The new water, in the bucket", "tank": "The whole tank, as labels ask"}


def _conditioner(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    new, net = given.number("new"), given.number("net")
    if new > net:
        raise CannotWork("More than the whole tank cannot be new water.", "new")
    label_ml, label_l = given.number("label_ml"), given.number("label_l")
    treated = new if given.choices["where"] == "bucket" else net
    amount = conditioner_ml(treated, label_ml, label_l)
    sums = [
        Sum(
            "By its label",
            f"{decimal(treated, 1)} × {number(label_ml, 2)} ÷ {number(label_l, 1)} =",
            f"{decimal(amount, 1)}{NBSP}mL",
        )
    ]
    remarks = [
        "The label counts. Where it asks for it, treat the water of the whole tank.",
        "Treat the water before it goes in, and give it the time that the label names.",
    ]
    if chloramine := given.maybe("chloramine"):
        leaves = n_from_chloramine(chloramine)
        brings = after_change(0.0, leaves, new / net)
        sums += (
            Sum(
                "Ammonia that chloramine leaves in the new water",
                f"{number(chloramine, 2)} × 0.1976 =",
                f"{decimal(leaves, 2)}{_MG} as N",
            ),
            Sum(
                "In the tank",
                f"{decimal(leaves, 2)} × {decimal(new, 1)} ÷ {decimal(net, 1)} =",
                f"{decimal(brings, 2)}{_MG} as N",
            ),
        )
        remarks.append("A grown filter takes that ammonia up. Test the day after.")
    return Worked(
        answer=f"{decimal(amount, 1)}{NBSP}mL of conditioner for {both_units.liters(treated)}.",
        sums=tuple(sums),
        remarks=tuple(remarks),
        basis="Arithmetic from the label. One N stands in each chloramine.",
        cautions=("untreated_water", "hands"),
        door="change",
        door_values={"liters_out": decimal(new, 1)},
    )


CONDITIONER = Working(
    slug="conditioner",
    theme=Theme.CHANGE,
    title="Conditioner by its label",
    question="How much conditioner does the new water want?",
    asks=(
        Ask(
            name="new", label="New water", noun="how much new water", units=LITERS, low=0.1,
            high=20000, known=known.planned_l,
        ),
        Ask(
            name="net", label="Water in the full tank", noun="the water in the tank", units=LITERS,
            low=0.1, high=20000, known=known.net_l,
        ),
        Choose(name="where", label="What the label treats", options=_WHERE, default="bucket"),
        Ask(
            name="label_ml", label="The label says", noun="the amount on the label",
            units=MILLILITERS, low=0.01, high=1000,
        ),
        Ask(
            name="label_l", label="for so much water", noun="the water on the label",
            units=LITERS, low=0.1, high=10000,
        ),
        Ask(
            name="chloramine", label="Chloramine in the tap water", noun="the chloramine",
            units=MG_PER_L, low=0, high=20, required=False,
            hint="As chlorine, from the report. Says what ammonia it leaves.",
        ),
    ),
    work=_conditioner,
)  # fmt: skip
