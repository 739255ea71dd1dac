"""What rules speak in: findings with evidence and working, actions, tasks, states."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum, StrEnum

from app.domain.marks import TaskMark
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge


class Severity(IntEnum):
    """How much a finding asks for; above INFO each is a state of the tank."""

    INFO = 0
    WATCH = 1
    ACT = 2
    EMERGENCY = 3


class State(StrEnum):
    """The state of a tank; the value is also the name of its drawn shape."""

    STEADY = "steady"
    WATCH = "watch"
    ACT = "act"
    ACT_NOW = "now"
    DONT_KNOW = "fog"

    @property
    def word(self) -> str:
        """The word shown beside the shape."""
        return _STATE_WORDS[self]


_STATE_WORDS = {
    State.STEADY: "Steady",
    State.WATCH: "Watch",
    State.ACT: "Act",
    State.ACT_NOW: "Act now",
    State.DONT_KNOW: "Don’t know",
}


class Concern(IntEnum):
    """What an action protects; the lower one wins where two would fight."""

    LIFE_SUPPORT = 0
    TOXINS = 1
    DISEASE = 2
    LOOK = 3
    ROUTINE = 4


@dataclass(frozen=True, slots=True)
class Evidence:
    """One entry a finding rests on; `entry_id` is None for what was never written."""

    what: str
    entry_id: int | None = None
    at: datetime | None = None
    by: str = ""


@dataclass(frozen=True, slots=True)
class WorkingLine:
    """A line of working on squared paper: a remark, a step, or a step with its answer."""

    text: str
    answer: str = ""
    is_remark: bool = False


@dataclass(frozen=True, slots=True)
class LimitShown:
    """A limit that decided, in words, with the key of its source and how sure it is.

    `in_fahrenheit` is the same for a household that reads °F, where the two differ.
    """

    text: str
    source: str
    basis: str
    in_fahrenheit: str = ""

    def said(self, *, fahrenheit: bool) -> str:
        """The words in the unit of the household's thermometer."""
        return self.in_fahrenheit if fahrenheit and self.in_fahrenheit else self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """What is asked for. Findings with the same `key` become one task.

    `door` names the write-down page that clears it: feed, look, test, change, odd, job; it is
    empty for a finding that asks for nothing. `item_id` is the one kit that it is about.
    `amount` is the share of water of a change, else 0.
    `at_most` bounds the water change of the whole plan, whatever asked for it; 0: no bound.
    """

    key: str
    title: str
    child_title: str
    concern: Concern
    door: str
    job: str = ""
    item_id: int | None = None
    adult: bool = False
    cautions: tuple[str, ...] = ()
    amount: float = 0.0
    at_most: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What one rule found, why, and what would clear it.

    `order` is its place among several findings of one rule, the gravest first.
    """

    rule_id: str
    severity: Severity
    action: Action
    reason: str
    child_reason: str
    due_at: datetime
    clears_when: str
    counterfactual: str
    evidence: tuple[Evidence, ...] = ()
    working: tuple[WorkingLine, ...] = ()
    limits: tuple[LimitShown, ...] = ()
    quantity: Quantity | None = None
    certain: bool = True
    order: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A named check. `limits` are the keys of the numbers it uses.

    `lesson` is one line for pupils: what there is to learn here.
    """

    id: str
    title: str
    why: str
    limits: tuple[str, ...]
    check: Callable[[TankSnapshot, Knowledge], tuple[Finding, ...]]
    holds_until: Callable[[TankSnapshot, Knowledge], datetime | None] | None = None
    lesson: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One thing to do, with every reason for it; `action` is of the strongest finding.

    `advice` is one more sentence about how to do it, as how warm new water must be.
    `assigned_to` is who is to do it, or ""; `who` is whom the tank's plan gives it to: adult,
    helper, technician, or "" for anybody.
    """

    action: Action
    severity: Severity
    due_at: datetime
    findings: tuple[Finding, ...]
    advice: str = ""
    assigned_to: str = ""
    who: str = ""

    @property
    def reason(self) -> str:
        """Every reason in one line, the strongest first."""
        return " ".join(dict.fromkeys(f.reason for f in self.findings))

    @property
    def key(self) -> str:
        """What makes this task the same task tomorrow."""
        return self.action.key


@dataclass(frozen=True, slots=True)
class SetAside:
    """A task that somebody put off or skipped, and what was said of it."""

    task: Task
    mark: TaskMark


@dataclass(frozen=True, slots=True, kw_only=True)
class Freshness:
    """How old the last word on a quantity is, and until when it keeps.

    `name` is 'look', 'count' or the value of a quantity; `taken_at` None: never.
    """

    name: str
    label: str
    taken_at: datetime | None
    keeps_until: datetime | None
    keeps_words: str

    def is_fresh(self, now: datetime) -> bool:
        """Whether it still counts at `now`."""
        return self.keeps_until is not None and now < self.keeps_until


class MealState(StrEnum):
    """The answer to "May we feed?"; the value is also the name of its drawn glass."""

    NOT_FED = "not"
    FED = "fed"
    NO_FOOD = "none"
    TWICE = "twice"


@dataclass(frozen=True, slots=True, kw_only=True)
class MealAnswer:
    """May we feed? With the last meal and what to do next, in words.

    `because` is why no food is to go in today, or "".
    """

    state: MealState
    word: str
    facts: str
    advice: str
    feeding_ids: tuple[int, ...] = ()
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """All that can be said of a tank as of one moment.

    `child_line` is the state line for pupils. `notes` are findings that ask for nothing;
    `set_aside` are tasks that somebody put off or skipped, which change nothing about the state;
    `holds_until` is the earliest moment at which time alone could change any of this.
    """

    state: State
    state_line: str
    child_line: str
    rest_line: str
    tasks: tuple[Task, ...]
    meal: MealAnswer
    freshness: tuple[Freshness, ...]
    holds_until: datetime
    notes: tuple[Finding, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
