"""Untreated tap water: chlorine and chloramine on gills and filter."""

from datetime import datetime, timedelta
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Job, JobKind, Treated
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import when_text
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity
from app.rules.showing import limit, of_entry
from app.rules.testing import retest


def untreated(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Tap water went in without conditioner, or nobody knows.

    What: a water change or top-up with untreated water asks for help now within 6 hours, later
        for action, until conditioner is written; then watch until two ammonia tests after it.
        "Don't know" asks for action, marked as uncertain: conditioner harms nothing if it was
        there, and help now is kept for what somebody saw.
    Why: chlorine burns gills and kills the filter's bacteria; chloramine stays for days.
    Source: harmful below 0.02 mg/L, treatment-plant design manual; hours are our own choice.
    Bad: 21 L in, not treated, an hour ago. Good: treated, or conditioner and two tests after.
    """
    job = _untreated_job(snapshot)
    if job is None:
        return ()
    conditioner = last(
        [c for c in snapshot.jobs_of(JobKind.CONDITIONER) if c.happened_at >= job.happened_at]
    )
    at = when_text(job.happened_at, snapshot.site.zone, snapshot.as_of)
    if conditioner is not None:
        return _tests_after(job, at, snapshot, knowledge)
    known = job.treated is Treated.NO
    fresh = snapshot.as_of < fresh_until(job, knowledge)
    doubt = "Untreated tap water went in" if known else "Nobody knows whether the new water of"
    reason = f"{doubt} {at}." if known else f"{doubt} {at} was treated."
    return (
        Finding(
            rule_id="water.untreated",
            severity=Severity.EMERGENCY if known and fresh else Severity.ACT,
            action=Action(
                key="treat-water",
                title="Put in water conditioner now, as its label says",
                child_title="Get a grown-up now. The water needs drops.",
                concern=Concern.TOXINS,
                door="job",
                job=JobKind.CONDITIONER.value,
                adult=True,
                cautions=("untreated_water", "hands"),
            ),
            reason=f"{reason} More air. Watch their breathing for 30 minutes.",
            child_reason="Tap water hurts fish. Get a grown-up now.",
            due_at=job.happened_at,
            clears_when="Conditioner is written, and two ammonia tests after it.",
            counterfactual="With treated water this would not be here.",
            evidence=(of_entry(job, snapshot.site),),
            limits=(limit(knowledge, "change.untreated-hours", "Act now for"),),
            certain=known,
        ),
    )


def fresh_end(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime | None:
    """When untreated water stops asking for help at once."""
    job = _untreated_job(snapshot)
    return None if job is None else fresh_until(job, knowledge)


def fresh_until(job: Job, knowledge: Knowledge) -> datetime:
    """Until when a job's untreated water asks for help at once."""
    return job.happened_at + timedelta(hours=knowledge.value("change.untreated-hours"))


def _untreated_job(snapshot: TankSnapshot) -> Job | None:
    jobs = snapshot.jobs_of(JobKind.WATER_CHANGE, JobKind.TOP_UP)
    return last([j for j in jobs if j.treated in {Treated.NO, Treated.UNKNOWN}])


def _tests_after(
    job: Job, at: str, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[Finding, ...]:
    tests = [
        r for r in snapshot.of(Quantity.AMMONIA) if r.at > job.happened_at and not r.kit_doubtful
    ]
    if len(tests) >= knowledge.value("change.untreated-tests"):
        return ()
    return (
        Finding(
            rule_id="water.untreated",
            severity=Severity.WATCH,
            action=retest(Quantity.AMMONIA),
            reason=f"Tap water went in {at} without conditioner. Did the filter suffer?",
            child_reason="Did the filter suffer? Test once more.",
            due_at=job.happened_at + timedelta(days=1),
            clears_when="Two ammonia tests after it are written: the next day and on day three.",
            counterfactual="With treated water this would not be here.",
            evidence=(of_entry(job, snapshot.site),),
            limits=(limit(knowledge, "change.untreated-tests", "Wanted"),),
            quantity=Quantity.AMMONIA,
        ),
    )


RULES: Final = (
    Rule(
        id="water.untreated",
        title="Untreated tap water",
        why="Chlorine and chloramine hurt gills and filter.",
        limits=(
            "change.untreated-hours",
            "change.untreated-tests",
        ),
        check=untreated,
        holds_until=fresh_end,
        lesson="Tap water has chlorine. It keeps us well and hurts fish.",
    ),
)
