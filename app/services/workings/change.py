"""How much water to change so that nitrate comes down to what is wanted."""

from math import ceil
from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, count, decimal, number
from app.knowledge.model import Knowledge
from app.science.dilution import (
    CannotBeReached,
    after_changes,
    conditioner_ml,
    fraction_for_target,
)
from app.services.workings import both_units, known
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working
from app.services.workings.units import (
    LITERS,
    LITERS_PER_CM,
    MILLILITERS,
    NITRATE,
    PERCENT,
    TIMES,
)

_MG: Final = f"{NBSP}mg/L"
_QUARTERS: Final = ("", "¼", "½", "¾")


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    now, wanted, tap = given.number("now"), given.maybe("wanted"), given.number("tap")
    share, times = given.maybe("share"), int(given.number("times"))
    if wanted is None and share is None:
        raise CannotWork("Enter what you want to reach, or how much you want to change.", "wanted")
    if wanted is None:
        return _of_share(given, (share or 0.0) / 100.0, times, knowledge)
    try:
        at_once = fraction_for_target(now, wanted, tap)
    except CannotBeReached:
        raise CannotWork(_out_of_reach(now, wanted, tap), "wanted") from None
    each = 1.0 - (1.0 - at_once) ** (1.0 / times)
    sums = [
        Sum(
            "Share at once",
            f"({_n(now)} − {_n(wanted)}) ÷ ({_n(now)} − {_n(tap)}) =",
            _percent(at_once),
        )
    ]
    if times > 1:
        left = decimal(1.0 - at_once, 3)
        sums.append(Sum(f"In {times} equal changes", f"1 − {left}^(1 ÷ {times}) =", _percent(each)))
    amount = _amounts(given, each)
    begins = "Change" if times == 1 else f"{times} changes of"
    return Worked(
        answer=f"{begins} {_percent(each)}: {amount.line}.",
        warning=_too_much(each, knowledge),
        sums=(*sums, *amount.sums),
        remarks=(*_with_less(given, times), *amount.remarks),
        basis=_BASIS,
        cautions=_CAUTIONS,
        door="change",
        door_values={"liters_out": decimal(each * given.number("net"), 1), "volume_unit": "L"},
    )


def _with_less(given: Given, times: int) -> tuple[str, ...]:
    share = given.maybe("share")
    if share is None:
        return ()
    after = after_changes(given.number("now"), given.number("tap"), share / 100.0, times)
    return (f"With {_percent(share / 100.0)} only: {decimal(after, 1)}{_MG} as nitrate.",)


def _of_share(given: Given, share: float, times: int, knowledge: Knowledge) -> Worked:
    now, tap = given.number("now"), given.number("tap")
    after = after_changes(now, tap, share, times)
    amount = _amounts(given, share)
    power = f"^{times}" if times > 1 else ""
    what = "One change" if times == 1 else f"{times} changes"
    return Worked(
        answer=f"{what} of {_percent(share)}, {amount.line}: "
        f"nitrate goes to {decimal(after, 1)}{_MG}.",
        warning=_too_much(share, knowledge),
        sums=(
            Sum(
                "Nitrate after it",
                f"{_n(tap)} + ({_n(now)} − {_n(tap)}) × {number(1.0 - share, 3)}{power} =",
                f"{decimal(after, 1)}{_MG}",
            ),
            *amount.sums,
        ),
        remarks=amount.remarks,
        basis=_BASIS,
        cautions=_CAUTIONS,
        door="change",
        door_values={"liters_out": decimal(share * given.number("net"), 1), "volume_unit": "L"},
    )


_BASIS: Final = (
    "A balance of mass for what dissolves and stays. All three numbers as nitrate, or all as N: "
    "the page turns one into the other."
)
_CAUTIONS: Final = ("water_change", "untreated_water", "siphon", "hands")


class _Amount:
    """A share of the water in liters, buckets, centimeters and conditioner."""

    def __init__(self, line: str, sums: tuple[Sum, ...], remarks: tuple[str, ...]) -> None:
        self.line = line
        self.sums = sums
        self.remarks = remarks


def _amounts(given: Given, share: float) -> _Amount:
    net = given.number("net")
    liters = net * share
    l_text = decimal(liters, 1)
    sums = [
        Sum("Liters", f"{decimal(net, 1)} × {_percent(share)} =", both_units.liters_only(liters))
    ]
    parts = [both_units.liters(liters)]
    if layer := given.maybe("layer"):
        level = liters / layer
        parts.append(f"{both_units.length(level)} of level")
        fall = f"{decimal(level, 1)}{NBSP}cm"
        sums.append(Sum("Level", f"{l_text} ÷ {number(layer, 2)} =", fall))
    if bucket := given.maybe("bucket"):
        said = _buckets(liters / bucket)
        parts.append(f"{said} of {both_units.liters_only(bucket, 0 if bucket % 1 == 0 else 1)}")
        sums.append(Sum("Buckets", f"{l_text} ÷ {number(bucket, 1)} =", said))
    return _Amount(", ".join(parts), (*sums, *_conditioner(given, liters)), _wet_remarks(given))


