"""The planned water change: due, and a change that moved the water too far at once."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Job, JobKind, Reading, Sign, Treated
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import (
    bare_degrees,
    decimal,
    degrees_apart,
    short,
    when_text,
    with_unit,
)
from app.knowledge.model import Knowledge
from app.rules.intervals import due_after, on_time, start_day
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.showing import days_text, limit, of_entry, of_reading, own_limit, remark
from app.rules.water_change import change_action, net_liters

# liters are shown and typed with one decimal: half of the last place never decides
_SHOWN_LITERS: Final = 0.05
_EPSILON: Final = 1e-9


def water_change_due(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The planned water change is due.

    What: as many days as the plan says since enough water was changed (80 % of the planned
        amount, in one change or several within the interval); watch after one and a half, or,
        while nitrate stays below 15 mg/L in two tests in a row, after four weeks.
    Why: what food brings in gathers, what the buffer loses is not replaced.
    Source: 10 to 25 % every one or two weeks is common practice; the plan is the tank's own.
    Bad: last change 11 days ago, plan 7. Good: 21 L of 85 L six days ago.
    """
    plan = snapshot.tank.plan
    done = _last_full_change(snapshot, knowledge)
    since = done.local_day if done else start_day(snapshot)
    if since is None or not snapshot.expected_fish:
        return ()
    days = (snapshot.today - since).days
    if days < plan.water_change_days:
        return ()
    low = _low_nitrate(snapshot, knowledge)
    late = days > _watch_after(snapshot, waits=bool(low), knowledge=knowledge)
    share = plan.water_change_percent / 100.0
    what = "The last change was" if done else "No change is written since the first entry"
    waits = " Nitrate is low: it can wait some days." if low and not late else ""
    counts = with_unit(short(knowledge.value("change.counts")), "%")
    written = of_entry(done, snapshot.site) if done else Evidence("No water change is written")
    return (
        Finding(
            rule_id="maintenance.water-change",
            severity=Severity.WATCH if late else Severity.INFO,
            action=change_action(share, Concern.ROUTINE),
            reason=f"The planned change is due. {what} {days_text(days)} ago.{waits}",
            child_reason="It is time for some new water.",
            due_at=due_after(since, plan.water_change_days, snapshot),
            clears_when=f"A water change of at least {counts} of the plan is written.",
            counterfactual=(
                f"With a change in the last {days_text(plan.water_change_days)} "
                "this would not be here."
            ),
            evidence=(written, *(of_reading(r, snapshot) for r in low)),
            working=(WorkingLine("Days since the last change:", str(days)),),
            limits=(
                own_limit(
                    f"Every {days_text(plan.water_change_days)}, "
                    f"{with_unit(short(plan.water_change_percent), '%')}"
                ),
                limit(knowledge, "change.late-factor", "Watch after"),
                limit(knowledge, "change.low-nitrate", "Can wait while nitrate is below"),
                limit(knowledge, "change.longest-days", "Never past"),
                limit(knowledge, "change.counts", "Counts as the change from"),
            ),
        ),
    )


def change_days(snapshot: TankSnapshot, knowledge: Knowledge, until: date) -> Iterator[date]:
    """The days after today on which a planned change comes due, done on time from now on."""
    done = _last_full_change(snapshot, knowledge)
    since = done.local_day if done else start_day(snapshot)
    if snapshot.expected_fish:
        yield from on_time(since, snapshot.tank.plan.water_change_days, snapshot.today, until)


