"""Chlorine: any trace in the tank is too much."""

from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Reading, Sign
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import reading_text, value_text
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity
from app.rules.showing import limit, of_entry, of_reading, worst


def level(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A test found chlorine.

    What: any trace by the best guess act; with gasping or breathing that is not calm at the
        last look now. A tube lighter than the first color is no trace.
    Why: chlorine and chloramine burn gills and kill the filter's bacteria.
    Source: US EPA criteria of 1984, from memory; toxic in hundredths of a milligram.
    Bad: 0.1. Good: lighter than the first color.
    """
    newest, severity = worst(snapshot.of(Quantity.CHLORINE), lambda r: _of_test(r, knowledge))
    if newest is None or severity is Severity.INFO:
        return ()
    look = last(snapshot.observations)
    distress = look is not None and (Sign.GASPING in look.signs or look.breathing_calm is False)
    evidence = [of_reading(newest, snapshot)]
    if distress and look is not None:
        severity = Severity.EMERGENCY
        evidence.append(of_entry(look, snapshot.site))
    trace = value_text(Quantity.CHLORINE, knowledge.value("chlorine.act"), snapshot.site)
    return (
        Finding(
            rule_id="water.chlorine",
            severity=severity,
            action=Action(
                key="treat-water",
                title="Conditioner now, as its label says for the whole tank",
                child_title="Get a grown-up. The water needs conditioner.",
                concern=Concern.TOXINS,
                door="job",
                job="conditioner",
                adult=True,
                cautions=("untreated_water",),
            ),
            reason=f"Chlorine is {reading_text(newest, snapshot.site)}. More air. "
            "Watch their breathing for 30 minutes, then test chlorine again.",
            child_reason="Tap water can hurt gills.",
            due_at=newest.at,
            clears_when="A chlorine test without a trace is written, with a kit in date.",
            counterfactual=f"With chlorine below {trace} this would not be here.",
            evidence=tuple(evidence),
            limits=(limit(knowledge, "chlorine.act", "Act from"),),
            quantity=Quantity.CHLORINE,
        ),
    )


def _of_test(test: Reading, knowledge: Knowledge) -> Severity:
    return Severity.ACT if test.best >= knowledge.value("chlorine.act") else Severity.INFO


RULES: Final = (
    Rule(
        id="water.chlorine",
        title="Chlorine",
        why="It burns gills and harms the filter’s bacteria.",
        limits=("chlorine.act",),
        check=level,
        lesson="Tap water is made for us. Fish need it treated.",
    ),
)
