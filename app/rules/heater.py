"""The heater: what it is set to, whether it keeps up, and how fast the warmth moves."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import bare_degrees, degrees, degrees_apart, duration, reading_text
from app.knowledge.model import Knowledge
from app.rules.heating import less_heating_words
from app.rules.model import Action, Concern, Finding, LimitShown, Rule, Severity, WorkingLine
from app.rules.showing import deciding, limit, of_reading, remark, worst
from app.rules.temperature import AGAIN, COLD, JUMP, slowly_up
from app.rules.warmth_range import warmth_range

_EPSILON: Final = 1e-9
_HOUR: Final = timedelta(hours=1)


def off_set_point(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The water is not as warm as the heater is set to.

    What: more than 2 °C below it act, more than 1 below or above it watch; a tank without a
        heater, or whose set point nobody wrote, says nothing. Water warmer than the range is the
        range's matter. After action a warm reading 20 hours later ends it; until then watch.
    Why: heaters stop and stick without a sound.
    Source: common practice, no single source.
    Bad: set to 25, reads 22.5. Good: 24.4.
    """
    set_to = snapshot.tank.set_point_c
    readings = snapshot.of(Quantity.TEMPERATURE)
    if set_to is None or not snapshot.tank.has_heater or not readings:
        return ()
    high = warmth_range(snapshot, knowledge).high
    if any(r.best > high + _EPSILON for r in deciding(readings)):
        return ()
    newest, severity = worst(readings, lambda r: _off(r, set_to, knowledge))
    waiting = severity < Severity.ACT and _was_cold(readings, set_to, high, knowledge)
    if newest is None or (severity is Severity.INFO and not waiting):
        return ()
    apart = degrees_apart(snapshot.site, abs(newest.best - set_to))
    below = newest.best < set_to
    reason = (
        f"The heater is set to {degrees(snapshot.site, set_to)}. The water is "
        f"{reading_text(newest, snapshot.site)}, {apart} {'below' if below else 'above'} it. "
    )
    if severity is Severity.INFO:
        reason += "It was colder before: one more reading tomorrow tells."
    else:
        reason += slowly_up(snapshot) if below else "Does it switch off? Is the room warm?"
        reason += less_heating_words(newest, snapshot, knowledge) if below else ""
    return (
        Finding(
            rule_id="temperature.set-point-off",
            severity=max(severity, Severity.WATCH),
            action=COLD if below else AGAIN,
            reason=reason,
            child_reason="The heater and the water do not agree.",
            due_at=newest.at,
            clears_when=f"Readings stay within {_watch(snapshot, knowledge)} for a day.",
            counterfactual=f"Within {_watch(snapshot, knowledge)} this would not be here.",
            evidence=(of_reading(newest, snapshot),),
            working=(
                remark("How far apart"),
                WorkingLine(
                    f"{bare_degrees(snapshot.site, max(set_to, newest.best))} − "
                    f"{bare_degrees(snapshot.site, min(set_to, newest.best))} =",
                    apart,
                ),
            ),
            limits=(
                limit(knowledge, "temperature.heater-watch", "Watch over"),
                limit(knowledge, "temperature.heater-act", "Act over, below it"),
                limit(knowledge, "temperature.cold-hours", "Warm again for"),
            ),
            quantity=Quantity.TEMPERATURE,
        ),
    )


