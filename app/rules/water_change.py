"""How much water one change takes, as liters and as centimeters of level, with the working."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from app.domain.calendar import day_start
from app.domain.measures import fall_cm, net_volume
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Tank, TankForm
from app.domain.wording import (
    NBSP,
    bare_degrees,
    decimal,
    degrees,
    degrees_apart,
    short,
    water_amount,
    with_unit,
)
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, WorkingLine
from app.rules.showing import remark
from app.science.dilution import after_change, lowest_new_water_c

KEY: Final = "water-change"
ENOUGH: Final = "Much water was changed today: only a little more now."
CAUTIONS: Final = ("water_change", "siphon", "heater", "hands")


@dataclass(frozen=True, slots=True)
class SizedChange:
    """A water change as one task asks for it: its action, the working, and how warm."""

    action: Action
    working: tuple[WorkingLine, ...]
    advice: str


def change_action(share: float, concern: Concern) -> Action:
    """Ask for a water change of a share (0 to 1) of the net volume."""
    return Action(
        key=KEY,
        title="Change water",
        child_title="Change some water with a grown-up.",
        concern=concern,
        door="change",
        job="water_change",
        adult=True,
        cautions=CAUTIONS,
        amount=share,
    )


def net_liters(tank: Tank) -> float | None:
    """The net volume in liters, or None where nobody measured the water depth."""
    volume = net_volume(tank.shape)
    return None if volume is None else volume.net_l


def asked_share(findings: Sequence[Finding]) -> float:
    """The share that one change takes for several reasons.

    The strongest reason says how much; among equals the larger amount, because one change
    serves all. What fights a large change bounds it (`at_most`): the smaller step, repeated.
    """
    changes = [f for f in findings if f.action.key == KEY]
    strongest = min(changes, key=lambda f: (-f.severity, f.action.concern, -f.action.amount))
    bounds = [f.action.at_most for f in findings if f.action.at_most > 0.0]
    return min([strongest.action.amount, *bounds])


def sized(
    action: Action, share: float, snapshot: TankSnapshot, knowledge: Knowledge
) -> SizedChange:
    """The action with its amount in the title, the working, and the warmth of the new water."""
    percent = with_unit(decimal(share * 100, 0), "%")
    net = net_liters(snapshot.tank)
    if net is None:
        title = f"Change {percent} of the water"
        working: list[WorkingLine] = [remark("The water volume is not known: nobody measured it.")]
    else:
        liters = net * share
        title = f"Change {water_amount(snapshot.site, liters)}, {percent}"
        working = _level_working(snapshot, net, share, percent)
    working += _nitrate_working(snapshot, share)
    warmth = _warmth(snapshot, share, knowledge)
    if warmth:
        working += warmth[0]
    return SizedChange(
        action=replace(action, title=title, amount=share),
        working=tuple(working),
        advice=warmth[1] if warmth else "",
    )


def _level_working(
    snapshot: TankSnapshot, net: float, share: float, percent: str
) -> list[WorkingLine]:
    shape = snapshot.tank.shape
    liters = net * share
    drop = fall_cm(shape, liters)
    lines = [
        remark("How much"),
        WorkingLine(
            f"{with_unit(decimal(net, 1), 'L')} × {percent} =", with_unit(decimal(liters, 1), "L")
        ),
    ]
    if not drop:
        return lines
    per_cm = liters / drop
    inside = ""
    if shape.form is TankForm.BOX:
        size = f"{short(shape.length_cm)} × {with_unit(short(shape.width_cm), 'cm')}"
        inside = f"inside {size} is "
    return [
        *lines,
        remark(
            f"How far the level drops: {inside}{with_unit(decimal(per_cm, 2), 'L')} for each cm"
        ),
        WorkingLine(
            f"{decimal(liters, 1)} ÷ {decimal(per_cm, 2)} =", with_unit(decimal(drop, 1), "cm")
        ),
    ]


def _nitrate_working(snapshot: TankSnapshot, share: float) -> list[WorkingLine]:
    reading = snapshot.latest(Quantity.NITRATE)
    tap = snapshot.site.tap_value(Quantity.NITRATE)
    if reading is None or tap is None or reading.value is None:
        return []
    kept = decimal(1 - share, 2)
    after = after_change(reading.value, tap, share)
    return [
        remark("What it does to nitrate, if the last test was right"),
        WorkingLine(
            f"{kept} × {short(reading.value)} + {decimal(share, 2)} × {short(tap)} =",
            with_unit(decimal(after, 0), "mg/L"),
        ),
    ]


def _warmth(
    snapshot: TankSnapshot, share: float, knowledge: Knowledge
) -> tuple[list[WorkingLine], str] | None:
    reading = snapshot.latest(Quantity.TEMPERATURE)
    if reading is None or not 0.0 < share <= 1.0:
        return None
    drop = knowledge.value("change.cool")
    coldest = lowest_new_water_c(reading.best, 1.0 - share, share, drop)
    text = degrees(snapshot.site, coldest)
    apart = degrees_apart(snapshot.site, drop)
    now = bare_degrees(snapshot.site, reading.best)
    step = f"{now} − {apart.partition(NBSP)[0]} ÷ {decimal(share, 2)} ="
    return [
        remark(f"How warm the new water must be, to cool the tank by {apart} at most"),
        WorkingLine(step, text),
    ], f"New water: {text} or warmer, and not warmer than the tank."


def changed_since(
    snapshot: TankSnapshot, moment: datetime, share: float, knowledge: Knowledge
) -> bool:
    """Whether about that share of the water was changed after a moment, as far as written.

    A change without liters, or in a tank without a known volume, counts: it was written.
    """
    changes = [j for j in snapshot.jobs_of(JobKind.WATER_CHANGE) if j.happened_at > moment]
    net = net_liters(snapshot.tank)
    if not changes or net is None or any(j.liters_out is None for j in changes):
        return bool(changes)
    wanted = net * share * knowledge.value("change.counts") / 100.0
    return sum(j.liters_out or 0.0 for j in changes) >= wanted - 1e-9


def changed_today(snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether a big change was written for the tank's local day: about a quarter or more."""
    midnight = day_start(snapshot.today, snapshot.site.zone) - timedelta(microseconds=1)
    return changed_since(snapshot, midnight, knowledge.value("change.least") / 100.0, knowledge)
