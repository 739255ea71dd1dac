"""One task as the pages show it: what to do, when, the cautions, and the card that says why."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from flask import url_for

from app.domain import wording
from app.domain.calendar import local_day
from app.domain.snapshot import TankSnapshot
from app.rules import signs
from app.rules.model import Evidence, Finding, LimitShown, Severity, Task, WorkingLine
from app.rules.registry import LESSONS
from app.services import words
from app.web.rights import may_open

# the page on which each kind of task is done, and what its button says
DOORS = {
    "feed": ("writing.feed", "Feed"),
    "look": ("writing.look", "Look and count"),
    "test": ("writing.test", "Write down a test"),
    "change": ("writing.change", "Write down"),
    "odd": ("writing.odd", "Write down"),
    "job": ("writing.job", "Write down"),
    "animals": ("livestock.overview", "Fish and plants"),
    "plan": ("tank.plan", "Care plan"),
    "breaks": ("tank.breaks", "Who comes"),
    "rehearsal": ("ahead.closure", "Rehearse the break"),
    "settings": ("tank.place", "Place and people"),
    "equipment": ("tank.equipment", "Equipment"),
    "starting": ("course.starting", "Step by step"),
    "kit": ("tank.kit", "Open the kit"),
}
# from so many days away the month says more than the weekday
_NEAR_DAYS = 7
# findings about how far the filter has grown, which has a page of its own
_MATURING = frozenset(
    {"maturing.stage", "maturing.stall", "maturing.slipped-back", "stock.before-ready"}
)
# losses, before which something may have changed
_LOSSES = frozenset({"livestock.died", "livestock.missing"})
# where an estimate tells more of a finding
_AHEAD = {
    "filter.off": ("ahead.outage_coach", "How long it lasts, and the first steps"),
    "oxygen.night": ("ahead.oxygen", "Oxygen through the night"),
    "temperature.less-heating": ("ahead.warmth", "Warmth, with the heater’s watts"),
    "water.twin": ("ahead.next_tests", "What was expected, and why it may differ"),
}
# where the sum behind a finding can be tried with other numbers
WORKED_OUT = {
    "feeding.too-much": "food",
    "level.losing-water": "top-up",
    "maintenance.level": "top-up",
    "oxygen.night": "oxygen",
    "temperature.rate": "cooling",
    "temperature.set-point-off": "heater",
    "water.ammonia": "ammonia",
    "water.buffer": "kh-used",
    "water.hardness-range": "tap-water",
    "water.nitrate": "change",
    "water.nitrate-peak": "settle",
    "water.oxygen": "oxygen",
    "water.untreated": "standing",
}
# whom the tank's plan gives a job to
_DOERS = {
    "adult": "for a grown-up",
    "helper": "for a helper",
    "technician": "for the technician",
}
_STATES = {Severity.WATCH: "watch", Severity.ACT: "act", Severity.EMERGENCY: "now"}


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """One entry that a task rests on; `url` is empty where there is nothing to open."""

    when: str
    what: str
    by: str
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One finding of a card, with its evidence, working and limits."""

    text: str
    evidence: tuple[EvidenceRow, ...]
    working: tuple[WorkingLine, ...]
    limits: tuple[tuple[str, str], ...]
    clears_when: str
    counterfactual: str
    lesson: str
    work_url: str
    help_url: str
    help_label: str
    before_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskCard:
    """One task. `state` is None for a routine task: its margin shows `day` instead."""

    key: str
    title: str
    why: str
    advice: str
    when: str
    state: str | None
    day: tuple[str, str]
    door_label: str
    door_url: str
    page_url: str
    cautions: tuple[tuple[str, tuple[str, ...]], ...]
    reasons: tuple[Reason, ...]


def task_cards(
    tasks: Iterable[Task], snapshot: TankSnapshot, *, is_adult: bool
) -> tuple[TaskCard, ...]:
    """Tasks as cards, in their order; a helper reads the child's words."""
    return tuple(task_card(task, snapshot, is_adult=is_adult) for task in tasks)


def task_card(task: Task, snapshot: TankSnapshot, *, is_adult: bool) -> TaskCard:
    """One task as a card."""
    action, tank_id = task.action, snapshot.tank.id
    due = local_day(task.due_at, snapshot.site.zone)
    door = DOORS[action.door][0] if action.door else ""
    may_do = may_open(door) and (is_adult or not action.adult)
    return TaskCard(
        key=task.key,
        title=action.title if is_adult else action.child_title,
        why=task.reason if is_adult else _child_reason(task),
        advice=task.advice,
        when=_when(task, snapshot),
        state=_state(task),
        day=(str(due.day), _below_the_day(due, snapshot.today)),
        door_label=DOORS[action.door][1] if may_do else "",
        door_url=_door_url(task, tank_id) if may_do else "",
        page_url=url_for("todo.why", tank_id=tank_id, key=task.key) if is_adult else "",
        cautions=tuple((c.title, c.lines) for c in words.cautions(action.cautions)),
        reasons=tuple(reason_of(f, snapshot, is_adult=is_adult) for f in task.findings),
    )


