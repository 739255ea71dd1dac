"""What the page of plants shows."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import url_for

from app.domain.entry_words import ALGAE_WORDS
from app.domain.livestock import Plant
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site, Tank
from app.domain.wording import NBSP, number, with_unit
from app.knowledge.catalogue import Plant as ListedPlant
from app.rules.lodgers import span_text
from app.services import words
from app.services.livestock import catalogue
from app.services.livestock.plants import AMOUNT_WORDS, AlgaeSeen, Trimmed

MOST_MONTHS = 24
_NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantRow:
    """One plant: its facts as pairs, and where what was done with it is written down."""

    name: str
    facts: tuple[tuple[str, str], ...]
    url: str
    listed_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantsPage:
    """The plants of a tank, what was trimmed by month, algae by day, and one more plant.

    `found` are (name, scientific name, address). `rules` asks to look up local rules, or "".
    """

    tank: Tank
    plants: tuple[PlantRow, ...]
    removed: tuple[tuple[str, str], ...]
    months: tuple[tuple[str, str, str], ...]
    light: str
    algae: tuple[tuple[str, str, str], ...]
    form: Any
    typed: str
    found: tuple[tuple[str, str, str], ...]
    chosen: str
    rules: str
    cautions: tuple[Any, ...]


def plants_page(
    snapshot: TankSnapshot,
    held: Sequence[Plant],
    months: Sequence[Trimmed],
    algae: Sequence[AlgaeSeen],
    *,
    form: Any,
    listed: ListedPlant | None,
    typed: str,
    found: Sequence[ListedPlant],
) -> PlantsPage:
    """The page from what is known of the tank."""
    tank = snapshot.tank
    hours = tank.light_hours
    return PlantsPage(
        tank=tank,
        plants=tuple(_row(p, snapshot) for p in held if not p.removed),
        removed=tuple(
            (p.name, url_for("plants.bring_back", tank_id=tank.id, plant_id=p.id))
            for p in held
            if p.removed
        ),
        months=tuple(_month(m) for m in months[:MOST_MONTHS]),
        light=f"{number(hours, 1)} hours a day" if hours else "not written",
        algae=tuple(
            (f"{a.day.day}{NBSP}{a.day:%B} {a.day.year}", ALGAE_WORDS[a.step], a.note)
            for a in algae
        ),
        form=form,
        typed=typed,
        found=tuple(
            (
                p.common_name.replace("'", "’"),
                p.scientific_name,
                url_for("plants.plants", tank_id=tank.id, plant=p.slug),
            )
            for p in found
        ),
        chosen=listed.scientific_name if listed else "",
        rules=_rules(listed),
        cautions=words.cautions(("leaving",)),
    )


def _row(plant: Plant, snapshot: TankSnapshot) -> PlantRow:
    listed = catalogue.plant_named(plant.species)
    facts = [("How much", AMOUNT_WORDS[plant.amount].lower())]
    if listed is not None:
        facts += [
            ("Light", _said(listed, "light_need", listed.light_need or _NOT_KNOWN)),
            ("Temperature", _said(listed, "temp_c", _warmth(listed, snapshot.site))),
            ("Know", _said(listed, "notes", "; ".join(listed.notes) or _NOT_KNOWN)),
        ]
        if rules := _rules(listed):
            facts.append(("Rules", rules))
    return PlantRow(
        name=plant.name,
        facts=tuple(facts),
        url=url_for("plants.done", tank_id=snapshot.tank.id, plant_id=plant.id),
        listed_url=url_for("numbers.plant", slug=listed.slug) if listed else "",
    )


def _said(plant: ListedPlant, field: str, text: str) -> str:
    star = f"{NBSP}*" if plant.is_memory(field) else ""
    return text.replace("'", "’") + star


def _warmth(plant: ListedPlant, site: Site) -> str:
    if plant.temp_c is None:
        return _NOT_KNOWN
    return span_text(plant.temp_c, "°C", fahrenheit=site.fahrenheit)


def _rules(plant: ListedPlant | None) -> str:
    if plant is None:
        return ""
    if plant.regulated == "none known":
        return "No rule is known; nobody looked for your place. Check local rules."
    return "Forbidden or limited in some places. Look up your local law first."


def _month(month: Trimmed) -> tuple[str, str, str]:
    low, high = (number(mg, 0) for mg in month.nitrogen_mg)
    fresh = number(month.grams, 0 if month.grams >= 10 else 1)
    return f"{month.first_day:%B %Y}", with_unit(fresh, "g"), with_unit(f"{low} to {high}", "mg")