def _conditioner(given: Given, liters: float) -> tuple[Sum, ...]:
    label_ml, label_l = given.maybe("label_ml"), given.maybe("label_l")
    if (label_ml is None) != (label_l is None):
        name = "label_ml" if label_ml is None else "label_l"
        raise CannotWork("Enter both numbers of the label, or none.", name)
    if label_ml is None or label_l is None:
        return ()
    amount = conditioner_ml(liters, label_ml, label_l)
    return (
        Sum(
            "Conditioner for the new water, by its label",
            f"{decimal(liters, 1)} × {number(label_ml, 2)} ÷ {number(label_l, 1)} =",
            f"{decimal(amount, 1)}{NBSP}mL",
        ),
    )


def _wet_remarks(given: Given) -> tuple[str, ...]:
    if given.maybe("label_ml") is None:
        return ("Treat the new water with conditioner, as its label says.",)
    return ("The label counts. Where it asks for it, treat the water of the whole tank.",)


def _buckets(number_of: float) -> str:
    """Buckets to a quarter: "4¼ buckets"; a little rest is a quarter."""
    quarters = max(1, round(number_of * 4.0)) if number_of > 0 else 0
    whole, rest = divmod(quarters, 4)
    text = f"{whole or ''}{_QUARTERS[rest]}" or "0"
    return f"{text} {'bucket' if quarters <= 4 else 'buckets'}"


def _out_of_reach(now: float, wanted: float, tap: float) -> str:
    said = f"{_n(wanted)}{_MG} can’t be reached with this tap water of {_n(tap)}{_MG}"
    if min(now, tap) < wanted:
        return f"{said}: the tank has {_n(now)}{_MG} now, and new water does not raise it so far."
    return f"{said}. Look at the units: as nitrate, or as N?"


def _too_much(share: float, knowledge: Knowledge) -> str:
    most = knowledge.value("change.most")
    if share * 100.0 <= most + 1e-9:
        return ""
    days = ceil(round(share * 100.0 / most, 6))
    return (
        f"More than {number(most, 0)}{NBSP}% in one day changes pH and minerals at once, too. "
        f"Spread it over {count(max(days, 2), 'day', 'days')} or more, unless a task says now."
    )


def _percent(share: float) -> str:
    return f"{number(share * 100.0, 1)}{NBSP}%"


def _n(value: float) -> str:
    return number(value, 1)


CHANGE = Working(
    slug="change",
    theme=Theme.CHANGE,
    title="Plan a water change",
    question="How much water must go out so that nitrate comes down to what we want?",
    asks=(
        Ask(
            name="now", label="Nitrate in the tank", noun="nitrate in the tank", units=NITRATE,
            low=0, high=1000, quantity=Quantity.NITRATE,
        ),
        Ask(
            name="tap", label="Nitrate in the tap water", noun="nitrate in the tap water",
            units=NITRATE, low=0, high=1000, known=known.tap_nitrate, quantity=Quantity.NITRATE,
            hint="As it stands in Settings. Tap water changes: test it now and then.",
        ),
        Ask(
            name="wanted", label="Nitrate wanted", noun="nitrate wanted", units=NITRATE, low=0,
            high=1000, required=False, quantity=Quantity.NITRATE,
        ),
        Ask(
            name="share", label="Or: change so much", noun="the share of the water",
            units=PERCENT, low=1, high=100, required=False,
            hint="Says what that does to nitrate.",
        ),
        Ask(
            name="times", label="In how many changes", noun="the number of changes", units=TIMES,
            low=1, high=20, known=lambda s, k: 1.0,  # noqa: ARG005
        ),
        Ask(
            name="net", label="Water in the tank", noun="the water in the tank", units=LITERS,
            low=0.1, high=20000, known=known.net_l,
        ),
        Ask(
            name="layer", label="One centimeter of level holds",
            noun="what one centimeter of level holds", units=LITERS_PER_CM, low=0.01, high=1000,
            required=False, known=known.centimeter_l,
            hint="Length × width ÷ 1000, inside, in cm.",
        ),
        Ask(
            name="bucket", label="Your bucket holds", noun="what your bucket holds", units=LITERS,
            low=0.5, high=100, required=False,
        ),
        Ask(
            name="label_ml", label="Conditioner: the label says", noun="the amount on the label",
            units=MILLILITERS, low=0.01, high=1000, required=False,
        ),
        Ask(
            name="label_l", label="for so much water", noun="the water on the label",
            units=LITERS, low=0.1, high=10000, required=False,
        ),
    ),
    work=_work,
)  # fmt: skip
