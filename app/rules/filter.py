"""The filter: its sponge is due, it flows slowly, it stopped, it was washed in tap water."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Final

from app.domain.records import Job, JobKind, Observation, Rinse, Sign
from app.domain.snapshot import FILTER_STOPS, TankSnapshot, last
from app.domain.wording import decimal, short, when_text, with_unit
from app.knowledge.model import Knowledge
from app.rules.intervals import due_after, on_time, start_day
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.paired_tests import clean_run
from app.rules.plan import FILTER_KEY
from app.rules.progress import filter_care
from app.rules.showing import days_text, limit, of_entry, own_limit, remark


def rinse_action() -> Action:
    """Ask a grown-up to rinse the sponge in tank water."""
    return Action(
        key=FILTER_KEY,
        title="Rinse the filter sponge in tank water",
        child_title="A grown-up rinses the filter.",
        concern=Concern.ROUTINE,
        door="job",
        job=JobKind.FILTER_RINSE.value,
        adult=True,
        cautions=("filter", "hands", "electricity"),
    )


def filter_rinse_due(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The filter sponge is due for a rinse in tank water.

    What: as many days as the plan says since the last rinse; watch after one and a half.
    Why: a clogged sponge slows the flow, and the bacteria need the oxygen it brings.
    Source: about monthly, in tank water only: common practice.
    Bad: 46 days ago, plan 30. Good: 20 days ago.
    """
    rinse = last(snapshot.jobs_of(JobKind.FILTER_RINSE))
    since = rinse.local_day if rinse else start_day(snapshot)
    interval = snapshot.tank.plan.filter_rinse_days
    if since is None or (days := (snapshot.today - since).days) < interval:
        return ()
    late = days > interval * knowledge.value("change.late-factor")
    return (
        Finding(
            rule_id="maintenance.filter-rinse",
            severity=Severity.WATCH if late else Severity.INFO,
            action=rinse_action(),
            reason=(
                f"It was last rinsed {days_text(days)} ago. The plan says every "
                f"{days_text(interval)}. Never under the tap."
                if rinse
                else f"No rinse is written for {days_text(days)}. Never under the tap."
            ),
            child_reason="The filter sponge is full.",
            due_at=due_after(since, interval, snapshot),
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


def rinse_days(snapshot: TankSnapshot, until: date) -> Iterator[date]:
    """The days after today on which a rinse comes due, done on time from now on."""
    rinse = last(snapshot.jobs_of(JobKind.FILTER_RINSE))
    since = rinse.local_day if rinse else start_day(snapshot)
    yield from on_time(since, snapshot.tank.plan.filter_rinse_days, snapshot.today, until)


def filter_slow(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The filter stays slow.

    What: two looks within 3 days found it slow and no rinse is written since; or no rinse for
        over 45 days, where the plan wants one more often than that.
    Why: a slow filter brings the bacteria less oxygen.
    Source: rinsing in tank water is common practice; the numbers are our own choice.
    Bad: slow yesterday and today. Good: slow once; or rinsed after it.
    """
    rinse = last(snapshot.jobs_of(JobKind.FILTER_RINSE))
    slow = _slow_looks(rinse, snapshot, knowledge)
    needed = int(knowledge.value("filter.slow-looks"))
    since = rinse.local_day if rinse else start_day(snapshot)
    days = 0 if since is None else (snapshot.today - since).days
    longest = int(knowledge.value("filter.longest-days"))
    seen = len(slow) >= needed
    overgrown = days > longest and snapshot.tank.plan.filter_rinse_days <= longest
    if not seen and not overgrown:
        return ()
    reason = "It was slow at two looks in a row." if seen else f"No rinse for {days_text(days)}."
    within = int(knowledge.value("filter.slow-days"))
    evidence = [of_entry(o, snapshot.site) for o in slow]
    evidence.append(of_entry(rinse, snapshot.site) if rinse else Evidence("No rinse is written"))
    return (
        Finding(
            rule_id="filter.slow",
            severity=Severity.WATCH,
            action=rinse_action(),
            reason=f"{reason} Rinse the sponge in a bucket of tank water within "
            f"{days_text(within)}.",
            child_reason="The filter is slow.",
            due_at=slow[-1].happened_at
            if seen or since is None
            else due_after(since, longest + 1, snapshot),
            clears_when="A filter rinse is written.",
            counterfactual="With a rinse since then this would not be here.",
            evidence=tuple(evidence),
            working=(WorkingLine("Days since the last rinse:", str(days)),),
            limits=(
                limit(knowledge, "filter.slow-looks", "Slow at looks"),
                limit(knowledge, "filter.slow-days", "Within"),
                limit(knowledge, "filter.longest-days", "No rinse for more than"),
            ),
        ),
    )


def tap_rinsed(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The filter was washed in tap water, or all of its material was replaced.

    What: the newest such job, until four clean tests of ammonia and nitrite in a row after it.
    Why: the film of bacteria that eats the waste may be gone.
    Source: rinse in tank water only, replace a third at a time: common practice.
    Bad: rinsed under the tap yesterday. Good: rinsed in tank water; a third replaced.
    """
    jobs = snapshot.jobs_of(JobKind.FILTER_RINSE, JobKind.MEDIA_REPLACED)
    washed = last([j for j in jobs if _film_gone(j)])
    if washed is None:
        return ()
    clean = clean_run(snapshot, washed.happened_at, knowledge)
    needed = int(knowledge.value("filter.clean-tests"))
    if clean >= needed:
        return ()
    done = "rinsed in tap water" if washed.rinse is Rinse.TAP else "filled with new material"
    at = when_text(washed.happened_at, snapshot.site.zone, snapshot.as_of)
    week = days_text(int(knowledge.value("filter.care-days")))
    return (
        Finding(
            rule_id="filter.tap-rinsed",
            severity=Severity.ACT,
            action=filter_care(),
            reason=f"The filter was {done} {at}. Its helpful film may be gone. Feed half, and "
            f"test every day, for {week}. Keep old material in.",
            child_reason="The filter’s tiny helpers may be gone.",
            due_at=washed.happened_at,
            clears_when=f"{needed} clean tests in a row after it are written.",
            counterfactual="With a rinse in tank water this would not be here.",
            evidence=(of_entry(washed, snapshot.site),),
            working=(WorkingLine("Clean tests in a row since:", f"{clean} of {needed}"),),
            limits=(
                limit(knowledge, "filter.clean-tests", "Ended by clean tests"),
                limit(knowledge, "filter.care-days", "Half the food for"),
            ),
        ),
    )


def filter_off(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The filter does not run.

    What: the newest look says that the filter or the power is off, or the plug; act now after
        2 hours, or where the oxygen is estimated to last 4 hours or less. While only the plug or
        the power is off, the rules of the look and of the sign ask first.
    Why: the fish lose air and the bacteria lose oxygen.
    Source: hours are our own choice after a worked example; an estimate only ever raises.
    Bad: off since the look three hours ago. Good: a later look with the filter running.
    """
    run = snapshot.looks_at_a_stop
    if not run:
        return ()
    first, signs = run[0], {s for look in run for s in look.signs}
    hours = timedelta(hours=knowledge.value("filter.off-hours"))
    long = snapshot.age_of(first.happened_at) >= hours
    crowded = _crowded(snapshot, knowledge)
    pressing = long or crowded
    if Sign.FILTER_OFF not in signs and not pressing:
        return ()
    what = "The power is out" if Sign.POWER_CUT in signs else "The filter does not run"
    rinse = with_unit(short(knowledge.value("filter.stale-hours")), "h")
    at = when_text(first.happened_at, snapshot.site.zone, snapshot.as_of)
    return (
        Finding(
            rule_id="filter.off",
            severity=Severity.EMERGENCY if pressing else Severity.ACT,
            action=Action(
                key="filter-off" if FILTER_STOPS & signs else "plug",
                title="Start the filter, or run an air pump",
                child_title="The filter stopped. Get a grown-up.",
                concern=Concern.LIFE_SUPPORT,
                door="look",
                adult=True,
                cautions=("filter", "electricity"),
            ),
            reason=f"{what}, written {at}. No food. Off for over {rinse}: rinse "
            f"the sponge in tank water before it starts again. {_air_words(snapshot)}",
            child_reason="The filter stopped. The fish need air.",
            due_at=first.happened_at,
            clears_when="A later look with the filter running is written.",
            counterfactual="With the filter running this would not be here.",
            evidence=(of_entry(first, snapshot.site),),
            working=_air_lines(snapshot),
            limits=(
                limit(knowledge, "filter.off-hours", "Act now after"),
                limit(knowledge, "filter.air-hours", "Act now where the oxygen lasts at most"),
                limit(knowledge, "filter.stale-hours", "Rinse first after"),
            ),
            certain=long or not crowded,
        ),
    )


def off_until(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime | None:
    """When a stopped filter turns into an emergency."""
    run = snapshot.looks_at_a_stop
    hours = timedelta(hours=knowledge.value("filter.off-hours"))
    return run[0].happened_at + hours if run else None


def _film_gone(job: Job) -> bool:
    return job.rinse is Rinse.TAP or (job.media_share or 0.0) >= 1.0


def _slow_looks(
    rinse: Job | None, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[Observation, ...]:
    """Looks with a slow filter within some days of the newest one, none with a good flow after."""
    slow = [
        o
        for o in snapshot.observations
        if Sign.FILTER_SLOW in o.signs and (rinse is None or o.happened_at > rinse.happened_at)
    ]
    if not slow or snapshot.observations[-1] is not slow[-1]:
        return ()
    days = timedelta(days=knowledge.value("filter.slow-days"))
    return tuple(o for o in slow if slow[-1].happened_at - o.happened_at <= days)


def _crowded(snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    oxygen = snapshot.oxygen
    if oxygen is None or oxygen.outage_low_h is None:
        return False
    return oxygen.outage_low_h <= knowledge.value("filter.air-hours")


def _air_words(snapshot: TankSnapshot) -> str:
    oxygen = snapshot.oxygen
    if oxygen is None or oxygen.outage_low_h is None:
        return "How long the oxygen lasts is not known: it takes the tank’s measures and animals."
    low = with_unit(decimal(oxygen.outage_low_h, 0), "h")
    if oxygen.outage_high_h is None:
        return f"The oxygen is estimated to last {low} or more."
    high = with_unit(decimal(oxygen.outage_high_h, 0), "h")
    return f"The oxygen is estimated to last {low} to {high}."


def _air_lines(snapshot: TankSnapshot) -> tuple[WorkingLine, ...]:
    return (remark(_air_words(snapshot)),)


RULES: Final = (
    Rule(
        id="filter.off",
        title="The filter does not run",
        why="Fish lose air, and the bacteria lose oxygen.",
        limits=("filter.off-hours", "filter.air-hours", "filter.stale-hours"),
        check=filter_off,
        holds_until=off_until,
        lesson="A filter cleans the water and brings in air.",
    ),
    Rule(
        id="filter.tap-rinsed",
        title="Filter washed in tap water",
        why="The film of bacteria may be gone.",
        limits=("filter.clean-tests", "filter.care-days"),
        check=tap_rinsed,
        lesson="Tap water can hurt the filter’s tiny helpers.",
    ),
    Rule(
        id="filter.slow",
        title="The filter stays slow",
        why="A slow filter brings less oxygen.",
        limits=("filter.slow-looks", "filter.slow-days", "filter.longest-days"),
        check=filter_slow,
        lesson="A full sponge lets less water through.",
    ),
    Rule(
        id="maintenance.filter-rinse",
        title="Filter rinse due",
        why="A clogged sponge slows the flow.",
        limits=("change.late-factor",),
        check=filter_rinse_due,
        lesson="Rinse the sponge in tank water, never under the tap.",
    ),
)
