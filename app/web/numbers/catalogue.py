"""What the pages of animals, plants and kits get."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from flask import url_for
from markupsafe import Markup

from app.domain.wording import NBSP, count, short, short_while, with_unit
from app.knowledge.catalogue import Plant, Span, Species
from app.knowledge.model import KitKind, Source
from app.rules.lodgers import span_text
from app.services.livestock.catalogue import Fact

PAGE_ROWS: Final = 50
_CELSIUS: Final = re.compile(r"(?<=\d) C\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class ListPage:
    """A page of a list, what was asked for, and the ways to the pages before and after.

    The first cell of a row is a link.
    """

    title: str
    typed: str
    url: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    found: str
    before_url: str
    after_url: str
    remarks: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OnePage:
    """One animal or plant: rows of what, value and where it comes from."""

    title: str
    second: str
    rows: tuple[tuple[str, str, str], ...]
    remarks: tuple[str, ...]
    source: str
    list_url: str
    list_label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KitShown:
    """A kind of kit with its steps; each step has its wait in words, or ""."""

    title: str
    basis_note: str
    keeps: str
    steps: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class KitsPage:
    """All kinds of kits."""

    kits: tuple[KitShown, ...]


def animals_page(
    found: Sequence[Species],
    typed: str,
    start: int,
    sources: Sequence[Source],
    *,
    fahrenheit: bool,
) -> ListPage:
    """A page of animals."""
    rows = tuple(
        (
            _link(s.common_name, url_for("numbers.animal", slug=s.slug)),
            s.scientific_name,
            _starred(s, "temp_c", _ends(s.temp_c, "°C", fahrenheit=fahrenheit)),
            _starred(s, "ph", _ends(s.ph, "")),
            _starred(s, "gh", _ends(s.gh, "°dGH")),
            _starred(s, "min_group", _or_dash(s.min_group, "")),
            _starred(s, "adult_tl_cm", _or_dash(s.adult_tl_cm, "cm")),
        )
        for s in found[start : start + PAGE_ROWS]
    )
    return ListPage(
        title="Animals",
        typed=typed,
        url=url_for("numbers.animals"),
        columns=("Name", "Scientific name", "Temperature", "pH", "GH", "Group from", "Grown"),
        rows=rows,
        found=_how_many(found, start, "animal", "animals"),
        before_url=_way("numbers.animals", typed, max(0, start - PAGE_ROWS)) if start else "",
        after_url=_way("numbers.animals", typed, start + PAGE_ROWS)
        if start + PAGE_ROWS < len(found)
        else "",
        remarks=(
            "A star marks what is from memory, not checked. Book ranges differ by 1 to 2 °C.",
            "A name on a label is often another animal’s. Ask for the scientific name.",
        ),
        sources=tuple(source.title for source in sources),
    )


def plants_page(found: Sequence[Plant], typed: str, start: int, *, fahrenheit: bool) -> ListPage:
    """A page of plants."""
    rows = tuple(
        (
            _link(p.common_name, url_for("numbers.plant", slug=p.slug)),
            p.scientific_name,
            p.growth_form,
            p.light_need,
            _ends(p.temp_c, "°C", fahrenheit=fahrenheit),
            "look up your local law" if p.regulated != "none known" else "none known",
        )
        for p in found[start : start + PAGE_ROWS]
    )
    return ListPage(
        title="Plants",
        typed=typed,
        url=url_for("numbers.plants"),
        columns=("Name", "Scientific name", "Form", "Light", "Temperature", "Rules"),
        rows=rows,
        found=_how_many(found, start, "plant", "plants"),
        before_url=_way("numbers.plants", typed, max(0, start - PAGE_ROWS)) if start else "",
        after_url=_way("numbers.plants", typed, start + PAGE_ROWS)
        if start + PAGE_ROWS < len(found)
        else "",
        remarks=(
            "Form, light and temperatures are common practice, from memory, not checked.",
            "Laws are local and change. With “none known”, nobody looked for your place.",
            "Never let a plant out into nature.",
        ),
        sources=(),
    )


def one_page(
    record: Species | Plant, facts: Sequence[Fact], list_url: str, list_label: str
) -> OnePage:
    """The page of one animal or plant."""
    remarks = []
    source = record.source
    if isinstance(record, Species):
        source = f"{record.source}. Temperature: {record.temp_source}"
        if "tolerance" in record.looked_up:
            remarks.append("Limits of survival in the texts below are no advice for keeping.")
    elif record.regulated != "none known":
        remarks.append(
            "Forbidden or limited in some places. Look up your local law first, and never let it "
            "out into nature."
        )
    return OnePage(
        title=_curly(record.common_name),
        second=record.scientific_name,
        rows=tuple((f.label, _tidy(f.value), _tidy(_capital(f.said))) for f in facts),
        remarks=tuple(remarks),
        source=_tidy(_capital(source)),
        list_url=list_url,
        list_label=list_label,
    )


def kits_page(kits: Sequence[KitKind]) -> KitsPage:
    """The page of kits."""
    return KitsPage(
        tuple(
            KitShown(
                title=kit.title,
                basis_note=kit.basis_note,
                keeps=kit.keeps,
                steps=tuple((step.text, _wait(step.wait_s)) for step in kit.steps),
            )
            for kit in kits
        )
    )


def _way(endpoint: str, typed: str, start: int) -> str:
    return url_for(endpoint, name=typed or None, start=start or None)


def _how_many(found: Sequence[object], start: int, one: str, many: str) -> str:
    said = count(len(found), one, many)
    if len(found) <= PAGE_ROWS:
        return f"{said}."
    last = min(start + PAGE_ROWS, len(found))
    return f"{said}, here {min(start + 1, last)} to {last}."


def _wait(seconds: float) -> str:
    return f"Wait {short_while(seconds)}." if seconds else ""


def _ends(span: Span | None, unit: str, *, fahrenheit: bool = False) -> str:
    # a dash keeps a range on one line of a narrow column
    if span is None:
        return "–"
    return span_text(span, unit, fahrenheit=fahrenheit).replace(" to ", "–")


def _or_dash(value: float | None, unit: str) -> str:
    return "–" if value is None else with_unit(short(value), unit)


def _starred(species: Species, field: str, text: str) -> str:
    return f"{text}{NBSP}*" if species.is_memory(field) else text


def _link(name: str, url: str) -> Markup:
    return Markup('<a href="{}">{}</a>').format(url, _curly(name))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _curly(text: str) -> str:
    return text.replace("'", "’")


def _tidy(text: str) -> str:
    """A text of the lists with the signs of a page: ’ and °C."""
    return _curly(_CELSIUS.sub(f"{NBSP}°C", text))