def set_point(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The heater is set to what the animals do not want.

    What: the set point lies outside the tank's own range, or outside what its animals share;
        while neither is known nothing is said.
    Why: a heater holds what it is set to, right or wrong.
    Source: the catalogue's ranges, each with its source; the tank's own range.
    Bad: set to 21, the animals share 24 to 27. Good: set to 25.
    """
    set_to = snapshot.tank.set_point_c
    wanted = warmth_range(snapshot, knowledge)
    own = snapshot.tank.own_range(Quantity.TEMPERATURE)
    if set_to is None or not snapshot.tank.has_heater or (own is None and wanted.needs is None):
        return ()
    if wanted.low - _EPSILON <= set_to <= wanted.high + _EPSILON:
        return ()
    site = snapshot.site
    span = f"{bare_degrees(site, wanted.low)} to {degrees(site, wanted.high)}"
    outside = max(wanted.low - set_to, set_to - wanted.high)
    return (
        Finding(
            rule_id="temperature.set-point",
            severity=Severity.WATCH,
            action=Action(
                key="set-point",
                title="Look at what the heater is set to",
                child_title="A grown-up looks at the heater.",
                concern=Concern.LIFE_SUPPORT,
                door="settings",
                adult=True,
                cautions=("heater", "electricity"),
            ),
            reason=f"The heater is set to {degrees(site, set_to)}, "
            f"{degrees_apart(site, outside)} outside {span}. "
            "Move it in small steps, one on each day.",
            child_reason="The heater and the fish do not agree.",
            due_at=snapshot.as_of,
            clears_when=f"The set point of the tank is within {span}.",
            counterfactual=f"With a set point within {span} this would not be here.",
            limits=wanted.limits,
            quantity=Quantity.TEMPERATURE,
        ),
    )


def rate(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The warmth moves by 1 °C an hour or more.

    What: two readings at most three hours apart, at least 1 °C apart, and that fast: falling act,
        rising in a tank with a heater now. A rise without one is the weather's: the range, the
        jump and the swing judge it. A water change between them explains it. A sound reading three
        hours later ends it.
    Why: a heater that stopped or does not stop shows first in how fast the warmth moves.
    Source: common practice, no single source.
    Bad: 25.0 at 9:00, 26.2 at 10:00. Good: 25.0 at 9:00, 25.4 at 10:00.
    """
    pair = _fast_pair(snapshot, knowledge)
    if pair is None:
        return ()
    first, second = pair
    rising = second.best > first.best
    moved = degrees_apart(snapshot.site, abs(second.best - first.best))
    return (
        Finding(
            rule_id="temperature.rate",
            severity=Severity.EMERGENCY if rising else Severity.ACT,
            action=JUMP,
            reason=f"The water got {'warmer' if rising else 'colder'} by {moved} "
            f"in {duration(second.at - first.at)}. "
            + ("Is the heater stuck on?" if rising else "A window? The heater?")
            + " Read the thermometer again soon.",
            child_reason="The warmth moves fast. Get a grown-up.",
            due_at=second.at,
            clears_when="A reading three hours later shows no such move.",
            counterfactual="With less than "
            f"{degrees_apart(snapshot.site, knowledge.value('temperature.rate'))} an hour "
            "this would not be here.",
            evidence=(of_reading(first, snapshot), of_reading(second, snapshot)),
            working=(
                WorkingLine(
                    f"{bare_degrees(snapshot.site, second.best)} − "
                    f"{bare_degrees(snapshot.site, first.best)} =",
                    degrees_apart(snapshot.site, second.best - first.best),
                ),
            ),
            limits=_rate_limits(knowledge),
            quantity=Quantity.TEMPERATURE,
        ),
    )


def _rate_limits(knowledge: Knowledge) -> tuple[LimitShown, ...]:
    return (
        limit(knowledge, "temperature.rate", "In an hour, from"),
        limit(knowledge, "temperature.rate-hours", "Readings at most apart"),
    )


def _off(test: Reading, set_to: float, knowledge: Knowledge) -> Severity:
    below = set_to - test.best
    if below > knowledge.value("temperature.heater-act") + _EPSILON:
        return Severity.ACT
    apart = abs(below) > knowledge.value("temperature.heater-watch") + _EPSILON
    return Severity.WATCH if apart else Severity.INFO


def _was_cold(
    readings: Sequence[Reading], set_to: float, high: float, knowledge: Knowledge
) -> bool:
    """Whether a reading that asked for action lies less than the waiting hours before the last."""
    hours = timedelta(hours=knowledge.value("temperature.cold-hours"))
    edge = min(set_to - knowledge.value("temperature.heater-act") - _EPSILON, high)
    sound = [r for r in readings if not r.kit_doubtful]
    return bool(sound) and any(r.best < edge and sound[-1].at - r.at < hours for r in sound)


def _watch(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    apart = degrees_apart(snapshot.site, knowledge.value("temperature.heater-watch"))
    return f"{apart} of the set point"


def _fast_pair(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Reading, Reading] | None:
    """The newest two readings that moved too fast, within the last hours before the newest."""
    readings = snapshot.of(Quantity.TEMPERATURE)
    hours = timedelta(hours=knowledge.value("temperature.rate-hours"))
    edge = knowledge.value("temperature.rate") - _EPSILON
    sound = [r.at for r in readings if not r.kit_doubtful]
    after = sound[-1] - hours if sound else None
    changes = [j.happened_at for j in snapshot.jobs_of(JobKind.WATER_CHANGE)]
    recent = [r for r in readings if after is None or r.at > after - hours]
    warmths = [r.best for r in recent]
    if not warmths or max(warmths) - min(warmths) < edge:
        # most tanks, and every pair of a thermometer that reports each minute
        return None
    for second in reversed(recent):
        if after is not None and second.at <= after:
            return None
        for first in recent:
            span = second.at - first.at
            moved = abs(second.best - first.best)
            if not timedelta(0) < span <= hours or moved < edge or moved < edge * (span / _HOUR):
                continue
            if second.best > first.best and not snapshot.tank.has_heater:
                continue
            if not any(first.at - _HOUR <= c <= second.at for c in changes):
                return first, second
    return None


RULES: Final = (
    Rule(
        id="temperature.set-point-off",
        title="Not as warm as the heater is set",
        why="Heaters stop and stick without a sound.",
        limits=(
            "temperature.heater-watch",
            "temperature.heater-act",
            "temperature.cold-hours",
            "temperature.general-high",
        ),
        check=off_set_point,
        lesson="A heater turns on and off by itself, until it breaks.",
    ),
    Rule(
        id="temperature.set-point",
        title="The heater is set outside what the animals want",
        why="A heater holds what it is set to, right or wrong.",
        limits=(),
        check=set_point,
        lesson="Each kind of fish comes from water of its own warmth.",
    ),
    Rule(
        id="temperature.rate",
        title="The warmth moves fast",
        why="A heater that stopped or does not stop shows here first.",
        limits=("temperature.rate", "temperature.rate-hours"),
        check=rate,
        lesson="Much water warms up slowly, so a fast move means trouble.",
    ),
)
