"""What the page of a keeper's own table shows: its columns, the first rows as read, the imports."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from flask import url_for

from app.domain.drafts import NewJob, NewLook, NewMeal, NewNote, NewTest
from app.domain.entry_words import scoop_words
from app.domain.quantities import FACTS
from app.domain.sheet_file import Sheet
from app.domain.sheet_rows import Item, Told
from app.domain.tank import Site, Tank
from app.domain.wording import count, value_text, water_amount, when_text
from app.services.sheets.sheet_import import SheetLook
from app.services.sheets.sheet_undo import ImportLine
from app.web.exchange.span import dated, span_lines
from app.web.request import now

MOST_TOLD: Final = 10
_SAMPLES: Final = 3
_LONGEST_SAMPLE: Final = 24
_COUNTED: Final = {
    "NewTest": ("test", "tests"),
    "NewMeal": ("meal", "meals"),
    "NewJob": ("water change", "water changes"),
    "NewLook": ("look", "looks"),
    "NewNote": ("note", "notes"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnRow:
    """One column: the name of its field, and what stands in its first cells."""

    field: str
    samples: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What the file would bring: in numbers, its first things as rows, what to decide about.

    `refused` and `unusual` are (line, column, words) of the first ones, with how many there are.
    """

    findings: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, str, str], ...]
    new: int
    refused: tuple[Told, ...]
    refused_count: int
    unusual: tuple[Told, ...]
    unusual_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportRow:
    """One import in words; `undo_url` is "" where nothing of it is in force."""

    file_name: str
    words: str
    undo_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPage:
    """The form, the columns and the preview once a file is there, and what came in before."""

    tank: Tank
    form: Any
    columns: tuple[ColumnRow, ...]
    preview: Preview | None
    imports: tuple[ImportRow, ...]


def column_rows(sheet: Sheet, names: Sequence[str]) -> tuple[ColumnRow, ...]:
    """The columns with what stands in their first rows."""
    return tuple(
        ColumnRow(field=name, samples=", ".join(_samples(sheet, at)) or "nothing")
        for at, name in enumerate(names)
    )


def _samples(sheet: Sheet, at: int) -> list[str]:
    cells = [row.cells[at].strip() for row in sheet.samples if at < len(row.cells)]
    return [cell[:_LONGEST_SAMPLE] for cell in cells if cell][:_SAMPLES]


def preview_of(look: SheetLook, tank: Tank, site: Site) -> Preview:
    """A look as the page shows it."""
    tally = look.tally
    return Preview(
        findings=_findings(look, tank, site),
        rows=tuple(
            (str(item.line), dated(item.at, site), item_words(item, site)) for item in look.shown
        ),
        new=look.new,
        refused=tuple(tally.refused[:MOST_TOLD]),
        refused_count=tally.refused_count,
        unusual=tuple(tally.unusual[:MOST_TOLD]),
        unusual_count=tally.unusual_count,
    )


def _findings(look: SheetLook, tank: Tank, site: Site) -> tuple[tuple[str, str], ...]:
    counts = dict(look.counts)
    brings = ", ".join(count(counts[k], *words) for k, words in _COUNTED.items() if k in counts)
    nothing = "nothing new" if look.known else "nothing"
    lines = [("Rows", str(look.tally.rows)), ("They bring", brings or nothing)]
    if look.readings:
        lines.append(("With", count(look.readings, "reading", "readings")))
    if look.known:
        lines.append(("Stand here already, or twice in the file", str(look.known)))
    if look.tally.blanks:
        lines.append(("Rows without anything to read", str(look.tally.blanks)))
    if look.first is not None and look.last is not None:
        lines += span_lines(look.first, look.last, tank, site)
    return tuple(lines)


def item_words(item: Item, site: Site) -> str:
    """What a row would be, in words and in the units that the site reads."""
    match item.draft:
        case NewMeal() as meal:
            return f"Fed, {scoop_words(meal.scoops, meal.amount_words)}"
        case NewJob(liters_out=liters):
            said = (
                "Water change" if liters is None else f"Water change, {water_amount(site, liters)}"
            )
        case NewLook(seen=seen):
            said = f"{seen} seen"
        case NewTest():
            said = ", ".join(
                f"{FACTS[r.quantity].label} {value_text(r.quantity, r.value or 0.0, site)}"
                for r in item.readings
            )
        case NewNote():
            said = "Note"
    return f"{said}: {item.draft.note}" if item.draft.note else said


def import_rows(lines: Sequence[ImportLine], tank_id: int, site: Site) -> tuple[ImportRow, ...]:
    """The imports of a tank as the page lists them."""
    return tuple(_import_row(line, tank_id, site) for line in lines)


def _import_row(line: ImportLine, tank_id: int, site: Site) -> ImportRow:
    words = f"{when_text(line.made_at, site.zone, now())}, {line.by}. "
    words += f"{count(line.rows, 'thing', 'things')} came with it"
    if line.undone_at is not None:
        words += f"; taken back {when_text(line.undone_at, site.zone, now())}."
        return ImportRow(file_name=line.file_name, words=words, undo_url="")
    gone = "" if line.standing else "; none of it counts any more"
    return ImportRow(
        file_name=line.file_name,
        words=f"{words}{gone}.",
        undo_url=url_for("exchange.take_import_back", tank_id=tank_id, batch_id=line.batch_id)
        if line.standing
        else "",
    )
