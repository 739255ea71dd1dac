"""The water level: on its way to the heater, and going down faster than it should."""

from datetime import date, timedelta
from typing import Final

from app.domain.calendar import local_day
from app.domain.quantities import Quantity
from app.domain.records import Job, JobKind, Reading
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import count, decimal, short, water_amount, with_unit
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity, WorkingLine
from app.rules.showing import limit, of_entry, of_reading
from app.rules.water_change import net_liters


def level_low(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The water has gone down toward the heater.

    What: water below the line, half of the way to the heater line watch, all of it act; a top-up
        or a change after it ends the finding.
    Why: a heater in air cracks or burns; what evaporates leaves its minerals behind.
    Source: makers' sheets in general; the half is our own choice.
    Bad: 40 mm down, heater line at 40 mm. Good: 12 mm down.
    """
    line_mm = snapshot.tank.shape.over_heater_line_mm
    reading = snapshot.latest(Quantity.WATER_LEVEL)
    if line_mm is None or reading is None:
        return ()
    filled = last(snapshot.jobs_of(JobKind.TOP_UP, JobKind.WATER_CHANGE))
    share = reading.best / line_mm
    half = knowledge.value("level.watch-share") / 100.0
    if share < half or (filled is not None and filled.happened_at > reading.at):
        return ()
    return (
        Finding(
            rule_id="maintenance.level",
            severity=Severity.ACT if share >= 1.0 else Severity.WATCH,
            action=Action(
                key="top-up",
                title="Fill to the line with treated water",
                child_title="Ask a grown-up to fill to the line.",
                concern=Concern.LIFE_SUPPORT,
                door="job",
                job=JobKind.TOP_UP.value,
                cautions=("heater", "untreated_water"),
            ),
            reason=(
                f"The water is {with_unit(short(reading.best), 'mm')} below its line. "
                f"The heater line is at {with_unit(short(line_mm), 'mm')}."
            ),
            child_reason="The water has gone down.",
            due_at=reading.at,
            clears_when="A top-up, a water change or a higher level is written.",
            counterfactual=(
                f"With less than {with_unit(short(line_mm * half), 'mm')} this would not be here."
            ),
            evidence=(of_reading(reading, snapshot),),
            working=(
                WorkingLine(
                    f"{short(reading.best)} ÷ {short(line_mm)} =",
                    with_unit(decimal(share * 100, 0), "%"),
                ),
            ),
            limits=(limit(knowledge, "level.watch-share", "Watch from"),),
            quantity=Quantity.WATER_LEVEL,
        ),
    )


def losing_water(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The tank loses water.

    What: the level was written low on two days of the last seven; or the newest top-up replaced
        more than 5 % of the water for each day since the one before, act over 10 %. Ended by a
        later equipment check, which is where the cause is written.
    Why: evaporation, or a leak that is still small.
    Source: our own choice; common practice, no single source.
    Bad: 12 L topped up, 2 days after the last time, of 85 L. Good: 3 L in a week.
    """
    checked = last(snapshot.jobs_of(JobKind.EQUIPMENT_CHECK))
    since = None if checked is None else checked.happened_at
    filled = _top_up_share(snapshot)
    if filled is not None and (since is None or filled[0].happened_at > since):
        finding = _from_top_up(*filled, snapshot, knowledge)
        if finding is not None:
            return (finding,)
    low = [r for r in _low_days(snapshot, knowledge).values() if since is None or r.at > since]
    needed = int(knowledge.value("level.low-days"))
    if len(low) < needed:
        return ()
    text = f"The water was low on {count(len(low), 'day', 'days')} of seven."
    return (_losing(Severity.WATCH, text, snapshot, knowledge, level=low[-1]),)


def _from_top_up(
    job: Job, days: int, share: float, snapshot: TankSnapshot, knowledge: Knowledge
) -> Finding | None:
    percent = share * 100.0
    if percent <= knowledge.value("level.top-up-watch") + 1e-9:
        return None
    act = percent > knowledge.value("level.top-up-act") + 1e-9
    amount = water_amount(snapshot.site, job.liters_in or 0.0)
    each = with_unit(decimal(percent, 0), "%")
    text = f"{amount} went in after {count(days, 'day', 'days')}: {each} of the water each day."
    liters = with_unit(decimal(job.liters_in or 0.0, 1), "L")
    net = with_unit(decimal(net_liters(snapshot.tank) or 0.0, 1), "L")
    line = WorkingLine(f"{liters} ÷ {net} ÷ {days} =", each)
    severity = Severity.ACT if act else Severity.WATCH
    return _losing(severity, text, snapshot, knowledge, job=job, working=(line,))


def _losing(
    severity: Severity,
    text: str,
    snapshot: TankSnapshot,
    knowledge: Knowledge,
    *,
    level: Reading | None = None,
    job: Job | None = None,
    working: tuple[WorkingLine, ...] = (),
) -> Finding:
    evidence = [of_entry(job, snapshot.site)] if job else []
    evidence += [of_reading(level, snapshot)] if level else []
    return Finding(
        rule_id="level.losing-water",
        severity=severity,
        action=Action(
            key="find-leak",
            title="Find out where the water goes",
            child_title="Where does the water go? Tell a grown-up.",
            concern=Concern.LIFE_SUPPORT,
            door="job",
            job=JobKind.EQUIPMENT_CHECK.value,
            adult=True,
            cautions=("electricity", "hands"),
        ),
        reason=f"{text} It dries up, or a seam leaks. Feel the seams and the floor, and look at "
        "the lid.",
        child_reason="The water goes down fast.",
        due_at=level.at if level else job.happened_at if job else snapshot.as_of,
        clears_when="An equipment check is written, with the cause in its note.",
        counterfactual="With less water lost this would not be here.",
        evidence=tuple(evidence),
        working=working,
        limits=(
            limit(knowledge, "level.low", "Low from"),
            limit(knowledge, "level.low-days", "Low on days of seven"),
            limit(knowledge, "level.top-up-watch", "Watch over, each day"),
            limit(knowledge, "level.top-up-act", "Act over, each day"),
        ),
        quantity=Quantity.WATER_LEVEL,
    )


def _low_days(snapshot: TankSnapshot, knowledge: Knowledge) -> dict[date, Reading]:
    """The last low level of each of the last seven days that has one."""
    edge, zone = knowledge.value("level.low"), snapshot.site.zone
    start = snapshot.today - timedelta(days=6)
    return {
        local_day(r.at, zone): r
        for r in snapshot.of(Quantity.WATER_LEVEL)
        if r.best >= edge and local_day(r.at, zone) >= start
    }


def _top_up_share(snapshot: TankSnapshot) -> tuple[Job, int, float] | None:
    """The newest top-up, the days since the water stood at its line before, and its daily share.

    None where the amount, the volume or the time before is not known.
    """
    fills = snapshot.jobs_of(JobKind.TOP_UP, JobKind.WATER_CHANGE)
    net = net_liters(snapshot.tank)
    for index in range(len(fills) - 1, 0, -1):
        job = fills[index]
        if job.job is not JobKind.TOP_UP:
            continue
        if job.liters_in is None or not net:
            return None
        days = max((job.local_day - fills[index - 1].local_day).days, 1)
        return job, days, job.liters_in / net / days
    return None


RULES: Final = (
    Rule(
        id="maintenance.level",
        title="Water level low",
        why="A heater in air cracks or burns.",
        limits=("level.watch-share",),
        check=level_low,
        lesson="Water turns into air, bit by bit. It evaporates.",
    ),
    Rule(
        id="level.losing-water",
        title="The tank loses water",
        why="It dries up, or a seam leaks.",
        limits=("level.low", "level.low-days", "level.top-up-watch", "level.top-up-act"),
        check=losing_water,
        lesson="Water that dries up leaves its minerals behind.",
    ),
)
