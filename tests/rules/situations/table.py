"""The tables of situations: Markdown files beside this one, one row a situation."""

import re
from dataclasses import dataclass
from pathlib import Path

from app.rules.model import Evaluation, Severity

FOLDER = Path(__file__).parent
SEVERITIES = {
    Severity.INFO: "reminder",
    Severity.WATCH: "watch",
    Severity.ACT: "act",
    Severity.EMERGENCY: "act now",
}
NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Situation:
    """One row: the rule, what the record says, what the rule says, what is due, the state."""

    name: str
    rule: str
    record: str
    says: str
    due: str
    state: str


def situations() -> list[Situation]:
    """All rows of all tables, in the order of the files."""
    return [row for file in sorted(FOLDER.glob("*.md")) for row in _rows(file)]


def _rows(file: Path) -> list[Situation]:
    lines = [ln for ln in file.read_text("utf-8").splitlines() if re.match(r"\| *\d+ *\|", ln)]
    found = []
    for line in lines:
        number, rule, *rest = (cell.strip() for cell in line.strip().strip("|").split("|"))
        record, says, due, state = rest
        found.append(Situation(f"{file.stem}-{number}-{rule}", rule, record, says, due, state))
    return found


def said(evaluation: Evaluation, rule: str) -> str:
    """The strongest that one rule says, in the word of the tables."""
    found = [f for task in evaluation.tasks for f in task.findings]
    own = [f.severity for f in (*found, *evaluation.notes) if f.rule_id == rule]
    return SEVERITIES[max(own)] if own else NOTHING


def due(evaluation: Evaluation) -> str:
    """The whole list of tasks, in their order, in the words of the tables."""
    tasks = [f"{t.key.replace('-', ' ')} ({SEVERITIES[t.severity]})" for t in evaluation.tasks]
    return "; ".join(tasks) or NOTHING
