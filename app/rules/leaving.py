"""Animals or plants that may leave the tank: never outdoors."""

import re
from collections.abc import Iterator
from datetime import timedelta
from typing import Final

from app.domain.records import (
    Entry,
    Job,
    JobKind,
    Observation,
    StockEvent,
    StockEventKind,
    WaterTest,
)
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity
from app.rules.showing import limit, of_entry

_WORDS: Final = re.compile(
    r"\b(releas(e|es|ed|ing)|pond|lake|creek|let (it|them|him|her|the \w+ )?\s*(go|free)"
    r"|set (it|them) free)\b",
    re.IGNORECASE,
)
CLOSING: Final = "closing"
"""How the keys of closing steps begin."""


def leaving(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Somebody wrote of letting animals go, or the tank is being closed with animals in it.

    What: a note of the last 60 days with such words, or a closing step while animals live here;
        until a grown-up writes where they went, or a later note of theirs without such words.
    Why: animals let go starve, or harm what lives outdoors.
    Source: Pennsylvania Sea Grant 2014.
    Bad: "we take them to the pond on Friday". Good: "two went to Ms Reed's tank".
    """
    since = snapshot.today - timedelta(days=knowledge.value("leaving.days"))
    named = [e for e in _asking(snapshot) if e.local_day >= since]
    answers = [e.happened_at for e in _answers(snapshot)]
    named = [e for e in named if not any(a > e.happened_at for a in answers)]
    if not named:
        return ()
    newest = max(named, key=lambda e: (e.happened_at, e.id))
    return (
        Finding(
            rule_id="livestock.leaving",
            severity=Severity.ACT,
            action=Action(
                key="leaving",
                title="Find new homes indoors, a grown-up",
                child_title="Fish stay in tanks. Ask a grown-up.",
                concern=Concern.DISEASE,
                door="animals",
                adult=True,
                cautions=("leaving",),
            ),
            reason="Never into a pond, a stream, a toilet or a drain, and no plants or sand "
            "either. A new home, the shop, or ask a veterinarian. Local rules come first.",
            child_reason="They can not live outdoors. They need a home.",
            due_at=newest.happened_at,
            clears_when="A grown-up writes where they went, or that they stay.",
            counterfactual="Without words about letting them go this would not be here.",
            evidence=(of_entry(newest, snapshot.site),),
            limits=(limit(knowledge, "leaving.days", "Notes read back"),),
        ),
    )


def _asking(snapshot: TankSnapshot) -> Iterator[Entry]:
    for entry, note in _notes(snapshot):
        if _WORDS.search(note):
            yield entry
    if snapshot.expected_fish:
        yield from (j for j in snapshot.jobs_of(JobKind.STEP) if j.step.startswith(CLOSING))


def _answers(snapshot: TankSnapshot) -> Iterator[Entry]:
    gone = (StockEventKind.LEFT, StockEventKind.MOVED_OUT)
    yield from (e for e in snapshot.stock_events if e.what in gone and not _WORDS.search(e.note))
    for entry, note in _notes(snapshot):
        if entry.by_adult and note and not _WORDS.search(note):
            yield entry


def _notes(snapshot: TankSnapshot) -> Iterator[tuple[Entry, str]]:
    written: tuple[tuple[Observation | Job | StockEvent | WaterTest, ...], ...] = (
        snapshot.observations,
        snapshot.jobs,
        snapshot.stock_events,
        snapshot.tests,
    )
    for group in written:
        yield from ((entry, entry.note) for entry in group if entry.note)


RULES: Final = (
    Rule(
        id="livestock.leaving",
        title="Animals leave the tank",
        why="Animals let go starve, or harm what lives outdoors.",
        limits=("leaving.days",),
        check=leaving,
        lesson="A pet let go is lost, and may harm wild ones.",
    ),
)
