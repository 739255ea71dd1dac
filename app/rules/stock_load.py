"""How much the animals weigh for the water's surface, beside two published length rules."""

from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, listed, with_unit
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.room import Load, load_of, surroundings_of
from app.rules.showing import limit, remark

_AIR: Final = "air_pump"
_PER_M2: Final = "g/m²"


def load_review(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The animals, once grown, are many for this tank.

    What: over 100 g of grown fish for each square meter of surface without an air pump, over
        200 with one; or the looser published length rule (1.5 L per cm) asks for more water than
        there is, which only informs. The stricter (3 L per cm) stands beside it. Fish
        whose weight or length nobody knows are left out, and named.
    Why: oxygen comes in through the surface, and fish grow.
    Source: our own choice for the surface; RSPCA (UK) for the looser rule, New South Wales
        schools for the stricter.
    Bad: 110 g/m² without air. Good: 78 g/m².
    """
    load = load_of(living(snapshot, knowledge), surroundings_of(snapshot, knowledge), knowledge)
    air = any(e.kind == _AIR and e.retired_on is None for e in snapshot.equipment)
    key = "load.surface-air" if air else "load.surface-still"
    heavy = load.per_m2 is not None and load.per_m2 > knowledge.value(key)
    long = load.net_l is not None and load.looser_l > load.net_l
    if not heavy and not long:
        return ()
    return (
        Finding(
            rule_id="livestock.load",
            severity=Severity.WATCH if heavy else Severity.INFO,
            action=Action(
                key="stock-plan",
                title="Plan fewer animals, not more",
                child_title="The tank is full. No more fish.",
                concern=Concern.ROUTINE,
                door="animals",
                adult=True,
            ),
            reason=_reason(load, heavy=heavy, long=long, air=air),
            child_reason="Many fish share this water.",
            due_at=snapshot.as_of,
            clears_when="Fewer or smaller animals live here, or more air reaches the surface.",
            counterfactual="Below these limits this would not be here.",
            evidence=tuple(
                Evidence(f"{g.name}: {g.count}") for g in snapshot.groups if g.count > 0
            ),
            working=_working(load),
            limits=(
                limit(knowledge, key, "Grown fish for the surface, at most"),
                limit(knowledge, "needs.looser-rule", "Looser length rule"),
                limit(knowledge, "needs.stricter-rule", "Stricter length rule, asks for nothing"),
            ),
            certain=False,
        ),
    )


def _reason(load: Load, *, heavy: bool, long: bool, air: bool) -> str:
    parts = []
    if heavy and load.per_m2 is not None:
        weight = with_unit(decimal(load.per_m2, 0), _PER_M2)
        parts.append(f"Grown, the fish weigh {weight} of surface{'' if air else ', without air'}.")
    if long:
        asked = with_unit(decimal(load.looser_l, 0), "L")
        parts.append(f"By their grown length even the looser rule asks for {asked}.")
    if load.unweighed:
        parts.append(f"Not counted, because nobody knows it: {listed(load.unweighed)}.")
    return " ".join(parts)


def _working(load: Load) -> tuple[WorkingLine, ...]:
    lines = [remark("From grown lengths; the weight may be 40 % off either way")]
    if load.per_m2:
        surface = load.grams / load.per_m2
        lines.append(
            WorkingLine(
                f"{with_unit(decimal(load.grams, 0), 'g')} ÷ "
                f"{with_unit(decimal(surface, 2), 'm²')} =",
                with_unit(decimal(load.per_m2, 0), _PER_M2),
            )
        )
    lines += [
        WorkingLine("Looser length rule asks for", with_unit(decimal(load.looser_l, 0), "L")),
        WorkingLine("Stricter length rule asks for", with_unit(decimal(load.stricter_l, 0), "L")),
    ]
    if load.net_l is not None:
        lines.append(WorkingLine("Water in the tank", with_unit(decimal(load.net_l, 0), "L")))
    return tuple(lines)


RULES: Final = (
    Rule(
        id="livestock.load",
        title="Many animals for this tank",
        why="Oxygen comes in through the surface, and fish grow.",
        limits=(
            "load.surface-still",
            "load.surface-air",
            "needs.looser-rule",
            "needs.stricter-rule",
            "needs.tail-factor",
        ),
        check=load_review,
        lesson="One long fish can weigh as much as twenty small ones.",
    ),
)
