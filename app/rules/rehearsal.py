"""What the rehearsal of a coming break says would fail: tasks to do before leaving."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from app.domain.calendar import day_start, local_day
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot, last
from app.domain.tank import Break, Site
from app.domain.wording import full_day
from app.estimates.closure import before_nights
from app.estimates.closure_food import visits_wanted
from app.estimates.closure_model import FAILS, Away, Part, Trouble, moment_text
from app.knowledge.model import Knowledge
from app.rules.breaks import Stretch, near_stretches
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity
from app.rules.showing import limit, remark

READY_STEP: Final = "break-ready:"
_TITLES: Final[Mapping[Trouble, str]] = {
    Trouble.LEVEL: "For the break: ask a visitor to top up by {day}",
    Trouble.WARMTH: "For the break: see to the warmth, the heater is too small",
    Trouble.NITRATE: "For the break: change water, before nitrate reaches its line",
}
TROUBLES: Final = tuple(_TITLES)
"""What is asked for before leaving, and ticked off."""
_CHILD_TITLES: Final[Mapping[Trouble, str]] = {
    Trouble.LEVEL: "A grown-up asks who fills up in the break.",
    Trouble.WARMTH: "A grown-up sees to the warmth for the break.",
    Trouble.NITRATE: "A grown-up changes water before the break.",
}
_WITHOUT: Final[Mapping[Trouble, str]] = {
    Trouble.LEVEL: "With water that stays above the heater line this would not be here.",
    Trouble.WARMTH: "With a heater that holds the warmth in that room this would not be here.",
    Trouble.NITRATE: "With nitrate below its line until then this would not be here.",
}
_CAUTIONS: Final[Mapping[Trouble, tuple[str, ...]]] = {
    Trouble.LEVEL: ("heater", "untreated_water"),
    Trouble.WARMTH: ("heater", "electricity"),
    Trouble.NITRATE: ("water_change",),
}


def ready_step(away: Break, trouble: Trouble) -> str:
    """The step that is ticked off when somebody has seen to one trouble of a break."""
    return f"{READY_STEP}{trouble.value}:{away.first_day.isoformat()}"


def usual_away(stretch: Stretch, site: Site, knowledge: Knowledge) -> Away:
    """From the last hour with people to the first one, fed every other day: the usual plan."""
    return Away(
        leaves=_at(stretch.first_day - timedelta(days=1), "closure.leave-hour", site, knowledge),
        returns=_at(stretch.returns_on, "closure.return-hour", site, knowledge),
        visits=visits_wanted(stretch.days, knowledge),
    )


def rehearsal(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """What would fail in a coming break, by estimate.

    What: within 21 days before a break of four days or more, what fails by the best guess before
        people come back: the water at the heater line, the heater too small for the room as cold
        as it gets, nitrate at its line; until the break is over. Watch at most; ended by its tick
        on the rehearsal page, by other measures, and for the level by a top-up in the break.
    Why: what fails on the screen before a break does not fail in the tank.
    Source: the balances of evaporation, warmth and nitrogen; fed every other day.
    Bad: 17 days, 3 mm a day, heater line 40 mm down. Good: 1.5 mm a day.
    """
    if not snapshot.expected_fish:
        return ()
    ticked = {j.step for j in snapshot.jobs_of(JobKind.STEP) if j.step.startswith(READY_STEP)}
    found: list[Finding] = []
    for stretch in near_stretches(snapshot, knowledge):
        away = usual_away(stretch, snapshot.site, knowledge)
        found += [
            _fails(part, away, stretch, snapshot, knowledge)
            for part in before_nights(away, snapshot, knowledge).failing
            if part.trouble in _TITLES
            and part.likely != away.leaves
            and ready_step(stretch.away, part.trouble) not in ticked
            and not (part.trouble is Trouble.LEVEL and _filled_since(away.leaves, snapshot))
        ]
    return tuple(found)


def _filled_since(moment: datetime, snapshot: TankSnapshot) -> bool:
    filled = last(snapshot.jobs_of(JobKind.TOP_UP, JobKind.WATER_CHANGE))
    return filled is not None and filled.happened_at > moment


def _fails(
    part: Part, away: Away, stretch: Stretch, snapshot: TankSnapshot, knowledge: Knowledge
) -> Finding:
    zone, trouble = snapshot.site.zone, part.trouble
    day = full_day(local_day(part.likely or snapshot.as_of, zone))
    lead = int(knowledge.value("breaks.act-days"))
    return Finding(
        rule_id="breaks.rehearsal",
        severity=Severity.WATCH,
        action=Action(
            key=f"break-{trouble.value}",
            title=_TITLES[trouble].format(day=day),
            child_title=_CHILD_TITLES[trouble],
            concern=Concern.ROUTINE,
            door="rehearsal",
            adult=True,
            cautions=_CAUTIONS[trouble],
        ),
        reason=f"{FAILS[trouble]}: {moment_text(part, away, zone)}. {part.estimate.sentence}",
        child_reason="We tried out the break on paper first.",
        due_at=day_start(stretch.first_day - timedelta(days=lead), zone),
        clears_when="Somebody ticks it off beside the rehearsal of this break.",
        counterfactual=_WITHOUT[trouble],
        evidence=(
            Evidence(
                f"{full_day(stretch.first_day)} to {full_day(_last(stretch))}: nobody comes"
            ),
        ),
        working=(
            remark("An estimate, not measured; its numbers stand on the rehearsal page."),
            remark(part.help),
        ),
        limits=(
            limit(knowledge, "breaks.plan-days", "Rehearsed from, days without people"),
            limit(knowledge, "breaks.ahead-days", "Rehearsed so long before"),
        ),
        certain=False,
    )  # fmt: skip


def _last(stretch: Stretch) -> date:
    return stretch.returns_on - timedelta(days=1)


def _at(day: date, key: str, site: Site, knowledge: Knowledge) -> datetime:
    hour, part = divmod(knowledge.value(key), 1.0)
    there = datetime.combine(day, time(int(hour), int(part * 60.0)), ZoneInfo(site.zone))
    return there.astimezone(UTC)


RULES: Final = (
    Rule(
        id="breaks.rehearsal",
        title="Something would fail in a break, by estimate",
        why="What fails on the screen before a break does not fail in the tank.",
        limits=(
            "breaks.plan-days",
            "breaks.ahead-days",
            "breaks.act-days",
            "closure.feed-every",
            "closure.leave-hour",
            "closure.return-hour",
            "temperature.heater-watch",
        ),
        check=rehearsal,
        lesson="Trying things out first shows what could go wrong.",
    ),
)
