"""Routine jobs: the water change, the filter sponge, test kits, the light timer, the level."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final

from app.domain.calendar import clock_change_on, day_start
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Entry, Job, JobKind, Kit
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import decimal, full_day, in_sentence, short, with_unit
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Evidence, Finding, Severity, WorkingLine
from app.rules.plan import FILTER_KEY
from app.rules.showing import days_text, limit, of_entry, of_reading, own_limit
from app.rules.water_change import change_action, net_liters

# liters are shown and typed with one decimal: half of the last place never decides
_SHOWN_LITERS: Final = 0.05


def water_change_due(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The planned water change is due.

    What: as many days as the plan says since enough water was changed (80 % of the planned
        amount, in one change or several within the interval); watch after one and a half.
    Why: what food brings in gathers, what the buffer loses is not replaced.
    Source: 10 to 25 % every one or two weeks is common practice; the plan is the tank's own.
    Bad: last change 11 days ago, plan 7. Good: 21 L of 85 L six days ago.
    """
    plan = snapshot.tank.plan
    done = _last_full_change(snapshot, knowledge)
    since = done.local_day if done else _start_day(snapshot)
    if since is None or not snapshot.expected_fish:
        return ()
    days = (snapshot.today - since).days
    if days < plan.water_change_days:
        return ()
    late = days > plan.water_change_days * knowledge.value("change.late-factor")
    share = plan.water_change_percent / 100.0
    what = "The last change was" if done else "No change is written since the first entry"
    counts = with_unit(short(knowledge.value("change.counts")), "%")
    return (
        Finding(
            rule_id="maintenance.water-change",
            severity=Severity.WATCH if late else Severity.INFO,
            action=change_action(share, Concern.ROUTINE),
            reason=f"The planned change is due. {what} {days_text(days)} ago.",
            child_reason="It is time for some new water.",
            due_at=_due(since, plan.water_change_days, snapshot),
            clears_when=f"A water change of at least {counts} of the plan is written.",
            counterfactual=(
                f"With a change in the last {days_text(plan.water_change_days)} "
                "this would not be here."
            ),
            evidence=(
                of_entry(done, snapshot.site) if done else Evidence("No water change is written"),
            ),
            working=(WorkingLine("Days since the last change:", str(days)),),
            limits=(
                own_limit(
                    f"Every {days_text(plan.water_change_days)}, "
                    f"{with_unit(short(plan.water_change_percent), '%')}"
                ),
                limit(knowledge, "change.late-factor", "Watch after"),
                limit(knowledge, "change.counts", "Counts as the change from"),
            ),
        ),
    )


