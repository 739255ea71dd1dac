"""Warmth: outside the range, a jump within hours, a swing from day to night."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final

from app.domain.calendar import day_start, local_day
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import bare_degrees, degrees, degrees_apart, full_day, reading_text
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, LimitShown, Rule, Severity, WorkingLine
from app.rules.showing import limit, of_reading, remark, worst
from app.rules.warmth_range import WarmthRange, warmth_range


def _warmth(title: str, child: str) -> Action:
    return Action(
        key="warmth",
        title=title,
        child_title=child,
        concern=Concern.LIFE_SUPPORT,
        door="test",
        adult=True,
        cautions=("heater", "electricity"),
    )


COLD = _warmth("Look at the heater and the thermometer", "It is cold. Get a grown-up.")
HOT = _warmth("Cool the tank slowly, and look at the heater", "It is warm. Get a grown-up.")
AGAIN = _warmth("Read the thermometer once more", "Read how warm the water is.")
JUMP = _warmth("Find out why the warmth jumped", "The warmth jumped. Get a grown-up.")


def out_of_range(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The water is too cold or too warm.

    What: outside the tank's range (its own, else what its animals share, else the general one)
        watch, from 2 °C outside act; under 18 or over 31 °C now, whatever the range. The ends of
        a range belong to it, those of the general one too, so that 28 is not yet watched. After
        action a good reading ends it 20 hours after a cold one, 12 after a warm one.
    Why: cold slows animals and filter; warm water holds less oxygen.
    Source: general range and edges of `knowledge/water.toml`, common practice.
    Bad: 15.0. Good: 24.6 in a range of 23 to 26.
    """
    wanted = warmth_range(snapshot, knowledge)
    low, high = wanted.low, wanted.high
    readings = snapshot.of(Quantity.TEMPERATURE)
    newest, severity = worst(readings, lambda r: _level(r.best, low, high, knowledge))
    if newest is None:
        return ()
    if severity is Severity.INFO:
        return _one_more(readings, wanted, snapshot, knowledge)
    cold = newest.best < low
    span = f"{bare_degrees(snapshot.site, low)} to {degrees(snapshot.site, high)}"
    reason = f"The water is {reading_text(newest, snapshot.site)}. Our range is {span}. " + (
        slowly_up(snapshot) if cold else _slowly_down(snapshot)
    )
    return (
        Finding(
            rule_id="temperature.out-of-range",
            severity=severity,
            action=COLD if cold else HOT,
            reason=reason,
            child_reason=(
                "The water is too cold. Get a grown-up."
                if cold
                else "The water is too warm. Get a grown-up."
            ),
            due_at=newest.at,
            clears_when=f"A temperature within {span} is written.",
            counterfactual=f"Within {span} this would not be here.",
            evidence=(of_reading(newest, snapshot),),
            working=_level_working(snapshot.site, newest.best, low, high),
            limits=_level_limits(wanted, knowledge),
            quantity=Quantity.TEMPERATURE,
        ),
    )


