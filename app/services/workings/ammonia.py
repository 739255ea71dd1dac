"""How much of the ammonia harms: its share by pH and warmth, with what the cards leave open."""

from dataclasses import dataclass
from math import inf, isinf
from typing import Final

from app.domain.guard import card_reading
from app.domain.kit import Kit
from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number, short
from app.knowledge.model import Knowledge
from app.science.ammonia import (
    EPA_RANGE_C,
    EPA_RANGE_PH,
    epa2013_acute,
    epa2013_chronic,
    pka,
    total_for_unionized_mg_per_l,
    unionized_fraction,
    unionized_mg_per_l,
    unionized_range,
)
from app.science.units import nh3_from_n
from app.services.workings.model import Ask, CannotWork, Choose, Given, Sum, Theme, Worked, Working
from app.services.workings.units import AMMONIA, CELSIUS, PLAIN

_MG: Final = f"{NBSP}mg/L"
_PH_SCALE: Final = FACTS[Quantity.PH].impossible
_READ: Final = {"card": "A color card", "number": "A number, as from a meter"}


@dataclass(frozen=True, slots=True)
class _Total:
    """Total ammonia in mg/L as N, and what the card leaves open; `high` may be infinite."""

    best: float
    low: float
    high: float


def card_of(snapshot: TankSnapshot, quantity: Quantity) -> Kit | None:
    """The color card in use for a quantity; the one that was added last."""
    cards = [k for k in snapshot.kits if k.quantity is quantity and k.steps and not k.retired_on]
    return cards[-1] if cards else None