def _state(task: Task) -> str | None:
    if task.key == "look" and task.severity is Severity.WATCH:
        return "fog"
    return _STATES.get(task.severity)


def _child_reason(task: Task) -> str:
    return " ".join(dict.fromkeys(finding.child_reason for finding in task.findings))


def _below_the_day(due: date, today: date) -> str:
    """The weekday of a day near by, the month of one that lies further back."""
    return f"{due:%a}" if abs((today - due).days) < _NEAR_DAYS else f"{due:%b}"


def _when(task: Task, snapshot: TankSnapshot) -> str:
    due = local_day(task.due_at, snapshot.site.zone)
    name = wording.day_text(due, snapshot.today)
    if due < snapshot.today:
        said = f"Since {name}"
    elif due == snapshot.today:
        said = "Today"
    else:
        said = f"{due:%A} {due.day} {due:%B}"
    beside = " · with a grown-up" if task.action.adult else ""
    if task.assigned_to:
        return f"{said} · {task.assigned_to} does it{beside}"
    if task.who in _DOERS:
        return f"{said} · {_DOERS[task.who]}{beside if task.who == 'helper' else ''}"
    return f"{said}{beside}"


def _door_url(task: Task, tank_id: int) -> str:
    endpoint, _ = DOORS[task.action.door]
    # an argument that is None is left out of the address
    return url_for(
        endpoint, tank_id=tank_id, job=task.action.job or None, kit_id=task.action.item_id
    )


def reason_of(finding: Finding, snapshot: TankSnapshot, *, is_adult: bool) -> Reason:
    """One finding with all that it rests on; a helper reads the child's words."""
    help_url, help_label = _help(finding, snapshot, is_adult=is_adult)
    return Reason(
        text=finding.reason if is_adult else finding.child_reason,
        evidence=tuple(evidence_row(e, snapshot, linked=is_adult) for e in finding.evidence),
        working=finding.working,
        limits=tuple(
            (limit.said(fahrenheit=snapshot.site.fahrenheit), source_words(limit))
            for limit in finding.limits
        ),
        clears_when=finding.clears_when,
        counterfactual=finding.counterfactual,
        lesson=LESSONS.get(finding.rule_id, ""),
        work_url=_work_url(finding, snapshot),
        help_url=help_url,
        help_label=help_label,
        before_url=_before_url(finding, snapshot) if is_adult else "",
    )


def _work_url(finding: Finding, snapshot: TankSnapshot) -> str:
    slug = WORKED_OUT.get(finding.rule_id)
    return url_for("workings.work", tank_id=snapshot.tank.id, slug=slug) if slug else ""


def _help(finding: Finding, snapshot: TankSnapshot, *, is_adult: bool) -> tuple[str, str]:
    """The page that leads on, and its words: of the sign, the filter's growth, an estimate."""
    tank_id = snapshot.tank.id
    root, _, name = finding.rule_id.partition(".")
    if root == signs.ROOT:
        url = url_for("writing.sign", tank_id=tank_id, name=name.replace("-", "_"))
        return url, "What to look at first"
    if finding.rule_id in _MATURING and is_adult:
        return url_for("course.maturing", tank_id=tank_id), "How far the filter is"
    if finding.rule_id in _AHEAD and is_adult:
        endpoint, label = _AHEAD[finding.rule_id]
        return url_for(endpoint, tank_id=tank_id), label
    return "", ""


def _before_url(finding: Finding, snapshot: TankSnapshot) -> str:
    """What changed before a sign or a loss, on its day; "" for other findings."""
    is_sign = finding.rule_id.partition(".")[0] == signs.ROOT
    moments = [each.at for each in finding.evidence if each.at is not None]
    if not (is_sign or finding.rule_id in _LOSSES) or not moments:
        return ""
    day = local_day(max(moments), snapshot.site.zone)
    return url_for("ahead.what_changed_before", tank_id=snapshot.tank.id, at=day.isoformat())


def evidence_row(evidence: Evidence, snapshot: TankSnapshot, *, linked: bool) -> EvidenceRow:
    """One entry in words, `linked` to its page for adults."""
    zone, tank_id = snapshot.site.zone, snapshot.tank.id
    when = wording.when_text(evidence.at, zone, snapshot.as_of) if evidence.at else "never written"
    url = ""
    if linked and evidence.entry_id is not None:
        url = url_for("story.entry", tank_id=tank_id, entry_id=evidence.entry_id)
    # no names near slips on the pages of helpers
    by = evidence.by if linked else ""
    return EvidenceRow(when[:1].upper() + when[1:], evidence.what, by, url)


def source_words(limit: LimitShown) -> str:
    """How sure a limit is, and the publication it comes from."""
    source = words.source_named(limit.source)
    basis = limit.basis[:1].upper() + limit.basis[1:]
    return f"{basis}: {source.title}" if source else f"{basis}."