def filter_rinse_due(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The filter sponge is due for a rinse in tank water.

    What: as many days as the plan says since the last rinse; watch after one and a half.
    Why: a clogged sponge slows the flow, and the bacteria need the oxygen it brings.
    Source: about monthly, in tank water only: common practice.
    Bad: 46 days ago, plan 30. Good: 20 days ago.
    """
    rinse = last(snapshot.jobs_of(JobKind.FILTER_RINSE))
    since = rinse.local_day if rinse else _start_day(snapshot)
    interval = snapshot.tank.plan.filter_rinse_days
    if since is None or (days := (snapshot.today - since).days) < interval:
        return ()
    late = days > interval * knowledge.value("change.late-factor")
    return (
        Finding(
            rule_id="maintenance.filter-rinse",
            severity=Severity.WATCH if late else Severity.INFO,
            action=Action(
                key=FILTER_KEY,
                title="Rinse the filter sponge in tank water",
                child_title="A grown-up rinses the filter.",
                concern=Concern.ROUTINE,
                door="job",
                job=JobKind.FILTER_RINSE.value,
                adult=True,
                cautions=("filter", "hands", "electricity"),
            ),
            reason=(
                f"It was last rinsed {days_text(days)} ago. The plan says every "
                f"{days_text(interval)}. Never under the tap."
                if rinse
                else f"No rinse is written for {days_text(days)}. Never under the tap."
            ),
            child_reason="The filter sponge is full.",
            due_at=_due(since, interval, snapshot),
            clears_when="A filter rinse is written.",
            counterfactual=(
                f"With a rinse in the last {days_text(interval)} this would not be here."
            ),
            evidence=(
                of_entry(rinse, snapshot.site) if rinse else Evidence("No rinse is written"),
            ),
            working=(WorkingLine("Days since the last rinse:", str(days)),),
            limits=(
                own_limit(f"Every {days_text(interval)}"),
                limit(knowledge, "change.late-factor", "Watch after"),
            ),
        ),
    )


def stale_kit(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A test kit is past its date, or long opened.

    What: a kit in use after the date on its box, or opened more than 12 months ago, and no check
        against a known sample in the last 90 days. No test of such a kit clears anything.
    Why: old liquids and strips read too low or too high.
    Source: reagents yearly, a fish veterinarian's page; common practice.
    Bad: expired yesterday. Good: opened 3 months ago, date next year.
    """
    check = last(snapshot.jobs_of(JobKind.KIT_CHECK))
    keeps = timedelta(days=knowledge.value("kit.check-days"))
    if check is not None and snapshot.as_of - check.happened_at < keeps:
        return ()
    found = [_stale(kit, snapshot, knowledge) for kit in snapshot.kits if kit.retired_on is None]
    return tuple(f for f in found if f is not None)


def kit_check_until(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime | None:
    """Until when the last check of the kits counts."""
    check = last(snapshot.jobs_of(JobKind.KIT_CHECK))
    days = timedelta(days=knowledge.value("kit.check-days"))
    return None if check is None else check.happened_at + days


def light_timer(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The clocks changed, and plug-in timers did not follow.

    What: from the day on which the clocks moved until somebody writes what was done.
    Why: the tank keeps the old hours, the people do not.
    Source: our own choice.
    Bad: Sunday 1 November 2026 in New York. Good: any day after the answer.
    """
    day = _last_clock_change(snapshot, knowledge)
    began = snapshot.tank.started_on or _first_written(snapshot)
    if day is None or began is None or began > day:
        return ()
    answer = last(snapshot.jobs_of(JobKind.LIGHT_TIMER))
    if answer is not None and answer.local_day >= day:
        return ()
    return (
        Finding(
            rule_id="maintenance.light-timer",
            severity=Severity.INFO,
            action=Action(
                key="light-timer",
                title="Move the light timer, or keep it?",
                child_title="The clocks changed. What about the light?",
                concern=Concern.ROUTINE,
                door="job",
                job=JobKind.LIGHT_TIMER.value,
                cautions=("electricity",),
            ),
            reason=f"The clocks changed on {full_day(day)}. A plug-in timer did not follow.",
            child_reason="The clocks changed. The light did not.",
            due_at=day_start(day, snapshot.site.zone),
            clears_when="Light timer moved or kept is written.",
            counterfactual="Without a change of the clocks this would not be here.",
            evidence=(Evidence(f"Clocks changed on {full_day(day)}"),),
            limits=(limit(knowledge, "light.look-back-days", "Looked back"),),
        ),
    )


def level_low(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The water has gone down toward the heater.

    What: water below the line, half of the way to the heater line watch, all of it act; a top-up
        or a change after it ends the finding.
    Why: a heater in air cracks or burns; what evaporates leaves its minerals behind.
    Source: makers' sheets in general; the half is our own choice.
    Bad: 40 mm down, heater line at 40 mm. Good: 12 mm down.
    """
    line = snapshot.tank.shape.heater_line_cm
    reading = snapshot.latest(Quantity.WATER_LEVEL)
    if not line or reading is None:
        return ()
    filled = last(snapshot.jobs_of(JobKind.TOP_UP, JobKind.WATER_CHANGE))
    share = reading.best / (line * 10.0)
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
                f"The heater line is at {with_unit(short(line * 10.0), 'mm')}."
            ),
            child_reason="The water has gone down.",
            due_at=reading.at,
            clears_when="A top-up, a water change or a higher level is written.",
            counterfactual=(
                f"With less than {with_unit(short(line * 10.0 * half), 'mm')} "
                "this would not be here."
            ),
            evidence=(of_reading(reading, snapshot),),
            working=(
                WorkingLine(
                    f"{short(reading.best)} ÷ {short(line * 10.0)} =",
                    with_unit(decimal(share * 100, 0), "%"),
                ),
            ),
            limits=(limit(knowledge, "level.watch-share", "Watch from"),),
            quantity=Quantity.WATER_LEVEL,
        ),
    )


