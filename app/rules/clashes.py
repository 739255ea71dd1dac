"""Animals that do not go together, or not with this tank: with the numbers, and no verdict."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, listed
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.model import Action, Concern, Finding, Rule, Severity, WorkingLine
from app.rules.needs import NUMBERS, Clash, ClashKind, ClashLevel, compare, surroundings_of
from app.rules.showing import remark

KEY: Final = "company"
MOST_SAID: Final = 4
# the page of the animals names these beside each animal, and the load has a rule of its own
_ELSEWHERE: Final = frozenset({ClashKind.UNKNOWN, ClashKind.CROWDED})


def clash(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Animals of the list do not go together, or not with the tank.

    What: each conflict of the comparison of needs is watched, in one task; each caution is a
        note. The gravest four are said, and how many more there are. What nobody knows is left to
        the page of the animals.
    Why: it stays unseen until an animal is eaten, bitten or ill.
    Source: the needs of each animal, each with its own source, or from memory and said so; the
        numbers that decide are in the limits.
    Bad: neon tetras with a grown angelfish. Good: harlequin rasboras with peppered corys.
    """
    compared = compare(living(snapshot, knowledge), surroundings_of(snapshot, knowledge), knowledge)
    said = [c for c in compared if c.kind not in _ELSEWHERE and c.level > ClashLevel.REMARK]
    more = [_more(said[MOST_SAID:], snapshot)] if len(said) > MOST_SAID else []
    found = [*(_finding(c, snapshot) for c in said[:MOST_SAID]), *more]
    return tuple(replace(each, order=place) for place, each in enumerate(found))


def _more(rest: Sequence[Clash], snapshot: TankSnapshot) -> Finding:
    """What stands on the page of the animals only; it is said after what is named."""
    said = f"{count(len(rest), 'more clash stands', 'more clashes stand')} on Fish and plants."
    unnamed = replace(rest[0], text=said, names=(), sources=(), limits=())
    return replace(_finding(unnamed, snapshot), certain=False)


def _finding(found: Clash, snapshot: TankSnapshot) -> Finding:
    is_conflict = found.level is ClashLevel.CONFLICT
    return Finding(
        rule_id="livestock.clash",
        severity=Severity.WATCH if is_conflict else Severity.INFO,
        action=Action(
            key=KEY,
            title="Look at which animals live together",
            child_title="A grown-up looks at who lives together.",
            concern=Concern.ROUTINE,
            door="animals" if is_conflict else "",
            adult=True,
            cautions=("leaving",) if is_conflict else (),
        ),
        reason=found.text,
        child_reason="Some fish here want other things.",
        due_at=snapshot.as_of,
        clears_when="The list of animals changes, or the tank fits what they want.",
        counterfactual=f"Without {listed(found.names)} in one tank this would not be here."
        if len(found.names) > 1
        else "In a tank that fits this would not be here.",
        working=_sources(found),
        limits=found.limits,
        certain=not any(s.is_memory for s in found.sources),
    )


def _sources(found: Clash) -> tuple[WorkingLine, ...]:
    """Each value that the clash rests on, and where it comes from."""
    return tuple(remark(f"{s.name}, {s.what}: {s.value}; {s.said}") for s in found.sources)


RULES: Final = (
    Rule(
        id="livestock.clash",
        title="Animals that do not go together",
        why="It stays unseen until an animal is eaten, bitten or ill.",
        limits=NUMBERS,
        check=clash,
        lesson="Fish want company that fits, and water that fits.",
    ),
)