def widest_step(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    """The widest gap between two colors of the pH card in use."""
    card = card_of(snapshot, Quantity.PH)
    if card is None or len(card.steps) < 2:
        return None
    return max(b - a for a, b in zip(card.steps, card.steps[1:], strict=False))


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:
    total, ph, warmth = _total(given, snapshot), given.number("ph"), given.number("warmth")
    step = given.maybe("ph_step") or 0.0
    share = unionized_fraction(ph, warmth)
    best = unionized_mg_per_l(total.best, ph, warmth)
    low, high = unionized_range(
        total.low,
        total.high,
        max(ph - step, _PH_SCALE[0]),
        min(ph + step, _PH_SCALE[1]),
        warmth,
        warmth,
    )
    exponent = f"{decimal(pka(warmth), 3)} − {number(ph, 2)}"
    return Worked(
        answer=f"{_about(best)}{_MG} (as N) of it harms: {_percent(share)} of the ammonia.",
        spread=_spread(low, high, best),
        warning=_warning(best, knowledge),
        sums=(
            Sum(f"pKa at {decimal(warmth, 1)}{NBSP}°C", "", decimal(pka(warmth), 3)),
            Sum("Harmful share", f"1 ÷ (1 + 10^({exponent})) =", _percent(share)),
            Sum(
                "Harmful part, as N and as NH3",
                f"{short(round(total.best, 3))} × {decimal(share, 4)} =",
                f"{decimal(best, 4)}{_MG} as N",
                f"× 1.216 = {decimal(nh3_from_n(best), 4)}{_MG} as NH3",
            ),
            _matters(ph, warmth, knowledge),
        ),
        remarks=(
            *_watch(best, high, knowledge),
            (
                f"Three numbers make it: ammonia {short(round(total.best, 3))}{_MG} as N, "
                f"pH {number(ph, 2)}, {decimal(warmth, 1)}{NBSP}°C. Test all three within an hour."
            ),
            (
                "Hard water: the sum reads up to one tenth too high. "
                "A pH 0.1 too high adds a quarter."
            ),
            "Some conditioners bind ammonia, and the kit still shows it. Read the label.",
            *_background(ph, warmth),
        ),
        sources=("emerson-1975", "ornamental-criteria", "uf-fa16", "epa-ammonia-2013"),
        basis="The share follows Emerson and others. The three lines are those of the rules: "
        "the page of numbers says how sure each is.",
        cautions=("water_change", "untreated_water"),
    )


def _total(given: Given, snapshot: TankSnapshot) -> _Total:
    best, lighter, darker = given.number("total"), given.maybe("lighter"), given.maybe("darker")
    if lighter is not None and lighter > best:
        raise CannotWork("The lighter color cannot stand for more than the one read.", "lighter")
    if darker is not None and darker < best:
        raise CannotWork("The darker color cannot stand for less than the one read.", "darker")
    if given.choices["read"] == "number":
        return _Total(best, best, best)
    if lighter is None and darker is None:
        return _by_card(best, snapshot)
    return _Total(best, lighter or 0.0, inf if darker is None else darker)


def _by_card(best: float, snapshot: TankSnapshot) -> _Total:
    """The neighbors of a color on the card in use, where it has that color."""
    card = card_of(snapshot, Quantity.AMMONIA)
    if card is not None:
        to_kept = FACTS[card.quantity].unit_named(card.unit, card.basis).to_kept
        for step in card.steps:
            if abs(to_kept(step) - best) < _SAME_COLOR:
                read = card_reading(card, f"{step:g}")
                return _Total(best, read.low or 0.0, inf if read.high is None else read.high)
    raise CannotWork("Enter the next lighter and the next darker color of the card.", "lighter")


_SAME_COLOR: Final = 0.005
_LEAST_SHOWN: Final = 0.0005


def _about(value: float) -> str:
    return "Less than 0.001" if 0.0 < value < _LEAST_SHOWN else f"About {_part(value)}"


def _part(value: float) -> str:
    if value < _LEAST_SHOWN:
        return "0"
    return decimal(value, 3 if value < 1 else 2)


def _percent(share: float) -> str:
    percent = share * 100.0
    return f"{decimal(percent, 2 if percent < 10 else 1)}{NBSP}%"


def _spread(low: float, high: float, best: float) -> str:
    if low == high:
        return ""
    ends = f"{_part(low)} and {_part(high)}{_MG}"
    if isinf(high):
        return f"More than {_part(low)}{_MG}, best guess {_part(best)}: the card ends here."
    return f"Between {ends}, best guess {_part(best)}."


def _lines(knowledge: Knowledge) -> tuple[float, float, float]:
    return (
        knowledge.value("ammonia.free-watch"),
        knowledge.value("ammonia.free-act"),
        knowledge.value("ammonia.free-emergency"),
    )


def _warning(best: float, knowledge: Knowledge) -> str:
    _, act, emergency = _lines(knowledge)
    if best >= emergency:
        return (
            f"From {short(emergency)}{_MG} on it can kill. Feed nothing, move the water, "
            "get a grown-up, write the test down: Today says what comes first."
        )
    if best >= act:
        return f"From {short(act)}{_MG} on it hurts gills. Write the test down: Today says more."
    return ""


def _watch(best: float, high: float, knowledge: Knowledge) -> tuple[str, ...]:
    """What to do below the line to act, where it could be over the lowest one."""
    watch, act, _ = _lines(knowledge)
    if best >= act or max(best, high) < watch:
        return ()
    said = f"It is, or could be, over {short(watch)}{_MG}."
    return (f"{said} Keep an eye on it: feed less, test again tomorrow.",)


def _matters(ph: float, warmth: float, knowledge: Knowledge) -> Sum:
    totals = [total_for_unionized_mg_per_l(line, ph, warmth) for line in _lines(knowledge)]
    names = ("keep an eye on it", "act", "act now")
    said = [f"{_short(t)} ({name})" for t, name in zip(totals, names, strict=True)]
    return Sum(
        "Total ammonia at which it would matter in this water",
        " or ".join(short(line) for line in _lines(knowledge)) + f" ÷ {_fraction(ph, warmth)} =",
        f"{', '.join(said)}{_MG} as N",
        "In a tank with a grown filter a total of "
        f"{short(knowledge.value('ammonia.total-watch'))}{_MG} is a sign of its own.",
    )


def _fraction(ph: float, warmth: float) -> str:
    return f"{unionized_fraction(ph, warmth):.3g}"


def _short(total: float) -> str:
    return decimal(total, 2 if total < 10 else 0)


def _background(ph: float, warmth: float) -> tuple[str, ...]:
    if not (
        EPA_RANGE_PH[0] <= ph <= EPA_RANGE_PH[1] and EPA_RANGE_C[0] <= warmth <= EPA_RANGE_C[1]
    ):
        return ()
    chronic = decimal(epa2013_chronic(ph, warmth), 2)
    acute = decimal(epa2013_acute(ph, warmth), 1)
    return (
        (
            f"Background only, no limit for a tank: the US criteria for wild waters at this pH and "
            f"warmth are {chronic}{_MG} of total ammonia over 30 days and {acute} for an hour. "
            "Mussels and snails set the first."
        ),
    )


def _how_read(snapshot: TankSnapshot, knowledge: Knowledge) -> str:  # noqa: ARG001
    kits = [k for k in snapshot.kits if k.quantity is Quantity.AMMONIA and not k.retired_on]
    return "number" if kits and not kits[-1].steps else "card"


AMMONIA_PART = Working(
    slug="ammonia",
    theme=Theme.TESTS,
    title="The harmful part of ammonia",
    question="How much of the ammonia harms in this water, at least and at most?",
    asks=(
        Ask(
            name="total", label="Ammonia (total)", noun="the total ammonia", units=AMMONIA, low=0,
            high=100, quantity=Quantity.AMMONIA, hint="What the kit shows, and its unit.",
        ),
        Choose(
            name="read", label="What showed it", options=_READ, default="card", known=_how_read,
        ),
        Ask(
            name="lighter", label="Next lighter color", noun="the next lighter color",
            units=AMMONIA, low=0, high=100, required=False, quantity=Quantity.AMMONIA,
            hint="Of the card. Empty: as on your own card, where it is known.",
        ),
        Ask(
            name="darker", label="Next darker color", noun="the next darker color",
            units=AMMONIA, low=0, high=100, required=False, quantity=Quantity.AMMONIA,
        ),
        Ask(
            name="ph", label="pH", noun="the pH", units=PLAIN, low=4, high=10,
            quantity=Quantity.PH, hint="Of the same hour.",
        ),
        Ask(
            name="ph_step", label="pH card: one color to the next", noun="the step of the pH card",
            units=PLAIN, low=0, high=2, required=False, known=widest_step,
            hint="So far off the pH may be. Empty for a meter.",
        ),
        Ask(
            name="warmth", label="Temperature", noun="the temperature", units=CELSIUS, low=0,
            high=45, quantity=Quantity.TEMPERATURE,
        ),
    ),
    work=_work,
    more=(("Write down the test", "writing.test"),),
)  # fmt: skip