def _last_full_change(snapshot: TankSnapshot, knowledge: Knowledge) -> Job | None:
    """The last change with which enough water was changed within one interval."""
    changes = snapshot.jobs_of(JobKind.WATER_CHANGE)
    plan, net = snapshot.tank.plan, net_liters(snapshot.tank)
    if net is None:
        return last(changes)
    share = plan.water_change_percent / 100.0 * knowledge.value("change.counts") / 100.0
    window = timedelta(days=plan.water_change_days)
    for index in range(len(changes) - 1, -1, -1):
        job = changes[index]
        if (
            job.liters_out is None
            or _out(changes[: index + 1], job, window) >= net * share - _SHOWN_LITERS
        ):
            return job
    return None


def _out(changes: Sequence[Job], until: Job, window: timedelta) -> float:
    near = [j for j in changes if until.happened_at - j.happened_at < window]
    return sum(j.liters_out or 0.0 for j in near)


def _start_day(snapshot: TankSnapshot) -> date | None:
    """From when a job counts that was never written: the record knows nothing older.

    The later one of the tank's start and the oldest entry at hand; None without entries.
    """
    written = _first_written(snapshot)
    started = snapshot.tank.started_on
    return written if started is None or written is None else max(started, written)


def _due(since: date, days: int, snapshot: TankSnapshot) -> datetime:
    return day_start(since + timedelta(days=days), snapshot.site.zone)


def _stale(kit: Kit, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding | None:
    today, keeps = snapshot.today, int(knowledge.value("kit.opened-days"))
    label = in_sentence(FACTS[kit.quantity].label)
    if kit.expires_on is not None and kit.expires_on < today:
        reason = f"The {label} kit was good until {full_day(kit.expires_on)} {kit.expires_on.year}."
        since = kit.expires_on
    elif kit.opened_on is not None and (today - kit.opened_on).days > keeps:
        since = kit.opened_on + timedelta(days=keeps)
        reason = f"The {label} kit was opened {days_text((today - kit.opened_on).days)} ago."
    else:
        return None
    return Finding(
        rule_id="kit.stale",
        severity=Severity.WATCH,
        action=Action(
            key=f"kit-{kit.id}",
            title=f"Replace or check the {label} kit",
            child_title="A test kit is too old.",
            concern=Concern.ROUTINE,
            door="job",
            job=JobKind.KIT_CHECK.value,
            adult=True,
        ),
        reason=f"{reason} Its results may be the kit, not the water.",
        child_reason="This kit is too old to trust.",
        due_at=day_start(since + timedelta(days=1), snapshot.site.zone),
        clears_when="The kit is put away for a new one, or a check with a known sample is written.",
        counterfactual="With a kit in date this would not be here.",
        evidence=(Evidence(f"{kit.name}, for {label}"),),
        limits=(
            limit(knowledge, "kit.opened-days", "Keeps once opened"),
            limit(knowledge, "kit.check-days", "A check counts for"),
        ),
        quantity=kit.quantity,
    )


def _last_clock_change(snapshot: TankSnapshot, knowledge: Knowledge) -> date | None:
    """The last day on which the clocks moved, if the tank was there before it."""
    born = snapshot.tank.started_on or _first_written(snapshot)
    if born is None:
        return None
    for back in range(int(knowledge.value("light.look-back-days"))):
        day = snapshot.today - timedelta(days=back)
        if day <= born:
            return None
        if clock_change_on(day, snapshot.site.zone) is not None:
            return day
    return None


def _first_written(snapshot: TankSnapshot) -> date | None:
    """The day of the oldest entry at hand, where nobody wrote when the tank started."""
    groups: tuple[Sequence[Entry], ...] = (
        snapshot.feedings,
        snapshot.observations,
        snapshot.jobs,
        snapshot.tests,
        snapshot.stock_events,
    )
    return min((group[0].local_day for group in groups if group), default=None)
