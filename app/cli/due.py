"""`due`: the list of the To do page on the command line, with its evidence."""

import json
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import click
from sqlalchemy.orm import Session

from app.cli import frame
from app.domain.calendar import wall_time
from app.domain.errors import NotFound, Refused
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.rules.model import Evaluation, Evidence, Finding, Task
from app.services import sites, tanks, tasks
from app.storage.base import folded


@click.command()
@click.option("--tank", "name", help="Only this tank, by its name.")
@click.option("--at", "at", help="From another moment, as 2027-02-08T08:00 on the tank's clock.")
@click.option("--json", "as_json", is_flag=True, help="For other programs.")
def due(name: str | None, at: str | None, as_json: bool) -> None:
    """Print the same list as the To do page, with its evidence."""
    with frame.record() as desk, desk.database.reading() as session:
        ids = None if name is None else [tank_named(session, name)]
        as_of = None if at is None else moment(at, _zone(session, ids))
        found = tasks.look(session, ids, now=desk.now, as_of=as_of)
    if as_json:
        click.echo(json.dumps([_tank_data(s, e) for s, e in found.values()], indent=2))
        return
    if not found:
        click.echo("There is no tank yet. Set one up in the browser: sillpond serve")
    for position, (snapshot, evaluation) in enumerate(found.values()):
        if position:
            click.echo()
        for line in _tank_lines(snapshot, evaluation):
            click.echo(line)


def _zone(session: Session, ids: list[int] | None) -> str:
    """The zone of the tank that was named, or of the place that the record began with."""
    site = sites.without_days(session, ids[0]) if ids else sites.place(session, sites.FIRST)
    return site.zone


def tank_named(session: Session, name: str | None) -> int:
    """The id of the tank with this name; the only tank needs no name.

    Raises:
        NotFound: If there is none of that name, or several and no name.
    """
    lines = tanks.tank_lines(session)
    if name is None and len(lines) == 1:
        return lines[0].id
    wanted = "" if name is None else folded(name)
    for line in lines:
        if folded(line.name) == wanted:
            return line.id
    names = ", ".join(line.name for line in lines) or "none yet"
    problem = "Say which tank: --tank NAME." if name is None else f"There is no tank {name}."
    raise NotFound(f"{problem} Tanks here: {names}.")


def moment(text: str, zone: str) -> datetime:
    """A moment from ISO text; without an offset it is on the clock of `zone`.

    Raises:
        Refused: If it is no date, or a time that the clocks skipped.
    """
    try:
        found = datetime.fromisoformat(text)
        return wall_time(found, zone) if found.tzinfo is None else found
    except ValueError:
        raise Refused(
            f"{text} is no moment. Write it as 2027-02-08T08:00, or with an offset behind it."
        ) from None


def _local(at: datetime | None, zone: str) -> str:
    return "" if at is None else at.astimezone(ZoneInfo(zone)).isoformat(timespec="minutes")


def _tank_lines(snapshot: TankSnapshot, evaluation: Evaluation) -> list[str]:
    lines = [f"{snapshot.tank.name}: {evaluation.state.word}", f"  {evaluation.state_line}"]
    for task in evaluation.tasks:
        lines += ["", *_task_lines(task, snapshot.site)]
    return lines if evaluation.tasks else [*lines, "  Nothing is due."]


def _task_lines(task: Task, site: Site) -> list[str]:
    lines = [f"  {task.severity.name.lower()}: {task.action.title}"]
    for finding in task.findings:
        lines.append(f"    because {finding.reason}")
        lines += [f"      - {_evidence_words(e, site.zone)}" for e in finding.evidence]
        lines += [
            f"      {line.text}{f' {line.answer}' if line.answer else ''}"
            for line in finding.working
        ]
        said = (limit.said(fahrenheit=site.fahrenheit) for limit in finding.limits)
        lines += [f"      limit: {text}" for text in said]
        lines.append(f"      clears when: {finding.clears_when}")
    return lines


def _evidence_words(evidence: Evidence, zone: str) -> str:
    parts = (evidence.what, _local(evidence.at, zone).replace("T", " "), evidence.by)
    return ", ".join(part for part in parts if part)


def _tank_data(snapshot: TankSnapshot, evaluation: Evaluation) -> dict[str, Any]:
    zone = snapshot.site.zone
    return {
        "tank": snapshot.tank.name,
        "as_of": _local(snapshot.as_of, zone),
        "state": evaluation.state.value,
        "state_line": evaluation.state_line,
        "meal": {"state": evaluation.meal.state.value, "facts": evaluation.meal.facts},
        "holds_until": _local(evaluation.holds_until, zone),
        "tasks": [_task_data(task, zone) for task in evaluation.tasks],
    }


def _task_data(task: Task, zone: str) -> dict[str, Any]:
    return {
        "key": task.key,
        "title": task.action.title,
        "severity": task.severity.name.lower(),
        "due_at": _local(task.due_at, zone),
        "findings": [_finding_data(finding, zone) for finding in task.findings],
    }


def _finding_data(finding: Finding, zone: str) -> dict[str, Any]:
    return {
        "rule": finding.rule_id,
        "severity": finding.severity.name.lower(),
        "reason": finding.reason,
        "evidence": [
            {"entry": e.entry_id, "what": e.what, "at": _local(e.at, zone), "by": e.by}
            for e in finding.evidence
        ],
        "working": [{"text": w.text, "answer": w.answer} for w in finding.working],
        "limits": [{"text": x.text, "source": x.source, "basis": x.basis} for x in finding.limits],
        "clears_when": finding.clears_when,
        "otherwise": finding.counterfactual,
    }
