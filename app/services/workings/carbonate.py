"""Carbon dioxide at most, from KH and pH; and the KH that a filter uses up."""

from math import floor, log10
from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number, short
from app.knowledge.model import Knowledge
from app.science.carbonate import (
    CO2_RANGE_DKH,
    CO2_RANGE_PH,
    alkalinity_used_by_nitrification_dkh,
    co2_mg_per_l,
    pk1,
)
from app.science.dilution import settles_at
from app.science.nitrogen import days_until
from app.science.units import n_from_no3
from app.services.workings import known
from app.services.workings.model import Ask, CannotWork, Choose, Given, Sum, Theme, Worked, Working
from app.services.workings.units import CELSIUS, DAYS, KH, NITRATE, PERCENT, PLAIN

_MG: Final = f"{NBSP}mg/L"
_DKH: Final = f"{NBSP}°dKH"
_OTHER: Final = {
    "none": "Nothing that we know of",
    "wood": "Wood or leaves that color the water",
    "acid": "Peat, phosphate or an acid, in the last weeks",
}


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    kh, ph, warmth = given.number("kh"), given.number("ph"), given.number("warmth")
    _refuse(kh, ph, given.choices["other"])
    co2 = co2_mg_per_l(kh, ph, warmth)
    air = knowledge.value("carbon-dioxide.air")
    remarks = [
        (
            "KH tests count every buffer as carbonate. What else is in the water makes the true "
            "amount smaller, never larger."
        ),
        "It is a guess with one digit. Watch the fish: fast breathing counts more than this.",
    ]
    if co2 < air:
        remarks.insert(
            0,
            f"That is below the {short(air)}{_MG} that air alone brings. At rest this means "
            "strong plants, or a pH or KH that was read wrong. Test both once more.",
        )
    return Worked(
        answer=f"At most about {one_digit(co2)}{_MG} of carbon dioxide.",
        spread=_spread(kh, ph, warmth, knowledge),
        warning=_WOOD if given.choices["other"] == "wood" else "",
        sums=(
            Sum(f"pK1 at {decimal(warmth, 1)}{NBSP}°C", "", decimal(pk1(warmth), 3)),
            Sum(
                "Carbon dioxide, in a short form",
                f"44 × {number(kh, 1)} ÷ 2.80 × 10^({decimal(pk1(warmth), 2)} − {number(ph, 2)}) ≈",
                f"{one_digit(co2)}{_MG}",
                "The page itself works with all terms of the balance.",
            ),
        ),
        remarks=tuple(remarks),
        sources=("plummer-busenberg-1982",),
        basis="Charge balance of water in which carbonate is the only buffer, without the effect "
        "of other salts: it reads up to one tenth high in ordinary tap water.",
    )


_WOOD: Final = (
    "Do not rely on this number: wood and leaves give off acids that the KH test does not tell "
    "from carbonate. The true amount may be far smaller."
)


def _refuse(kh: float, ph: float, other: str) -> None:
    if not CO2_RANGE_DKH[0] <= kh <= CO2_RANGE_DKH[1]:
        ends = f"{short(CO2_RANGE_DKH[0])} to {short(CO2_RANGE_DKH[1])}"
        raise CannotWork(f"The sum holds only for KH from {ends}{_DKH}.", "kh")
    if not CO2_RANGE_PH[0] <= ph <= CO2_RANGE_PH[1]:
        ends = f"{decimal(CO2_RANGE_PH[0], 1)} to {short(CO2_RANGE_PH[1])}"
        raise CannotWork(f"The sum holds only for pH from {ends}.", "ph")
    if other == "acid":
        raise CannotWork(
            "With peat, phosphate or an acid in the water the sum says far too much. "
            "There is no number to give.",
            "other",
        )


def _spread(kh: float, ph: float, warmth: float, knowledge: Knowledge) -> str:
    ph_off = knowledge.value("carbon-dioxide.ph-off")
    kh_off = knowledge.value("carbon-dioxide.kh-off")
    least_kh = max(kh - kh_off, CO2_RANGE_DKH[0])
    most_kh = min(kh + kh_off, CO2_RANGE_DKH[1])
    least = co2_mg_per_l(least_kh, min(ph + ph_off, CO2_RANGE_PH[1]), warmth)
    most = co2_mg_per_l(most_kh, max(ph - ph_off, CO2_RANGE_PH[0]), warmth)
    return (
        f"Between {one_digit(least)} and {one_digit(most)}{_MG} at most, "
        f"where pH is off by {short(ph_off)} and KH by {short(kh_off)}{_DKH}."
    )


def one_digit(value: float) -> str:
    """A positive number with one significant digit: 16.4 is "20", 0.34 is "0.3"."""
    places = -floor(log10(value))
    return decimal(round(value, places), max(places, 0))


