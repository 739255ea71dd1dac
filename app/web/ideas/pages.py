"""What the page before buying shows: the tank as it is beside the tank as it would be."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from flask import url_for

from app.domain.tank import Site, Tank
from app.domain.wording import listed, number, with_unit
from app.estimates.model import Triple
from app.rules.shared_water import SharedRange
from app.services.livestock.ideas import Compared, Side
from app.services.livestock.needs import Needs
from app.web.ideas.form import GROUP, NEW, PLANTED, IdeaForm
from app.web.livestock.needs import ClashShown, NeedsShown, clash_shown, needs_shown, range_words
from app.web.rights import may_open, may_save

MOST_CLASHES = 12
_CANNOT = "cannot be told"
_SHARED = (
    ("They share, temperature", "temp_c"),
    ("They share, pH", "ph"),
    ("They share, hardness (GH)", "gh"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """Both sides as rows of what, before and after; `doors` lead to where it is written down."""

    rows: tuple[tuple[str, str, str], ...]
    heights: tuple[tuple[str, str, str], ...]
    missing: tuple[str, ...]
    assumed: tuple[str, ...]
    new: tuple[ClashShown, ...]
    ended: tuple[ClashShown, ...]
    stay: int
    needs: NeedsShown
    doors: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class IdeaPage:
    """The form, what was found for a name, and what comes of the idea.

    `found` are (name, scientific name, address that adds it, what it is).
    """

    tank: Tank
    form: IdeaForm
    found: tuple[tuple[str, str, str, str], ...]
    looked: bool
    outcome: Outcome | None


def outcome(compared: Compared, site: Site, doors: Sequence[tuple[str, str]]) -> Outcome:
    """What comes of an idea, in words and numbers."""
    before, after = compared.before, compared.after
    return Outcome(
        rows=tuple(_rows(compared, site)),
        heights=_heights(before.needs, after.needs),
        missing=compared.missing,
        assumed=compared.assumed,
        new=tuple(clash_shown(c, site) for c in compared.new),
        ended=tuple(clash_shown(c, site) for c in compared.ended),
        stay=len(after.needs.clashes) - len(compared.new),
        needs=needs_shown(after.needs, site, most=MOST_CLASHES),
        doors=tuple(doors),
    )


def doors_of(form: IdeaForm, tank: Tank, counts: dict[int, int]) -> Iterator[tuple[str, str]]:
    """Where what came or left is written down; `counts` are the animals of each group now."""
    for field in form.of(GROUP):
        group_id = int(field.name.removeprefix(GROUP))
        more = int(field.number or 0) - counts[group_id]
        if more > 0 and may_open("livestock.arrive"):
            url = url_for("livestock.arrive", tank_id=tank.id, group_id=group_id, count=more)
            yield f"They have arrived: {more} {field.label.text}", url
        elif more < 0 and may_open("writing.animals"):
            url = url_for("writing.animals", tank_id=tank.id, group=group_id)
            yield f"They have left: {-more} {field.label.text}", url
    for field in form.of(NEW):
        slug, come = field.name.removeprefix(NEW), int(field.number or 0)
        if come and may_open("livestock.add"):
            url = url_for("livestock.add", tank_id=tank.id, animal=slug, count=come)
            yield f"They have arrived: {come} {field.label.text}", url
    for field in form.of(PLANTED):
        slug = field.name.removeprefix(PLANTED)
        if field.data != "none" and may_save("plants.plants"):
            url = url_for("plants.plants", tank_id=tank.id, plant=slug, amount=field.data)
            yield f"It has been planted: {field.label.text}", url


def _rows(compared: Compared, site: Site) -> Iterator[tuple[str, str, str]]:
    sides = (compared.before, compared.after)
    yield _row("Fish weigh", [_triple(s.grams, "g") for s in sides])
    yield _row("For each 100\u00a0L of water", [_triple(s.per_100_l, "g") for s in sides])
    yield _row("For each square meter of surface", [_triple(s.per_m2, "g/m²") for s in sides])
    yield _row("Food a day", [_one(s.food_g, "g", 2) for s in sides])
    yield _row(
        "Nitrate rises in a week, before plants take any",
        [_triple(s.nitrate, "mg/L", 1) for s in sides],
    )
    yield _row("Plants could take in a week", [_triple(s.uptake, "mg/L", 1) for s in sides])
    yield _row(_until(compared), [_days(s) for s in sides])
    yield _row("Least oxygen at night", ["cannot be told yet"] * 2)
    shared = [(s.needs.shared.temperature, s.needs.shared.ph, s.needs.shared.gh) for s in sides]
    for at, (label, field) in enumerate(_SHARED):
        yield _row(label, [_shared_words(ranges[at], field, site) for ranges in shared])


def _row(label: str, cells: Sequence[str]) -> tuple[str, str, str]:
    return label, cells[0], cells[1]


def _until(compared: Compared) -> str:
    if compared.start is None or compared.target is None:
        return "Days until the next water change"
    start, target = number(compared.start, 1), with_unit(number(compared.target, 1), "mg/L")
    return f"Days until nitrate goes from {start} to {target}"


def _triple(triple: Triple | None, unit: str, decimals: int = 0) -> str:
    if triple is None:
        return _CANNOT
    places = max(decimals, 0 if triple[1] >= 10 else 1)
    low, best, high = (number(part, places) for part in triple)
    if triple[2] == 0.0:
        return with_unit("0", unit)
    return f"{with_unit(best, unit)} ({low} to {high})"


def _one(value: float | None, unit: str, decimals: int) -> str:
    return _CANNOT if value is None else with_unit(number(value, decimals), unit)


def _days(side: Side) -> str:
    if side.days is None:
        return _CANNOT
    if side.days[1] == 0.0:
        return "already there or above"
    if math.isinf(side.days[1]):
        return "never"
    least, best, most = (number(days, 1) for days in side.days)
    return f"{best} ({least} to {most})"


def _shared_words(shared: SharedRange | None, field: str, site: Site) -> str:
    if shared is None:
        return "not known"
    if shared.is_empty:
        return f"nothing: {listed(shared.low_by)} against {listed(shared.high_by)}"
    return range_words((shared.low, shared.high), field, site)


def _heights(before: Needs, after: Needs) -> tuple[tuple[str, str, str], ...]:
    words = {h.position: h.words for h in (*after.heights, *before.heights)}
    return tuple(
        (text.capitalize(), _height(before, position), _height(after, position))
        for position, text in words.items()
    )


def _height(needs: Needs, position: str) -> str:
    for share in needs.heights:
        if share.position == position:
            part = "" if share.percent is None else f", {number(share.percent, 0)}\u00a0% of weight"
            return f"{listed(share.names)}{part}"
    return "nobody"
