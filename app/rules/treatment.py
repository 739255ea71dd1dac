"""An adult's treatment record: its arithmetic held against the tank's own water, never advice."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from app.domain.measures import net_volume
from app.domain.records import Job, JobKind, Treatment
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, short, water_amount, with_unit
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity, WorkingLine
from app.rules.showing import limit, of_entry

_NEEDS_LABEL: Final = "The label and the veterinarian say what is right."


@dataclass(frozen=True, slots=True)
class _Doubt:
    """One thing of the record that does not add up."""

    reason: str
    clears_when: str
    counterfactual: str
    working: tuple[WorkingLine, ...] = ()
    change: Job | None = None


def check(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The record of a running treatment leaves something open.

    What: carbon is not marked as out; the volume it was worked out for is over 10 % more than
        the water in the tank; the amount does not follow from the label as typed; or water was
        changed after the last amount. A course runs until its last day, or 28 days without one.
    Why: carbon takes out what was added, and the glass holds more than its water.
    Source: arithmetic of the label that the adult typed; common practice for carbon.
    Bad: worked out for 106 L in a tank with 85 L. Good: 85 L, carbon out, no change since.
    """
    given = [j for j in snapshot.jobs_of(JobKind.TREATMENT) if j.treatment is not None]
    if not given:
        return ()
    newest = given[-1]
    record = newest.treatment
    if record is None or not _runs(newest, record, snapshot, knowledge):
        return ()
    doubts = (
        _carbon(record),
        _volume(record, snapshot, knowledge),
        _amount(record, knowledge),
        _changed(newest, snapshot),
    )
    return tuple(_finding(d, newest, snapshot, knowledge) for d in doubts if d is not None)


def _runs(job: Job, record: Treatment, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    open_days = timedelta(days=knowledge.value("treatment.open-days"))
    last_day = record.until or (job.local_day + open_days)
    return snapshot.today <= last_day


def _carbon(record: Treatment) -> _Doubt | None:
    if record.carbon_out:
        return None
    said = "Nobody wrote whether carbon is out" if record.carbon_out is None else "Carbon is in"
    return _Doubt(
        f"{said} of the filter. Carbon takes out what was added. {_NEEDS_LABEL}",
        "The treatment is corrected or written again with carbon out.",
        "With carbon marked as out this would not be here.",
    )


def _volume(record: Treatment, snapshot: TankSnapshot, knowledge: Knowledge) -> _Doubt | None:
    if record.volume_l is None:
        return None
    water = net_volume(snapshot.tank.shape)
    if water is None:
        return _Doubt(
            "Nobody measured how much water is in the tank, so nobody can check the volume "
            "of the treatment.",
            "The water depth of the tank is written.",
            "With the water measured this would not be here.",
        )
    most = water.net_l * (1.0 + knowledge.value("treatment.volume-margin") / 100.0)
    if record.volume_l <= most:
        return None
    typed = water_amount(snapshot.site, record.volume_l)
    net = water_amount(snapshot.site, water.net_l)
    return _Doubt(
        f"It was worked out for {typed}, but the tank holds {net} of water. {_NEEDS_LABEL}",
        "The treatment is corrected, or written again with the volume of the water.",
        f"With a volume of {net} this would not be here.",
        (
            WorkingLine(
                f"{decimal(record.volume_l, 1)} ÷ {decimal(water.net_l, 1)} =",
                with_unit(decimal(100.0 * record.volume_l / water.net_l, 0), "%"),
            ),
        ),
    )


def _amount(record: Treatment, knowledge: Knowledge) -> _Doubt | None:
    """What the label as typed comes to for the volume, held against the amount written."""
    parts = (record.label_ml, record.label_l, record.volume_l, record.amount_ml)
    if any(p is None or p <= 0.0 for p in parts):
        return None
    label_ml, label_l, volume_l, amount_ml = (p or 0.0 for p in parts)
    comes_to = label_ml / label_l * volume_l
    margin = knowledge.value("treatment.volume-margin") / 100.0
    if abs(amount_ml - comes_to) <= margin * comes_to:
        return None
    written, worked = (with_unit(decimal(v, 1), "mL") for v in (amount_ml, comes_to))
    return _Doubt(
        f"The label as typed comes to {worked}, but {written} is written. {_NEEDS_LABEL}",
        "The label or the amount is corrected.",
        f"With {worked} written this would not be here.",
        (WorkingLine(f"{short(label_ml)} ÷ {short(label_l)} × {decimal(volume_l, 1)} =", worked),),
    )


def _changed(newest: Job, snapshot: TankSnapshot) -> _Doubt | None:
    later = [
        j for j in snapshot.jobs_of(JobKind.WATER_CHANGE) if j.happened_at > newest.happened_at
    ]
    if not later:
        return None
    water = net_volume(snapshot.tank.shape)
    liters = later[-1].liters_out
    share = "part" if water is None or liters is None else _percent(liters, water.net_l)
    return _Doubt(
        f"Water was changed after it: {share} of it went out with the water. {_NEEDS_LABEL}",
        "A treatment is written after the change, with what the label says then.",
        "With a treatment written after the change this would not be here.",
        change=later[-1],
    )


def _percent(liters: float, net_l: float) -> str:
    return with_unit(decimal(min(100.0, 100.0 * liters / net_l), 0), "%")


def _finding(doubt: _Doubt, newest: Job, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding:
    entries = [newest, *([doubt.change] if doubt.change else [])]
    return Finding(
        rule_id="treatment.check",
        severity=Severity.ACT,
        action=Action(
            key="treatment-check",
            title="Read the label once more, beside what was written",
            child_title="A grown-up reads the label again.",
            concern=Concern.DISEASE,
            door="job",
            job=JobKind.TREATMENT.value,
            adult=True,
            cautions=("treatment",),
        ),
        reason=doubt.reason,
        child_reason="A grown-up checks a sum.",
        due_at=entries[-1].happened_at,
        clears_when=doubt.clears_when,
        counterfactual=doubt.counterfactual,
        evidence=tuple(of_entry(e, snapshot.site) for e in entries),
        working=doubt.working,
        limits=(
            limit(knowledge, "treatment.volume-margin", "Larger than the water by at most"),
            limit(knowledge, "treatment.open-days", "Without a last day it runs"),
        ),
    )


RULES: Final = (
    Rule(
        id="treatment.check",
        title="A treatment leaves something open",
        why="The glass holds more than its water, and carbon takes out what was added.",
        limits=("treatment.volume-margin", "treatment.open-days"),
        check=check,
        lesson="A sum is worth checking twice.",
    ),
)