CARBON_DIOXIDE = Working(
    slug="carbon-dioxide",
    theme=Theme.TESTS,
    title="Carbon dioxide at most",
    question="How much carbon dioxide can there be, by KH and pH?",
    asks=(
        Ask(
            name="kh", label="Carbonate hardness (KH)", noun="the KH", units=KH, low=0, high=60,
            quantity=Quantity.KH,
        ),
        Ask(
            name="ph", label="pH", noun="the pH", units=PLAIN, low=4, high=10,
            quantity=Quantity.PH, hint="Of the same hour.",
        ),
        Ask(
            name="warmth", label="Temperature", noun="the temperature", units=CELSIUS, low=0,
            high=45, quantity=Quantity.TEMPERATURE,
        ),
        Choose(name="other", label="What else is in the water", options=_OTHER, default="none"),
    ),
    work=_work,
)  # fmt: skip


def _used(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    nitrate, days = given.number("formed"), given.number("days")
    kh, tap, share = given.maybe("kh"), given.maybe("tap"), given.maybe("share") or 0.0
    as_n = n_from_no3(nitrate)
    used = alkalinity_used_by_nitrification_dkh(as_n)
    if used <= 0.0:
        raise CannotWork("Without new nitrate no KH is used. Enter more than 0.", "formed")
    each = days_until(0.0, 1.0, used / days)
    sums = [
        Sum("As N", f"{number(nitrate, 2)} ÷ 4.427 =", f"{decimal(as_n, 2)}{_MG} as N"),
        Sum("KH used", f"{decimal(as_n, 2)} × 0.400 =", f"{decimal(used, 2)}{_DKH}"),
        Sum(
            f"Days for 1{_DKH}, without water changes",
            f"{number(days, 1)} ÷ {decimal(used, 2)} =",
            f"{decimal(each, 1)} days",
        ),
    ]
    if tap is not None and share > 0.0:
        point = settles_at(tap, -used, share / 100.0)
        sums.append(
            Sum(
                "Where KH settles with the changes",
                f"{number(tap, 1)} − {decimal(used, 2)} ÷ {number(share / 100.0, 2)} =",
                f"{decimal(point.before_change, 1)}{_DKH}",
                "Just before a change. Below 0 means: used up before it settles.",
            )
        )
    return Worked(
        answer=f"The filter uses {decimal(used, 2)}{_DKH} in {number(days, 1)} days: "
        f"1{_DKH} every {decimal(each, 1)} days.",
        sums=tuple(sums),
        remarks=(*_left(kh, used / days, knowledge), *_USED_REMARKS),
        basis="Stoichiometry: two parts of acid for each part of nitrogen, 0.400 °dKH for 1 mg/L "
        "as N.",
        cautions=("untreated_water",),
    )


_USED_REMARKS: Final = (
    "With plants less is used: what they take up as nitrate gives KH back.",
    "The nitrate that formed, not the nitrate that is left: add what plants took, as far as known.",
    "New tap water brings KH back. No powder is needed for that.",
)


def _left(kh: float | None, per_day: float, knowledge: Knowledge) -> tuple[str, ...]:
    if kh is None:
        return ()
    line = knowledge.value("kh.watch")
    days = days_until(-kh, -line, per_day)
    if days <= 0.0:
        return (f"KH is down to {short(line)}{_DKH} already. Small changes with tap water help.",)
    return (
        (
            f"From {number(kh, 1)} down to {short(line)}{_DKH} it takes about "
            f"{decimal(days, 0)} days without a water change."
        ),
    )


def _tap_kh(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    return snapshot.site.tap_value(Quantity.KH)


def change_days(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    """Days from one planned water change to the next."""
    return float(snapshot.tank.plan.water_change_days)


KH_USED = Working(
    slug="kh-used",
    theme=Theme.FOOD,
    title="KH that the filter uses",
    question="How fast does the filter use up the carbonate hardness?",
    asks=(
        Ask(
            name="formed", label="Nitrate that formed", noun="the nitrate that formed",
            units=NITRATE, low=0, high=1000, quantity=Quantity.NITRATE,
            hint="From “Nitrate from food”, or how much the tests rose.",
        ),
        Ask(
            name="days", label="In so many days", noun="the days", units=DAYS, low=1, high=365,
            known=change_days,
        ),
        Ask(
            name="kh", label="KH now", noun="the KH now", units=KH, low=0, high=60,
            required=False, quantity=Quantity.KH,
        ),
        Ask(
            name="tap", label="KH of the tap water", noun="the KH of the tap water", units=KH,
            low=0, high=60, required=False, known=_tap_kh, quantity=Quantity.KH,
        ),
        Ask(
            name="share", label="Water changed each time", noun="the share of the water",
            units=PERCENT, low=0, high=100, required=False, known=known.planned_percent,
            hint="Once in the days above.",
        ),
    ),
    work=_used,
)  # fmt: skip
