"""What the templates of this folder get."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from flask import url_for
from markupsafe import Markup

from app.charts.life_size import life_size, outlines, ruler_cm
from app.charts.silhouettes import shape_of
from app.domain.livestock import StockGroup
from app.domain.snapshot import TankSnapshot, last
from app.domain.tank import Site, Tank
from app.domain.wording import NBSP, count, full_day, length_text, number, with_unit
from app.knowledge.catalogue import Species
from app.knowledge.model import Caution, Knowledge
from app.services import words
from app.services.livestock.animals import HiddenLoss
from app.services.livestock.life import Arrival, GroupLife, lives
from app.services.livestock.needs import needs_of
from app.web.filters import ago
from app.web.livestock.needs import NeedsShown, needs_shown
from app.web.rights import may_open

# on the first page; the others have a page of their own
MOST_CLASHES = 8
BANDS = {"surface": "Near the surface", "middle": "In the middle", "bottom": "On the bottom"}


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupCard:
    """One group with its picture; `facts` are pairs of what and how it is.

    `name_url` leads to where somebody says which animal it is, while nobody has.
    """

    title: str
    second: str
    svg: Markup
    facts: tuple[tuple[str, str], ...]
    know: str
    url: str
    name_url: str
    entry_url: str
    species_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OverviewPage:
    """Who lives in a tank, who is new, what they need, and losses that were not told yet."""

    tank: Tank
    counted: str
    outlines: Markup
    groups: tuple[GroupCard, ...]
    no_longer: tuple[tuple[str, str], ...]
    arrivals: tuple[tuple[str, ...], ...]
    needs: NeedsShown
    hidden: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]


def overview_page(
    snapshot: TankSnapshot, knowledge: Knowledge, hidden: tuple[HiddenLoss, ...]
) -> OverviewPage:
    """The page from what is known of the tank."""
    all_lives = lives(snapshot, knowledge)
    here = [life for life in all_lives if life.group.count > 0]
    ruler = ruler_cm(max((life.group.adult_cm or 0.0 for life in here), default=0.0))
    return OverviewPage(
        tank=snapshot.tank,
        counted=counted_words(snapshot),
        outlines=outlines_of((life.group for life in here), knowledge),
        groups=tuple(group_card(life, snapshot, knowledge, ruler) for life in here),
        no_longer=tuple(
            (life.group.name, _group_url(life.group, snapshot))
            for life in all_lives
            if life.group.count <= 0
        ),
        arrivals=tuple(
            arrival_row(a, snapshot.site)
            for life in all_lives
            for a in life.arrivals
            if a.watch_until
        ),
        needs=needs_shown(needs_of(snapshot, knowledge), snapshot.site, most=MOST_CLASHES),
        hidden=tuple(
            (f"{loss.count} {loss.group_name}", full_day(loss.happened_at.date()))
            for loss in hidden
        ),
        cautions=words.cautions(("leaving",)),
    )


def group_card(
    life: GroupLife, snapshot: TankSnapshot, knowledge: Knowledge, ruler: int
) -> GroupCard:
    """One group as it stands on the page, drawn against a ruler of that many cm."""
    group = life.group
    species = knowledge.species.get(group.species)
    is_listed = species is not None and species.confidence != "own"
    return GroupCard(
        title=f"{group.count} {group.name}",
        second=species.scientific_name if species else "",
        svg=picture(group, species, ruler),
        facts=facts_of(life, snapshot.site),
        know=_know(species),
        url=_group_url(group, snapshot),
        name_url=""
        if species
        else url_for("livestock.change", tank_id=snapshot.tank.id, group_id=group.id),
        entry_url=url_for("writing.animals", tank_id=snapshot.tank.id, group=group.id)
        if may_open("writing.animals")
        else "",
        species_url=url_for("numbers.animal", slug=species.slug)
        if species is not None and is_listed
        else "",
    )


def picture(group: StockGroup, species: Species | None, ruler: int) -> Markup:
    """A grown animal against a ruler, or nothing where nobody knows its length."""
    if group.adult_cm is None:
        return Markup()
    grown = with_unit(number(group.adult_cm, 1), "cm")  # as the ruler
    words_for = f"A grown {group.name}, drawn against a ruler: {grown}"
    svg = life_size(shape_of(species, group.band), group.adult_cm, ruler, words_for)
    return Markup(svg)  # noqa: S704  # drawn by the charts themselves, which escape the words


def outlines_of(groups: Iterable[StockGroup], knowledge: Knowledge) -> Markup:
    """The outlines that the pictures of these groups use; once on a page."""
    shapes = (shape_of(knowledge.species.get(g.species), g.band) for g in groups)
    return Markup(outlines(shapes))  # noqa: S704  # drawn by the charts


def facts_of(life: GroupLife, site: Site) -> tuple[tuple[str, str], ...]:
    """Since when, from where, how many, how long, at which height."""
    group = life.group
    since = f"{dated(life.since)}" if life.since else "not written"
    facts = [
        ("Here since", since),
        ("From", ", ".join(life.sources) or "not written"),
        ("Expected", str(group.count)),
        ("Grown", length_text(site, group.adult_cm) if group.adult_cm else "not written"),
        ("Lives", BANDS.get(group.band, group.band).lower()),
    ]
    if group.length_cm is not None:
        facts.append(("Last measured", length_text(site, group.length_cm)))
    if group.hidden_losses:
        facts.append(("Pupils expect", str(group.count + group.hidden_losses)))
    return tuple(facts)


def counted_words(snapshot: TankSnapshot) -> str:
    """The last count of the whole tank against what is expected now."""
    look = last([o for o in snapshot.observations if o.seen is not None])
    expected = count(snapshot.expected_fish, "animal", "animals")
    if look is None:
        return f"{expected} expected. Nobody has counted yet."
    return (
        f"{look.seen} seen {ago(look.happened_at, snapshot.as_of)}, "
        f"{snapshot.expected_fish} expected now."
    )


def arrival_row(arrival: Arrival, site: Site) -> tuple[str, ...]:
    """Who came when, how many, from where, how long apart, and until when they are watched."""
    event = arrival.event
    return (
        arrival.group_name,
        dated(event.local_day),
        str(event.count),
        ", ".join(filter(None, (arrival.label, arrival.source))) or "not written",
        length_text(site, event.length_cm) if event.length_cm else "not measured",
        "not written" if event.apart_days is None else count(event.apart_days, "day", "days"),
        dated(arrival.watch_until) if arrival.watch_until else "–",
    )


def dated(day: date) -> str:
    """A day with its year: "14 September 2026"."""
    return f"{day.day}{NBSP}{day:%B} {day.year}"


def _group_url(group: StockGroup, snapshot: TankSnapshot) -> str:
    return url_for("livestock.group", tank_id=snapshot.tank.id, group_id=group.id)


def _know(species: Species | None) -> str:
    """What the list says about keeping it, and whether anybody looked that up."""
    if species is None or not species.cautions:
        return ""
    said = "; ".join(species.cautions).replace("'", "’")
    return f"{said} (from memory, not checked)" if species.is_memory("cautions") else said
