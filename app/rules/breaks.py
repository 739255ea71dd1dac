"""Days without people: the list before a weekend, and who looks after the tank in a break."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from app.domain.calendar import day_start, somebody_comes
from app.domain.records import JobKind, StockEvent
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Break, DayKind, Site
from app.domain.wording import count, full_day
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.newcomers import new_arrivals
from app.rules.showing import days_text, limit, of_entry, remark

COVER_STEP: Final = "break-cover:"
_ONE_DAY: Final = timedelta(days=1)
# no break is longer; it only bounds the count where nobody ever comes
_LONGEST: Final = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Days in a row without people around a break; `breaks` are all that lie in it."""

    away: Break
    first_day: date
    days: int
    breaks: tuple[Break, ...] = ()

    @property
    def returns_on(self) -> date:
        """The first day on which somebody comes again."""
        return self.first_day + timedelta(days=self.days)

    def begins_a_break_on(self, day: date) -> bool:
        """Whether one of its breaks begins on a day."""
        return any(away.first_day == day for away in (self.away, *self.breaks))


def cover_step(away: Break) -> str:
    """The step that is ticked off when the cover of a break is arranged."""
    return f"{COVER_STEP}{away.first_day.isoformat()}"


def weekend(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The list before days without people, in a class.

    What: on the last day on which somebody comes, from noon, when two days or more without people
        follow; until a checklist of that day is written.
    Why: what is wrong on Friday afternoon runs on until Monday.
    Source: a list before each weekend is common practice; days and hour are our own choice.
    Bad: Friday 12:00, no list. Good: Friday 11:59; Thursday; a list written on Friday.
    """
    noon = list_from(snapshot, knowledge)
    if noon is None or snapshot.as_of < noon:
        return ()
    if any(j.local_day == snapshot.today for j in snapshot.jobs_of(JobKind.CHECKLIST)):
        return ()
    gap = unattended_from(snapshot.site, snapshot.today + _ONE_DAY)
    back = snapshot.today + timedelta(days=gap + 1)
    return (
        Finding(
            rule_id="breaks.weekend",
            severity=Severity.WATCH,
            action=Action(
                key="weekend-list",
                title=f"{snapshot.today:%A} list: count, temperature, flow, lid, light timer, "
                "top up. No extra food.",
                child_title="Go through the list. No extra food.",
                concern=Concern.ROUTINE,
                door="job",
                job=JobKind.CHECKLIST.value,
                cautions=("hands", "electricity"),
            ),
            reason=f"Nobody comes for {days_text(gap)}. The next day with people is "
            f"{full_day(back)}.",
            child_reason="Soon nobody is here. Is all well?",
            due_at=noon,
            clears_when="Today’s checklist is written.",
            counterfactual="With somebody here tomorrow this would not be here.",
            evidence=(Evidence("No checklist is written today"),),
            working=(WorkingLine("Days without people:", str(gap)),),
            limits=(
                limit(knowledge, "breaks.weekend-days", "Asked from, days without people"),
                limit(knowledge, "breaks.list-hour", "From this hour of the last day"),
            ),
        ),
    )


def list_from(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime | None:
    """From when today's list is asked for, or None where no list is wanted today."""
    site, today = snapshot.site, snapshot.today
    if snapshot.tank.setting != "class" or not somebody_comes(site, today):
        return None
    if unattended_from(site, today + _ONE_DAY) < knowledge.value("breaks.weekend-days"):
        return None
    return list_hour(today, site, knowledge)


def list_hour(day: date, site: Site, knowledge: Knowledge) -> datetime:
    """From when on a day the list before days without people is asked for."""
    hour = time(int(knowledge.value("breaks.list-hour")))
    return datetime.combine(day, hour, ZoneInfo(site.zone)).astimezone(UTC)


def cover(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A break comes, and nobody has arranged who looks after the tank.

    What: four days or more without people, weekends around the break counted, begin within 21
        days; act from seven days before, and until the break is over; arranged once its step is
        ticked off. One finding for each stretch of days without people.
    Why: healthy grown animals bear three days without food; young, thin, sick or new ones one.
    Source: over four days somebody feeds every other day, a classroom project's page; visits
        twice a week over seven days are our own choice, after an energy sum.
    Bad: 16 days from Monday week, nothing arranged. Good: a long weekend; or arranged.
    """
    if not snapshot.expected_fish:
        return ()
    ticked = {j.step for j in snapshot.jobs_of(JobKind.STEP) if j.step.startswith(COVER_STEP)}
    return tuple(
        _uncovered(stretch.away, stretch.days, snapshot, knowledge)
        for stretch in near_stretches(snapshot, knowledge, but=lambda b: cover_step(b) in ticked)
    )


def near_stretches(
    snapshot: TankSnapshot, knowledge: Knowledge, *, but: Callable[[Break], bool] = lambda _: False
) -> tuple[Stretch, ...]:
    """The long times without people that begin soon or go on, each once, the nearest first.

    Args:
        snapshot: The record of the tank.
        knowledge: For how soon and how long.
        but: Breaks for which this holds are left out.
    """
    least = knowledge.value("breaks.plan-days")
    return tuple(
        stretch
        for stretch in stretches_at(snapshot.site, knowledge)
        if stretch.days >= least
        and stretch.returns_on > snapshot.today
        and any(_is_near(away, snapshot, knowledge) for away in stretch.breaks)
        and not any(but(away) for away in stretch.breaks)
    )


def stretches_at(site: Site, knowledge: Knowledge) -> tuple[Stretch, ...]:
    """The times without people around all breaks, each once, the earliest first.

    A holiday counts as a break where it makes a time that wants a plan; else it is a free day.
    """
    found: dict[date, Stretch] = {}
    for away in sorted(site.away, key=lambda b: (b.first_day, b.last_day)):
        stretch = stretch_of(site, away)
        short_one = stretch.days < knowledge.value("breaks.plan-days")
        if away.kind is not DayKind.HOLIDAY or not short_one:
            known = found.get(stretch.first_day, stretch)
            found[stretch.first_day] = replace(known, breaks=(*known.breaks, away))
    return tuple(sorted(found.values(), key=lambda s: s.first_day))


def stretch_of(site: Site, away: Break) -> Stretch:
    """The days without people around a break, with the weekends that touch it."""
    first = _first_unattended(site, away.first_day)
    return Stretch(away=away, first_day=first, days=unattended_from(site, first))


def unattended_from(site: Site, day: date) -> int:
    """How many days in a row from `day` on nobody is meant to come; at most 400 are counted."""
    days = 0
    while days < _LONGEST and not somebody_comes(site, day + timedelta(days=days)):
        days += 1
    return days


def _first_unattended(site: Site, day: date) -> date:
    """The first day without people of the stretch that holds `day`."""
    first = day
    while (day - first).days < _LONGEST and not somebody_comes(site, first - _ONE_DAY):
        first -= _ONE_DAY
    return first


def _is_near(away: Break, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    ahead = (away.first_day - snapshot.today).days
    return away.last_day >= snapshot.today and ahead <= knowledge.value("breaks.ahead-days")


def _uncovered(away: Break, days: int, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding:
    ahead = (away.first_day - snapshot.today).days
    new = _new_before(away, snapshot, knowledge)
    starts = f"starts on {full_day(away.first_day)}" if ahead > 0 else "has begun"
    name = away.name or "A break"
    parts = [
        f"{name[:1].upper()}{name[1:]} {starts}, with {days_text(days)} without people.",
        _policy(days, knowledge),
        _clean_words(away, ahead, knowledge),
        "New animals bear one day without food: plan more visits." if new else "",
    ]
    lead = int(knowledge.value("breaks.act-days"))
    return Finding(
        rule_id="breaks.plan",
        severity=Severity.ACT if ahead <= lead else Severity.WATCH,
        action=Action(
            key="break-plan",
            title="Arrange who looks after the tank in the break",
            child_title="A grown-up plans for the break.",
            concern=Concern.ROUTINE,
            door="breaks",
            adult=True,
        ),
        reason=" ".join(part for part in parts if part),
        child_reason="Soon nobody is here for some days.",
        due_at=day_start(away.first_day - timedelta(days=lead), snapshot.site.zone),
        clears_when="The cover of this break is written under Coming breaks.",
        counterfactual="With the cover of the break arranged this would not be here.",
        evidence=(
            Evidence(f"{full_day(away.first_day)} to {full_day(away.last_day)}: nobody comes"),
            *(of_entry(e, snapshot.site) for e in new),
        ),
        working=(
            WorkingLine("Days without people, with weekends around the break:", str(days)),
            remark("Food: one usual portion at each visit. No extra food before or after."),
        ),
        limits=(
            limit(knowledge, "breaks.plan-days", "Asked from, days without people"),
            limit(knowledge, "breaks.visit-days", "Visits twice a week over"),
            limit(knowledge, "breaks.ahead-days", "Asked so long before"),
            limit(knowledge, "breaks.act-days", "Act so long before"),
            limit(knowledge, "breaks.new-days", "New animals are those that came within"),
        ),
    )


def _policy(days: int, knowledge: Knowledge) -> str:
    if days > knowledge.value("breaks.visit-days"):
        return "Name who feeds, or test a feeder, with visits at least twice a week."
    return "Pack portions, and name who comes every two to three days."


def _clean_words(away: Break, ahead: int, knowledge: Knowledge) -> str:
    """When to change water before the break, while there is still time for it."""
    first, final = (int(knowledge.value(f"breaks.clean-{end}")) for end in ("first", "last"))
    if ahead < final:
        return ""
    since, until = (away.first_day - timedelta(days=n) for n in (first, final))
    return (
        f"Change water and clean a little {final} to {count(first, 'day', 'days')} before "
        f"({full_day(since)} to {full_day(until)}), not on the last day."
    )


def _new_before(away: Break, snapshot: TankSnapshot, knowledge: Knowledge) -> Sequence[StockEvent]:
    """The animals that came within some days before a break."""
    days = knowledge.value("breaks.new-days")
    return [e for e in new_arrivals(snapshot) if (away.first_day - e.local_day).days <= days]


RULES: Final = (
    Rule(
        id="breaks.weekend",
        title="The list before days without people",
        why="What is wrong on Friday runs on until Monday.",
        limits=("breaks.weekend-days", "breaks.list-hour"),
        check=weekend,
        holds_until=list_from,
        lesson="Check the tank before you leave. Fish need no extra food.",
    ),
    Rule(
        id="breaks.plan",
        title="Nobody is named for a break",
        why="Healthy grown animals bear three days without food, not two weeks.",
        limits=(
            "breaks.plan-days",
            "breaks.visit-days",
            "breaks.ahead-days",
            "breaks.act-days",
            "breaks.clean-first",
            "breaks.clean-last",
            "breaks.new-days",
        ),
        check=cover,
        lesson="Fish need people in the holidays too.",
    ),
)
