"""The risk sheet: usual cautions, the place's own rules beside them, and what the record adds."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from app.domain.measures import net_volume
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.domain.wording import dated, number, with_unit
from app.knowledge.model import Caution, Knowledge
from app.science.units import pounds_from_kg
from app.services.workings.bed import bed_kg


@dataclass(frozen=True, slots=True)
class OwnRule:
    """A question that only the household or school can answer; `key` names the kept text."""

    key: str
    label: str
    hint: str


@dataclass(frozen=True, slots=True)
class _Hazard:
    title: str
    cautions: tuple[str, ...]
    rules: tuple[OwnRule, ...]


_HAZARDS: Final = (
    _Hazard(
        "Hands and health",
        ("hands", "allergies"),
        (
            OwnRule("hands", "Washing hands", "Where, with what, and who looks that it is done."),
            OwnRule("cuts", "Cuts, sores, eczema", "Where gloves are, or who helps instead."),
            OwnRule("sinks", "The sink for tank things", "Which one. Never where food is made."),
            OwnRule(
                "allergies", "Allergies and asthma", "Who asks families, when, and what follows."
            ),
        ),
    ),
    _Hazard(
        "Cleaning, bottles and kits",
        ("siphon", "bottles", "test_kits"),
        (
            OwnRule("cleaning", "Who may clean", "What helpers may do, and what grown-ups do."),
            OwnRule(
                "bottles", "Where bottles are locked away", "Which place, and who has the key."
            ),
        ),
    ),
    _Hazard(
        "Water and power",
        ("electricity",),
        (
            OwnRule(
                "outlets", "Outlets and cords", "Which outlet, who tests it, where the breaker is."
            ),
            OwnRule(
                "drip_loops", "Drip loops", "Who checks that each cord hangs lower than its plug."
            ),
        ),
    ),
    _Hazard(
        "Weight and glass",
        ("weight", "glass"),
        (
            OwnRule("stand", "Stand and floor", "Who looked at them, and when."),
            OwnRule(
                "broken", "A crack or a leak", "Who is called, and where buckets and towels are."
            ),
        ),
    ),
)
OWN_RULES: Final = tuple(rule for hazard in _HAZARDS for rule in hazard.rules)


@dataclass(frozen=True, slots=True)
class RuleLine:
    """A rule of the place; `text` is "" as long as nobody wrote it."""

    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """One part of the sheet; `facts` come from the record of this tank."""

    title: str
    cautions: tuple[Caution, ...]
    rules: tuple[RuleLine, ...]
    facts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskSheet:
    """The sheet, and how many of its rules nobody wrote yet."""

    hazards: tuple[Hazard, ...]
    gaps: int


def risk_sheet(snapshot: TankSnapshot, knowledge: Knowledge, texts: Mapping[str, str]) -> RiskSheet:
    """The sheet of a tank with the own rules of its place."""
    facts = {"Water and power": _power(snapshot), "Weight and glass": _weight(snapshot, knowledge)}
    hazards = tuple(
        Hazard(
            title=each.title,
            cautions=tuple(knowledge.cautions[key] for key in each.cautions),
            rules=tuple(RuleLine(r.label, texts.get(r.key, "")) for r in each.rules),
            facts=facts.get(each.title, ()),
        )
        for each in _HAZARDS
    )
    gaps = sum(not rule.text for hazard in hazards for rule in hazard.rules)
    return RiskSheet(hazards=hazards, gaps=gaps)


def _power(snapshot: TankSnapshot) -> tuple[str, ...]:
    checks = (
        (JobKind.OUTLET_TEST, "The test button of the outlet was last pressed on"),
        (JobKind.EQUIPMENT_CHECK, "Heater, filter and cords were last checked on"),
    )
    found = []
    for kind, said in checks:
        done = snapshot.jobs_of(kind)
        found.append(f"{said} {dated(done[-1].local_day) if done else 'no day that is written'}.")
    return tuple(found)


def _weight(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[str, ...]:
    net, sand = net_volume(snapshot.tank.shape), bed_kg(snapshot, knowledge)
    if net is None:
        return ("How heavy the filled tank is cannot be told: its water is not measured yet.",)
    # one kilogram a liter
    parts = [f"the water weighs about {_mass(snapshot, net.net_l)}"]
    if sand:
        parts.append(f"the dry sand about {_mass(snapshot, sand)}")
    return (f"By the measures, {' and '.join(parts)}. Glass, stones and stand come on top.",)


def _mass(snapshot: TankSnapshot, kg: float) -> str:
    text = with_unit(number(kg, 0), "kg")
    if not snapshot.site.us_gallons:
        return text
    return f"{with_unit(number(float(pounds_from_kg(kg)), 0), 'lb')} ({text})"
