"""What the animals want, as the page shows it: ranges side by side, clashes, load, heights."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from flask import url_for

from app.domain.quantities import FAHRENHEIT
from app.domain.tank import Site
from app.domain.wording import (
    NBSP,
    bare_degrees,
    degrees,
    length_text,
    listed,
    number,
    volume_text,
    with_unit,
)
from app.knowledge.catalogue import Span
from app.rules.lodgers import UNITS, Clash, ClashLevel, Lodger, Surroundings, span_text
from app.rules.room import HeightShare, Load
from app.rules.shared_water import SharedRange
from app.services.livestock.needs import Needs
from app.web.task_card import source_words

_LOWEST, _HIGHEST = 14, 34
_MARKS_C, _MARKS_F = range(14, 35, 4), range(60, 91, 10)
_FIELDS: Final = ("temp_c", "ph", "gh")
_NOT_KNOWN: Final = "not known"
_MEMORY: Final = f"{NBSP}*"


@dataclass(frozen=True, slots=True)
class Bar:
    """A range on the scale of warmth: left edge and width in percent of the scale."""

    name: str
    words: str
    left: str
    width: str
    is_ours: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """All ranges of warmth under one another; `shared` and `marks` lie on the same scale."""

    bars: tuple[Bar, ...]
    shared: tuple[str, str] | None
    marks: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ClashShown:
    """Something that does not go together: how much it weighs, and what it rests on.

    Pairs of `sources`: whose value it is, and the value with where it comes from. `memory`: what
    nobody looked up.
    """

    word: str
    text: str
    sources: tuple[tuple[str, str], ...]
    limits: tuple[tuple[str, str], ...]
    memory: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedsShown:
    """The needs of a living list beside the tank's own water.

    Rows of `wants`: name and its address, warmth, pH, GH, group; a star marks what is from memory.
    `more` clashes are not among `clashes`.
    """

    wants: tuple[tuple[str, str, tuple[str, ...]], ...]
    scale: Scale | None
    clashes: tuple[ClashShown, ...]
    more: int
    remarks: tuple[ClashShown, ...]
    load: tuple[tuple[str, str], ...]
    load_rules: tuple[tuple[str, str], ...]
    load_why: str
    heights: tuple[tuple[str, str, str], ...]


def needs_shown(needs: Needs, site: Site, *, most: int) -> NeedsShown:
    """The comparison of a living list, in the units of this site, with so many clashes at most."""
    clashes = clashes_of(needs, site)
    return NeedsShown(
        wants=(
            *(_wants(lodger, site) for lodger in needs.lodgers),
            ("They all share", "", _shared(needs, site)),
            ("This tank", "", _tank(needs.tank, site)),
        ),
        scale=_scale(needs, site),
        clashes=clashes[:most],
        more=max(0, len(clashes) - most),
        remarks=tuple(clash_shown(c, site) for c in needs.clashes if c.level is ClashLevel.REMARK),
        load=tuple(_load(needs.load, site)),
        load_rules=tuple((r.text, source_words(r)) for r in needs.rules),
        load_why=needs.load.why,
        heights=tuple(_height(h) for h in needs.heights),
    )


def clashes_of(needs: Needs, site: Site) -> tuple[ClashShown, ...]:
    """Every conflict and caution, the gravest first."""
    return tuple(clash_shown(c, site) for c in needs.clashes if c.level > ClashLevel.REMARK)


def clash_shown(clash: Clash, site: Site) -> ClashShown:
    """One clash with its numbers, its sources, and what of it is from memory."""
    return ClashShown(
        word=clash.level.word,
        text=clash.text,
        sources=tuple((f"{s.name}, {s.what}", f"{s.value}; {s.said}") for s in clash.sources),
        limits=tuple(
            (limit.said(fahrenheit=site.fahrenheit), source_words(limit)) for limit in clash.limits
        ),
        memory=_memory(clash),
    )


def _memory(clash: Clash) -> str:
    """What nobody looked up, by animal."""
    found: dict[str, list[str]] = {}
    for source in clash.sources:
        if source.is_memory:
            found.setdefault(source.name, []).append(source.what)
    said = "; ".join(f"{listed(whats)} of {name}" for name, whats in found.items())
    return f"From memory, not checked: {said}." if said else ""


def _wants(lodger: Lodger, site: Site) -> tuple[str, str, tuple[str, ...]]:
    species = lodger.species
    if species is None:
        return lodger.called, "", (_NOT_KNOWN,) * 4
    cells = [_cell(lodger, field, site) for field in _FIELDS]
    group = f"{species.min_group} or more" if species.min_group else _NOT_KNOWN
    star = _MEMORY if species.is_memory("min_group") else ""
    is_own = species.confidence == "own"
    url = "" if is_own else url_for("numbers.animal", slug=species.slug)
    return lodger.called, url, (*cells, f"{group}{star}, here {lodger.count}")


def _cell(lodger: Lodger, field: str, site: Site) -> str:
    span = lodger.span(field)
    if span is None or lodger.species is None:
        return _NOT_KNOWN
    star = _MEMORY if lodger.species.is_memory(field) else ""
    return f"{range_words(span, field, site)}{star}"


def range_words(span: Span, field: str, site: Site) -> str:
    """A range of a field of the catalogue, in the units of this site."""
    return span_text(span, UNITS[field], fahrenheit=site.fahrenheit)


def _read(span: Span, site: Site) -> str:
    """What was measured, with its decimals."""
    low, high = span
    return (
        degrees(site, low) if low == high else f"{bare_degrees(site, low)} to {degrees(site, high)}"
    )


def _shared(needs: Needs, site: Site) -> tuple[str, ...]:
    ranges = (needs.shared.temperature, needs.shared.ph, needs.shared.gh)
    return (*(_shared_cell(s, f, site) for s, f in zip(ranges, _FIELDS, strict=True)), "–")


def _shared_cell(shared: SharedRange | None, field: str, site: Site) -> str:
    if shared is None:
        return _NOT_KNOWN
    if shared.is_empty:
        return f"nothing: {listed(shared.low_by)} against {listed(shared.high_by)}"
    unknown = f"; not known of {listed(shared.unknown)}" if shared.unknown else ""
    return f"{range_words((shared.low, shared.high), field, site)}{unknown}"


def _tank(tank: Surroundings, site: Site) -> tuple[str, ...]:
    warm = []
    if tank.set_point_c is not None:
        warm.append(f"set to {degrees(site, tank.set_point_c)}")
    if tank.temperature_c is not None:
        warm.append(f"lately {_read(tank.temperature_c, site)}")
    return (
        ", ".join(warm) or "not written",
        number(tank.ph, 1) if tank.ph is not None else "not tested",
        with_unit(number(tank.gh, 1), "°dGH") if tank.gh is not None else "not tested",
        "–",
    )


def _scale(needs: Needs, site: Site) -> Scale | None:
    bars = [
        _bar(lodger.called, span, _cell(lodger, "temp_c", site))
        for lodger in needs.lodgers
        if (span := lodger.span("temp_c"))
    ]
    if not bars:
        return None
    ours = needs.tank.temperature_c
    if ours is not None:
        bars.append(_bar("This tank", ours, f"lately {_read(ours, site)}", ours=True))
    elif needs.tank.set_point_c is not None:
        point = needs.tank.set_point_c
        bars.append(_bar("This tank", (point, point), f"set to {degrees(site, point)}", ours=True))
    both = needs.shared.temperature
    shared = None
    if both is not None and not both.is_empty:
        left = _place(both.low)
        shared = (f"{left:.2f}%", f"{_place(both.high) - left:.2f}%")
    marks = map(FAHRENHEIT.to_kept, _MARKS_F) if site.fahrenheit else _MARKS_C
    return Scale(
        bars=tuple(bars),
        shared=shared,
        marks=tuple((f"{_place(c):.2f}%", bare_degrees(site, c).removesuffix(".0")) for c in marks),
    )


def _bar(name: str, span: Span, words: str, *, ours: bool = False) -> Bar:
    left, right = _place(span[0]), _place(span[1])
    return Bar(name, words, f"{left:.2f}%", f"{max(0.8, right - left):.2f}%", ours)


def _place(celsius: float) -> float:
    """Where a warmth lies on the scale, in percent; what is beyond it lies at its end."""
    inside = min(max(celsius, _LOWEST), _HIGHEST)
    return 100.0 * (inside - _LOWEST) / (_HIGHEST - _LOWEST)


def _load(load: Load, site: Site) -> Iterator[tuple[str, str]]:
    yield "Water in the tank", volume_text(site, load.net_l) if load.net_l else "not measured"
    yield "Grown fish, one after the other", length_text(site, round(load.length_cm))
    yield "The looser length rule asks for", volume_text(site, load.looser_l)
    yield "The stricter length rule asks for", volume_text(site, load.stricter_l)
    yield "Grown fish weigh", _grams(load.grams, "g")
    if load.per_100_l is not None:
        yield "For each 100\u00a0L of water", _grams(load.per_100_l, "g")
    if load.per_m2 is not None:
        yield "For each square meter of surface", _grams(load.per_m2, "g/m²")
    if load.unweighed:
        yield "Left out, weight not known", listed(load.unweighed)


def _grams(grams: float, unit: str) -> str:
    return with_unit(number(grams, 0 if grams >= 10 else 1), unit)


def _height(share: HeightShare) -> tuple[str, str, str]:
    percent = "not known" if share.percent is None else with_unit(number(share.percent, 0), "%")
    return share.words.capitalize(), listed(share.names), percent