def is_too_warm(snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether the last reading is over the range, so that the tank is to be cooled."""
    latest = snapshot.latest(Quantity.TEMPERATURE)
    return latest is not None and latest.best > warmth_range(snapshot, knowledge).high + 1e-9


def jump(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The warmth changed by 3 °C or more within 6 hours.

    What: any two readings so far apart in so short a time; it ends when a reading at least six
        hours later is written without a new jump.
    Why: fish follow slowly; a fast change harms more than the level.
    Source: a public aquarium's teaching text, and our own choice. Its 2 °C up and 1 °C down in a
        whole day say nothing here: an unheated room would keep its tank on Watch for ever, and
        the swing looks at days.
    Bad: 25.0 at 9:00, 21.9 at noon. Good: 25.0, 24.0, 23.5 over a day.
    """
    readings = snapshot.of(Quantity.TEMPERATURE)
    pair = _last_jump(readings, knowledge)
    if pair is None:
        return ()
    first, second = pair
    moved = degrees_apart(snapshot.site, abs(second.best - first.best))
    return (
        Finding(
            rule_id="temperature.jump",
            severity=Severity.EMERGENCY,
            action=replace(JUMP, at_most=knowledge.value("change.small") / 100.0),
            reason=(
                f"The warmth changed by {moved} within six hours. "
                "Heater, new water, sun? Only small water changes now. Watch their breathing."
            ),
            child_reason="The warmth changed fast. Get a grown-up.",
            due_at=second.at,
            clears_when="A temperature at least six hours later shows no new jump.",
            counterfactual=(
                "With less than "
                f"{degrees_apart(snapshot.site, knowledge.value('temperature.jump'))} "
                "between them this would not be here."
            ),
            evidence=(of_reading(first, snapshot), of_reading(second, snapshot)),
            working=(
                WorkingLine(
                    f"{bare_degrees(snapshot.site, second.best)} − "
                    f"{bare_degrees(snapshot.site, first.best)} =",
                    degrees_apart(snapshot.site, second.best - first.best),
                ),
            ),
            limits=(
                limit(knowledge, "temperature.jump", "Act now from"),
                limit(knowledge, "temperature.jump-hours", "Within"),
            ),
            quantity=Quantity.TEMPERATURE,
        ),
    )


def swinging(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Day and night are too far apart, on several days.

    What: more than 3 °C between the coldest and the warmest reading of a day, on two days of the
        seven that end with the newest reading.
    Why: sun on the glass or a heating that is off at night; each swing costs strength.
    Source: our own choice.
    Bad: 22 to 26 on Tuesday and Thursday. Good: five days within 2 °C.
    """
    readings = snapshot.of(Quantity.TEMPERATURE)
    if not readings:
        return ()
    zone = snapshot.site.zone
    newest = local_day(readings[-1].at, zone)
    edge = knowledge.value("temperature.swing")
    week = [newest - timedelta(days=ago) for ago in range(6, -1, -1)]
    days = {day: _of_day(day, snapshot) for day in week}
    wide = {day: _ends(read) for day, read in days.items() if _width(read) > edge + 1e-9}
    if len(wide) < knowledge.value("temperature.swing-days"):
        return ()
    worst_day = max(wide, key=lambda d: (_width(wide[d]), d))
    low, high = wide[worst_day]
    moved = degrees_apart(snapshot.site, high.best - low.best)
    return (
        Finding(
            rule_id="temperature.swinging",
            severity=Severity.WATCH,
            action=_warmth("Find out why the tank swings", "It gets warm and cold. Ask why."),
            reason=(
                f"The warmth swings: {moved} on {full_day(worst_day)}, on {len(wide)} days of "
                "seven. Sun on the glass? Heating off at night?"
            ),
            child_reason="The water gets warm and cold by turns.",
            due_at=readings[-1].at,
            clears_when="Six days of seven stay within the limit.",
            counterfactual="With one such day in seven this would not be here.",
            evidence=(of_reading(low, snapshot), of_reading(high, snapshot)),
            working=tuple(
                WorkingLine(
                    f"{full_day(d)}: {bare_degrees(snapshot.site, b.best)} − "
                    f"{bare_degrees(snapshot.site, a.best)} =",
                    degrees_apart(snapshot.site, b.best - a.best),
                )
                for d, (a, b) in wide.items()
            ),
            limits=(
                limit(knowledge, "temperature.swing", "Too far apart over"),
                limit(knowledge, "temperature.swing-days", "On"),
            ),
            quantity=Quantity.TEMPERATURE,
        ),
    )


def _level(value: float, low: float, high: float, knowledge: Knowledge) -> Severity:
    if not (
        knowledge.value("temperature.emergency-low")
        <= value
        <= knowledge.value("temperature.emergency-high")
    ):
        return Severity.EMERGENCY
    outside = max(low - value, value - high)
    if outside >= knowledge.value("temperature.act-outside") - 1e-9:
        return Severity.ACT
    return Severity.WATCH if outside > 1e-9 else Severity.INFO


def _level_working(site: Site, value: float, low: float, high: float) -> tuple[WorkingLine, ...]:
    more, less = (value, high) if value > high else (low, value)
    sum_text = f"{bare_degrees(site, more)} − {bare_degrees(site, less)} ="
    return (remark("How far outside"), WorkingLine(sum_text, degrees_apart(site, more - less)))


def _level_limits(wanted: WarmthRange, knowledge: Knowledge) -> tuple[LimitShown, ...]:
    return (
        *wanted.limits,
        limit(knowledge, "temperature.act-outside", "Act from so far outside"),
        limit(knowledge, "temperature.emergency-low", "Act now under"),
        limit(knowledge, "temperature.emergency-high", "Act now over"),
    )


def _one_more(
    readings: Sequence[Reading],
    wanted: WarmthRange,
    snapshot: TankSnapshot,
    knowledge: Knowledge,
) -> tuple[Finding, ...]:
    """Soon after a reading that asked for action one good reading is not yet enough."""
    newest = readings[-1]
    for before in reversed(readings[:-1]):
        key = f"temperature.{'cold' if before.best < wanted.low else 'warm'}-hours"
        if newest.at - before.at >= timedelta(hours=knowledge.value("temperature.cold-hours")):
            break
        pressing = _level(before.best, wanted.low, wanted.high, knowledge) >= Severity.ACT
        if pressing and newest.at - before.at < timedelta(hours=knowledge.value(key)):
            return (_still_asked(before, newest, key, snapshot, knowledge),)
    return ()


def _still_asked(
    before: Reading, newest: Reading, key: str, snapshot: TankSnapshot, knowledge: Knowledge
) -> Finding:
    return Finding(
        rule_id="temperature.out-of-range",
        severity=Severity.WATCH,
        action=AGAIN,
        reason=f"The water was {reading_text(before, snapshot.site)} and is inside our "
        "range again. One more reading tells whether it stays.",
        child_reason="The warmth was off. Read it once more.",
        due_at=newest.at,
        clears_when="A later reading is inside our range too.",
        counterfactual="With a whole day inside our range this would not be here.",
        evidence=(of_reading(before, snapshot), of_reading(newest, snapshot)),
        limits=(limit(knowledge, key, "Inside our range for"),),
        quantity=Quantity.TEMPERATURE,
    )


def slowly_up(snapshot: TankSnapshot) -> str:
    """What to look at when the water is cold, and how fast to warm it."""
    step = degrees_apart(snapshot.site, 2.0)
    return f"Is the heater plugged in? Warm it slowly, about {step} a day."


def _slowly_down(snapshot: TankSnapshot) -> str:
    step = degrees_apart(snapshot.site, 1.0)
    return f"Lid ajar, more air, shade, no lamp. Cool it slowly, {step} an hour at most."


def _last_jump(readings: Sequence[Reading], knowledge: Knowledge) -> tuple[Reading, Reading] | None:
    """The newest pair within the hours that is too far apart and not yet followed by calm.

    A sound reading as many hours later ends a jump, so that only the newest hours count.
    """
    edge = knowledge.value("temperature.jump") - 1e-9
    hours = timedelta(hours=knowledge.value("temperature.jump-hours"))
    newest = next((r.at for r in reversed(readings) if not r.kit_doubtful), None)
    recent = [r for r in readings if newest is None or r.at > newest - 2 * hours]
    if _width(recent) < edge:
        return None
    for second in reversed(recent):
        if newest is not None and second.at + hours <= newest:
            return None
        near = [r for r in recent if timedelta(0) <= second.at - r.at <= hours]
        first = max(near, key=lambda r: (abs(second.best - r.best), r.at))
        if abs(second.best - first.best) >= edge:
            return first, second
    return None


def _of_day(day: date, snapshot: TankSnapshot) -> tuple[Reading, ...]:
    """The temperatures of a local day."""
    zone = snapshot.site.zone
    end = day_start(day + timedelta(days=1), zone) - datetime.resolution
    return snapshot.between(Quantity.TEMPERATURE, day_start(day, zone), end)


def _ends(readings: Sequence[Reading]) -> tuple[Reading, Reading]:
    return min(readings, key=lambda r: r.best), max(readings, key=lambda r: r.best)


def _width(readings: Sequence[Reading]) -> float:
    if not readings:
        return 0.0
    low, high = _ends(readings)
    return high.best - low.best


RULES: Final = (
    Rule(
        id="temperature.out-of-range",
        title="Too cold or too warm",
        why="Cold slows animals and filter; warm water holds less oxygen.",
        limits=(
            "temperature.general-low",
            "temperature.general-high",
            "temperature.act-outside",
            "temperature.emergency-low",
            "temperature.emergency-high",
            "temperature.cold-hours",
            "temperature.warm-hours",
        ),
        check=out_of_range,
        lesson="Warm water holds less air for fish.",
    ),
    Rule(
        id="temperature.jump",
        title="The warmth jumped",
        why="Fish follow slowly.",
        limits=(
            "temperature.jump",
            "temperature.jump-hours",
            "change.small",
        ),
        check=jump,
        lesson="Fish are as warm as their water, so they change slowly.",
    ),
    Rule(
        id="temperature.swinging",
        title="The warmth swings",
        why="Each swing costs strength.",
        limits=(
            "temperature.swing",
            "temperature.swing-days",
        ),
        check=swinging,
        lesson="Sun and cold nights push the water up and down.",
    ),
)
