"""Hours in which the building is heated less: whether the heater of the tank is enough for them."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from app.domain.calendar import day_start
from app.domain.heating import heated_less, heated_less_at
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, degrees, with_unit
from app.estimates.cooling import constant_h
from app.estimates.heating_course import coldest_of
from app.estimates.model import NOT_MEASURED, Input
from app.estimates.room import coldest_room, course_of_room, is_heated_less
from app.estimates.warmth import heater_power, loss_of, target_of
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity
from app.rules.showing import limit, of_reading, remark

_EPSILON: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class _TooSmall:
    """What a heater comes to in the hours with less heating, and when it first fails."""

    watts: float
    target: Input
    room: Input
    lowest_c: float
    begins: datetime
    below_at: datetime


def too_small(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The heater does not hold the warmth while the building is heated less, by estimate.

    What: in the hours of the coming seven days the water falls by its best guess 1 °C or more
        below what the heater is set to. Watch at most. A reading of the last 14 days that was warm
        enough speaks against it, once such hours had lasted as long as it takes to fall so far,
        and up to 2 h after them.
    Why: a room that is cold by night cools a small tank before anybody is there to see it.
    Source: the balance of heater and loss, as the warmth page; the days are our own choice.
    Bad: 25 W, 85 L, a room of 12 °C from 5 pm to 6 am. Good: 300 W; or 25.0 °C read at 6 am.
    """
    small = _falls(snapshot, knowledge)
    if small is None or _was_warm(snapshot, small, knowledge):
        return ()
    site = snapshot.site
    cold, wanted = degrees(site, small.room.best), degrees(site, small.target.best)
    takes = (small.below_at - small.begins) / timedelta(hours=1)
    newest = snapshot.latest(Quantity.TEMPERATURE)
    return (
        Finding(
            rule_id="temperature.less-heating",
            severity=Severity.WATCH,
            action=Action(
                key="less-heating",
                title="Read the thermometer at the end of the hours with less heating",
                child_title="A grown-up sees to the heater.",
                concern=Concern.LIFE_SUPPORT,
                door="test",
                adult=True,
                cautions=("heater", "electricity"),
            ),
            reason=f"The building is heated less, and the room gets {cold}. The heater’s "
            f"{with_unit(decimal(small.watts, 0), 'W')} may not hold {wanted}: the water could "
            f"fall to {degrees(site, small.lowest_c)}, {NOT_MEASURED}. "
            "A warmer room, a closed cover or a larger heater help.",
            child_reason="At night the room gets cold.",
            due_at=day_start(snapshot.today, site.zone),
            clears_when="A reading at the end of such hours is warm enough, or the heater, the "
            "cover or the hours have changed.",
            counterfactual="With a heater that holds the warmth in that room this would not be "
            "here.",
            evidence=() if newest is None else (of_reading(newest, snapshot),),
            working=(
                remark("An estimate, not measured; its numbers stand on the warmth page."),
                remark(f"By it {with_unit(decimal(takes, 1), 'h')} of it are too long."),
            ),
            limits=(
                limit(knowledge, "temperature.heater-watch", "Too cold from, below what it is set"),
                limit(knowledge, "heater.less-days", "Looked ahead"),
                limit(knowledge, "heater.less-after", "A reading counts up to, after their end"),
                limit(knowledge, "heater.less-keeps", "It counts for"),
            ),
            certain=False,
        ),
    )  # fmt: skip


def less_heating_words(reading: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """A sentence where a reading was taken while the building was heated less, else ""."""
    after = timedelta(hours=knowledge.value("heater.less-after"))
    if not heated_less_at(snapshot.site, reading.at, after):
        return ""
    return " The building was heated less before it."


def _was_warm(snapshot: TankSnapshot, small: _TooSmall, knowledge: Knowledge) -> bool:
    """Whether the newest reading that tells how such hours end was warm enough."""
    edge = small.target.best - knowledge.value("temperature.heater-watch")
    newest = next(_told(snapshot, small, knowledge), None)
    return newest is not None and newest.best >= edge - _EPSILON


def _told(snapshot: TankSnapshot, small: _TooSmall, knowledge: Knowledge) -> Iterator[Reading]:
    """Readings after such hours had lasted as long as it takes, the newest first."""
    days = timedelta(days=knowledge.value("heater.less-keeps"))
    since = day_start(snapshot.today, snapshot.site.zone) - days
    after = timedelta(hours=knowledge.value("heater.less-after"))
    takes = small.below_at - small.begins
    spells = heated_less(snapshot.site, since, snapshot.as_of)
    for reading in reversed(snapshot.between(Quantity.TEMPERATURE, since, snapshot.as_of)):
        told = any(begin + takes <= reading.at <= end + after for begin, end in spells)
        if told and not reading.kit_doubtful:
            yield reading


def _falls(snapshot: TankSnapshot, knowledge: Knowledge) -> _TooSmall | None:
    """How the coming days go; None where the heater holds, or nobody can tell."""
    watts, room = heater_power(snapshot), coldest_room(snapshot, None)
    if not snapshot.expected_fish or not snapshot.tank.has_heater:
        return None
    if not is_heated_less(snapshot) or watts is None or room is None:
        return None
    target = target_of(snapshot, knowledge)
    loss = loss_of(snapshot, knowledge, water_c=target.best, room_c=room.best)
    if loss is None:
        return None
    start = day_start(snapshot.today, snapshot.site.zone)
    end = start + timedelta(days=knowledge.value("heater.less-days"))
    found = coldest_of(
        course_of_room(snapshot, knowledge, start, end),
        target_c=target.best,
        edge_c=target.best - knowledge.value("temperature.heater-watch"),
        heater_w=watts,
        loss_w_per_c=loss.per_c.best,
        constant_h=constant_h(loss.per_c.best, snapshot),
    )
    if found.below_at is None:
        return None
    spells = heated_less(snapshot.site, start, end)
    begins = max((b for b, _ in spells if b <= found.below_at), default=start)
    return _TooSmall(
        watts=watts, target=target, room=room, lowest_c=found.lowest_c, begins=begins,
        below_at=found.below_at,
    )  # fmt: skip


RULES: Final = (
    Rule(
        id="temperature.less-heating",
        title="The heater is too small while the building is heated less, by estimate",
        why="A cold room cools a tank before anybody is there to see it.",
        limits=(
            "temperature.heater-watch",
            "heater.less-days",
            "heater.less-after",
            "heater.less-keeps",
        ),
        check=too_small,
        lesson="Water cools down when the room gets cold.",
    ),
)
