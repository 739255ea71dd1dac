"""What tests of rules ask for: the finding of a rule, or none."""

from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.engine import evaluate, find
from app.rules.model import Evaluation, Finding, Severity, Task

KNOWLEDGE = load()
# keys of tasks of which one undoes the other
FIGHTING = tuple(
    frozenset(pair)
    for pair in (
        ("feed", "leftovers"),
        ("feed", "without-food"),
        ("feed", "sign-gasping"),
        ("feed", "filter-off"),
        ("portion", "without-food"),
        ("portion", "leftovers"),
        ("filter-rinse", "filter-care"),
    )
)


def found(snapshot: TankSnapshot, rule_id: str) -> list[Finding]:
    """All findings of one rule, strongest first."""
    return [f for f in find(snapshot, KNOWLEDGE) if f.rule_id == rule_id]


def severity(snapshot: TankSnapshot, rule_id: str) -> Severity | None:
    """The strongest severity a rule finds, or None."""
    return max((f.severity for f in found(snapshot, rule_id)), default=None)


def judged(snapshot: TankSnapshot) -> Evaluation:
    """The whole evaluation."""
    return evaluate(snapshot, KNOWLEDGE)


def task(snapshot: TankSnapshot, key: str) -> Task | None:
    """The task with a key, or None."""
    return next((t for t in judged(snapshot).tasks if t.key == key), None)


def plain(text: str) -> str:
    """A text with ordinary spaces, for comparing."""
    return text.replace("\u00a0", " ")
