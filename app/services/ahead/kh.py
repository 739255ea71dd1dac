"""KH ahead, as facts and sums for a page: nothing here is measured."""

from dataclasses import dataclass
from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number
from app.estimates.kh import KhAhead, kh_ahead
from app.knowledge.model import Knowledge
from app.services.ahead.facts import NO_PLAN, Facts, between, nitrogen_sum
from app.services.workings.model import Sum

_WEEK: Final = 7
_DKH: Final = f"{NBSP}°dKH"


@dataclass(frozen=True, slots=True, kw_only=True)
class KhShown:
    """The estimate with its facts and its working; both empty where nothing is known."""

    ahead: KhAhead
    facts: Facts
    sums: tuple[Sum, ...]


def kh_shown(snapshot: TankSnapshot, knowledge: Knowledge) -> KhShown:
    """Look KH of one tank ahead."""
    ahead = kh_ahead(snapshot, knowledge)
    if not ahead.left.known:
        return KhShown(ahead=ahead, facts=(), sums=())
    return KhShown(ahead=ahead, facts=_facts(ahead, snapshot), sums=_sums(ahead, snapshot))


def _facts(ahead: KhAhead, snapshot: TankSnapshot) -> Facts:
    low, best, high = (each * _WEEK for each in ahead.used)
    each = decimal(ahead.days_each, 1)
    return (
        ("The filter uses", between((low, best, high), 2, "°dKH", " in a week")),
        ("Without a change", f"1{_DKH} goes every {each} days"),
        ("With this habit it settles at", _settled(ahead, snapshot)),
    )


def _settled(ahead: KhAhead, snapshot: TankSnapshot) -> str:
    plan = snapshot.tank.plan
    if plan.water_change_days <= 0 or plan.water_change_percent <= 0:
        return NO_PLAN
    if not ahead.settles:
        return "Cannot be told: nobody wrote the tap water’s KH."
    low, best, high = (max(point.before_change, 0.0) for point in ahead.settles)
    if best < ahead.line:
        return (
            f"{between((low, best, high), 1, '°dKH')}, right before a change. That "
            f"is below {number(ahead.line, 1)}{_DKH}: change more or more often, or feed less."
        )
    after = decimal(ahead.settles[1].after_change, 1)
    shown = between((low, best, high), 1, "°dKH")
    return f"{shown}, right before a change; {after} after it"


def _sums(ahead: KhAhead, snapshot: TankSnapshot) -> tuple[Sum, ...]:
    inputs = {each.name: each for each in ahead.left.inputs}
    a_day = ahead.used[1]
    per_n = a_day * ahead.net_l / ahead.nitrogen_mg
    sums = [
        nitrogen_sum(inputs["grams"].best, inputs["protein"].best / 100.0, ahead.nitrogen_mg),
        Sum(
            f"KH that the filter uses for it in a day: {decimal(per_n, 3)} for each mg/L",
            f"{decimal(ahead.nitrogen_mg, 2)} ÷ {decimal(ahead.net_l, 1)} × {decimal(per_n, 3)} =",
            f"{decimal(a_day, 4)}{_DKH}",
        ),
        Sum(
            f"Days for 1{_DKH} without a change",
            f"1 ÷ {decimal(a_day, 4)} =",
            f"{decimal(ahead.days_each, 1)} days",
        ),
    ]
    if ahead.settles and ahead.tap is not None:
        plan = snapshot.tank.plan
        share = number(plan.water_change_percent / 100.0, 3)
        sums.append(
            Sum(
                "Where this habit settles, right before a change",
                f"{number(ahead.tap, 1)} − {plan.water_change_days} × {decimal(a_day, 4)} ÷ "
                f"{share} =",
                f"{decimal(ahead.settles[1].before_change, 1)}{_DKH}",
            )
        )
    return tuple(sums)