def shock(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A water change moved the water too far at once.

    What: the newest day with a change: new water more than 2 °C off the tank in a change of
        over 15 % (watch where nobody wrote how much); or the tank moved more than 2 °C within
        3 hours of it; or more than half was changed in one day without an emergency. Ended by
        12 hours in which the tank moved by 1 °C at most.
    Why: fish bear slow changes; a sudden one can harm them hours later.
    Source: within 1 °C and a quarter at a time is common practice; edges are our own choice.
    Bad: 30 % with water 5 °C colder this morning. Good: 25 % within 1 °C.
    """
    changes = snapshot.jobs_of(JobKind.WATER_CHANGE)
    if not changes:
        return ()
    newest = changes[-1]
    same_day = [j for j in changes if j.local_day == newest.local_day]
    found = _too_cold(same_day, snapshot, knowledge) or _too_far(same_day, snapshot, knowledge)
    found = found or _too_much(same_day, snapshot, knowledge)
    if found is None or _steady_since(newest, snapshot, knowledge):
        return ()
    severity, text, evidence, working = found
    hours = short(knowledge.value("shock.steady-hours"))
    return (
        Finding(
            rule_id="change.shock",
            severity=severity,
            action=Action(
                key="after-change",
                title="Watch their breathing for two hours. Only small changes today",
                child_title="Watch them breathe. Fast? Get a grown-up.",
                concern=Concern.LIFE_SUPPORT,
                door="look",
                cautions=("water_change",),
                at_most=knowledge.value("change.small") / 100.0,
            ),
            reason=f"{text} Next time about a quarter, within "
            f"{degrees_apart(snapshot.site, knowledge.value('change.cool'))}.",
            child_reason="The new water was a big surprise for them.",
            due_at=newest.happened_at,
            clears_when=f"Temperatures over {with_unit(hours, 'h')} after it stay within "
            f"{degrees_apart(snapshot.site, knowledge.value('shock.steady'))}.",
            counterfactual="With a smaller change of like warmth this would not be here.",
            evidence=evidence,
            working=working,
            limits=(
                limit(knowledge, "shock.apart", "New water and tank, at most apart"),
                limit(knowledge, "shock.share", "Counts for changes over"),
                limit(knowledge, "shock.hours", "The tank, within"),
                limit(knowledge, "shock.day-share", "In one day, at most"),
                limit(knowledge, "shock.steady-hours", "Ended by steady"),
                limit(knowledge, "shock.steady", "Steady means within"),
            ),
            quantity=Quantity.TEMPERATURE,
        ),
    )


_Found = tuple[Severity, str, tuple[Evidence, ...], tuple[WorkingLine, ...]]


def _too_cold(jobs: Sequence[Job], snapshot: TankSnapshot, knowledge: Knowledge) -> _Found | None:
    """New water too cold or too warm for its amount; the last one of these changes."""
    net, site = net_liters(snapshot.tank), snapshot.site
    for job in reversed(jobs):
        tank = _before(job, snapshot, knowledge)
        if job.new_water_c is None or tank is None:
            continue
        apart = job.new_water_c - tank.best
        if abs(apart) <= knowledge.value("shock.apart") + _EPSILON:
            continue
        share = job.liters_out / net * 100.0 if job.liters_out is not None and net else None
        if share is not None and share <= knowledge.value("shock.share") + _EPSILON:
            continue
        far = degrees_apart(site, abs(apart))
        text = f"The new water was {far} {'warmer' if apart > 0 else 'colder'} than the tank."
        if share is None:
            text += " How much was changed is not known."
        step = f"{bare_degrees(site, job.new_water_c)} − {bare_degrees(site, tank.best)} ="
        answer = far if apart > 0 else f"−{far}"
        return (
            Severity.ACT if share is not None else Severity.WATCH,
            text,
            (of_entry(job, site), of_reading(tank, snapshot)),
            (remark("New water against the tank"), WorkingLine(step, answer)),
        )
    return None


def _before(job: Job, snapshot: TankSnapshot, knowledge: Knowledge) -> Reading | None:
    """The tank's own temperature before a change, if it was read within a day."""
    back = timedelta(hours=knowledge.value("ammonia.temperature-hours"))
    return last(snapshot.between(Quantity.TEMPERATURE, job.happened_at - back, job.happened_at))


def _too_far(jobs: Sequence[Job], snapshot: TankSnapshot, knowledge: Knowledge) -> _Found | None:
    """The tank itself moved too far around a change."""
    hours = timedelta(hours=knowledge.value("shock.hours"))
    for job in reversed(jobs):
        at = job.happened_at
        before = snapshot.between(Quantity.TEMPERATURE, at - hours, at)
        later = snapshot.between(Quantity.TEMPERATURE, at, at + hours)
        after = [r for r in later if r.at > at]
        pairs = [(a, b) for a in before[-1:] for b in after if b.at - a.at <= hours]
        if not pairs:
            continue
        one, other = max(pairs, key=lambda pair: abs(pair[1].best - pair[0].best))
        apart = other.best - one.best
        if abs(apart) <= knowledge.value("shock.apart") + _EPSILON:
            continue
        site = snapshot.site
        moved = "rose" if apart > 0 else "fell"
        text = f"The tank {moved} by {degrees_apart(site, abs(apart))} around the change."
        step = f"{bare_degrees(site, other.best)} − {bare_degrees(site, one.best)} ="
        answer = degrees_apart(site, apart)
        readings = (of_reading(one, snapshot), of_reading(other, snapshot))
        return Severity.ACT, text, (of_entry(job, site), *readings), (WorkingLine(step, answer),)
    return None


def _too_much(jobs: Sequence[Job], snapshot: TankSnapshot, knowledge: Knowledge) -> _Found | None:
    """More than half of the water in one day, and nothing written that asked for so much."""
    net = net_liters(snapshot.tank)
    known = [j.liters_out for j in jobs if j.liters_out is not None]
    if net is None or not known or _was_pressing(jobs[0], snapshot, knowledge):
        return None
    share = sum(known) / net * 100.0
    if share <= knowledge.value("shock.day-share") + _EPSILON:
        return None
    percent = with_unit(decimal(share, 0), "%")
    step = f"{with_unit(decimal(sum(known), 1), 'L')} ÷ {with_unit(decimal(net, 1), 'L')} ="
    at = when_text(jobs[-1].happened_at, snapshot.site.zone, snapshot.as_of)
    return (
        Severity.ACT,
        f"{percent} of the water was changed in one day, the last of it {at}.",
        tuple(of_entry(j, snapshot.site) for j in jobs),
        (WorkingLine(step, percent),),
    )


def _was_pressing(first: Job, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether something written in the day before a change asked for more than usual."""
    day = timedelta(hours=knowledge.value("change.pressing-hours"))
    edges = (
        (Quantity.AMMONIA, knowledge.value("ammonia.total-act")),
        (Quantity.NITRITE, knowledge.value("nitrite.emergency")),
    )
    high = any(
        r.best >= edge
        for quantity, edge in edges
        for r in snapshot.between(quantity, first.happened_at - day, first.happened_at)
    )
    gasping = any(
        Sign.GASPING in o.signs and timedelta() <= first.happened_at - o.happened_at <= day
        for o in snapshot.observations
    )
    untreated = any(
        j.treated is Treated.NO and timedelta() < first.happened_at - j.happened_at <= day
        for j in snapshot.jobs
    )
    return high or gasping or untreated


def _steady_since(job: Job, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether temperatures over some hours after a change lie close to each other."""
    warm = [r for r in snapshot.of(Quantity.TEMPERATURE) if r.at > job.happened_at]
    hours = timedelta(hours=knowledge.value("shock.steady-hours"))
    within = knowledge.value("shock.steady") + _EPSILON
    if not warm or warm[-1].at - job.happened_at < hours:
        return False
    lately = [r.best for r in warm if warm[-1].at - r.at <= hours]
    return max(lately) - min(lately) <= within


def _low_nitrate(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Reading, ...]:
    """The newest two nitrate tests, where both are low and still tell something; else none."""
    tests = [r for r in snapshot.of(Quantity.NITRATE) if not r.kit_doubtful][-2:]
    if len(tests) < 2 or snapshot.age_of(tests[-1].at) >= timedelta(
        days=knowledge.value("keeps.nitrate-days")
    ):
        return ()
    edge = knowledge.value("change.low-nitrate")
    return tuple(tests) if all(r.most is not None and r.most < edge for r in tests) else ()


def _watch_after(snapshot: TankSnapshot, *, waits: bool, knowledge: Knowledge) -> float:
    """After how many days the change is watched: later with low nitrate, never past 4 weeks."""
    usual = snapshot.tank.plan.water_change_days * knowledge.value("change.late-factor")
    return max(usual, knowledge.value("change.longest-days")) if waits else usual


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


RULES: Final = (
    Rule(
        id="maintenance.water-change",
        title="Water change due",
        why="What food brings in gathers.",
        limits=(
            "change.late-factor",
            "change.counts",
            "change.cool",
            "change.low-nitrate",
            "change.longest-days",
            "keeps.nitrate-days",
        ),
        check=water_change_due,
        lesson="New water takes away what food leaves behind.",
    ),
    Rule(
        id="change.shock",
        title="A change that was too much at once",
        why="A sudden change can harm hours later.",
        limits=(
            "shock.apart",
            "shock.share",
            "shock.hours",
            "shock.day-share",
            "shock.steady-hours",
            "shock.steady",
            "change.cool",
            "change.small",
            "ammonia.temperature-hours",
            "ammonia.total-act",
            "nitrite.emergency",
        ),
        check=shock,
        lesson="Fish like slow changes. Measure the new water first.",
    ),
)
