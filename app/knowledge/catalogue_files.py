"""Reads the lists of animals and plants, and refuses what cannot be."""

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, TypeVar

from app.knowledge.catalogue import Plant, Span, Species
from app.knowledge.model import KnowledgeError

Record = TypeVar("Record", Species, Plant)

SPECIES_COLUMNS: Final = [
    "scientific_name",
    "common_name",
    "also_known_as",
    "group",
    "family",
    "origin",
    "max_length_cm",
    "length_type",
    "adult_tl_cm",
    "temp_min_c",
    "temp_max_c",
    "ph_min",
    "ph_max",
    "gh_min_dgh",
    "gh_max_dgh",
    "min_group",
    "position",
    "temperament",
    "min_tank_liters",
    "length_weight_a",
    "length_weight_b",
    "length_weight_source",
    "diet",
    "cautions",
    "source",
    "db_ph_min",
    "db_ph_max",
    "db_gh_min",
    "db_gh_max",
    "db_temp_min_c",
    "db_temp_max_c",
    "temp_source",
    "looked_up_fields",
    "confidence",
]
PLANT_COLUMNS: Final = [
    "scientific_name",
    "common_name",
    "also_known_as",
    "growth_form",
    "placement",
    "light_need",
    "temp_min_c",
    "temp_max_c",
    "growth_rate",
    "notes",
    "regulated",
    "source",
    "looked_up_fields",
    "confidence",
]
_WORDS: Final = {
    "group": {"fish", "shrimp", "crayfish", "snail"},
    "length_type": {"TL", "SL", "BL", "SH"},
    "position": {"surface", "mid", "bottom"},
    "temperament": {"peaceful", "semi", "territorial", "fin-nipping", "predatory"},
    "diet": {"omnivore", "carnivore", "herbivore"},
    "looked_up_fields": {
        "also_known_as",
        "cautions",
        "cautions_part",
        "GH",
        "gh_max_dgh",
        "length_weight",
        "length_weight_prior",
        "max_length_cm",
        "min_group",
        "origin",
        "pH",
        "risk",
        "temp",
        "tolerance",
    },
    "confidence": {"looked-up", "mixed", "memory"},
}
_PLANT_WORDS: Final = {
    "growth_form": {"rhizome", "rooted", "stem", "floating", "moss"},
    "placement": {"front", "mid", "back", "surface"},
    "light_need": {"low", "medium", "high"},
    "growth_rate": {"slow", "medium", "fast"},
    "regulated": {"yes", "check", "none known"},
    "looked_up_fields": {"placement", "planting rule", "regulated"},
    "confidence": {"mixed", "memory"},
}
# what a freshwater tank can hold; wider than any row, so that only slips are refused
_WITHIN: Final = {
    "max_length_cm": (0.5, 150.0),
    "adult_tl_cm": (0.5, 100.0),
    "temp_min_c": (0.0, 35.0),
    "temp_max_c": (10.0, 40.0),
    "ph_min": (3.0, 9.0),
    "ph_max": (4.0, 10.0),
    "gh_min_dgh": (0.0, 30.0),
    "gh_max_dgh": (1.0, 60.0),
    "min_group": (1.0, 30.0),
    "min_tank_liters": (5.0, 3000.0),
    "length_weight_a": (0.0005, 0.1),
    "length_weight_b": (2.5, 3.5),
    "db_ph_min": (3.0, 9.0),
    "db_ph_max": (4.0, 10.0),
    "db_gh_min": (0.0, 30.0),
    "db_gh_max": (1.0, 60.0),
    "db_temp_min_c": (0.0, 35.0),
    "db_temp_max_c": (5.0, 40.0),
}


@dataclass(frozen=True, slots=True)
class _Row:
    """One row with where it stands, for the sentences of refusals."""

    where: str
    cells: Mapping[str, str]

    def refuse(self, what: str) -> KnowledgeError:
        return KnowledgeError(f"{self.where}: {what}")

    def text(self, column: str) -> str:
        """A cell that must not be empty."""
        if not self.cells[column]:
            raise self.refuse(f"{column} is empty")
        return self.cells[column]

    def parts(self, column: str) -> tuple[str, ...]:
        """The items of a cell."""
        return tuple(p.strip() for p in self.cells[column].split(";") if p.strip())

    def word(self, column: str, known: Mapping[str, set[str]]) -> str:
        """A cell that holds one word of a fixed list."""
        return self._known(column, (self.text(column),), known)[0]

    def chosen(self, column: str, known: Mapping[str, set[str]]) -> frozenset[str]:
        """A cell that holds words of a fixed list."""
        return frozenset(self._known(column, self.parts(column), known))

    def _known(
        self, column: str, words: tuple[str, ...], known: Mapping[str, set[str]]
    ) -> tuple[str, ...]:
        if unknown := set(words) - known[column]:
            raise self.refuse(f"{column}: no such word as {', '.join(sorted(unknown))}")
        return words

    def number(self, column: str) -> float | None:
        """A cell as a number inside its sane range, or None where it is empty."""
        text = self.cells[column]
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            raise self.refuse(f"{column}: {text!r} is no number") from None
        low, high = _WITHIN[column]
        if not low <= value <= high:
            raise self.refuse(f"{column}: {text} is outside {low:g} to {high:g}")
        return value

    def whole(self, column: str) -> int | None:
        """A cell as a whole number, or None where it is empty."""
        value = self.number(column)
        if value is not None and value != int(value):
            raise self.refuse(f"{column}: {value:g} is no whole number")
        return None if value is None else int(value)

    def ends(self, low: str, high: str) -> tuple[float | None, float | None]:
        """Two cells that bound a range, each of which may be empty."""
        bottom, top = self.number(low), self.number(high)
        if bottom is not None and top is not None and bottom > top:
            raise self.refuse(f"{low} {bottom:g} is above {high} {top:g}")
        return bottom, top

    def span(self, low: str, high: str) -> Span | None:
        """Two cells that bound a range: both or neither are filled."""
        bottom, top = self.ends(low, high)
        if (bottom is None) != (top is None):
            raise self.refuse(f"only one of {low} and {high} is filled")
        return None if bottom is None or top is None else (bottom, top)


def read_species(name: str, content: bytes) -> dict[str, Species]:
    """The animals of a file by scientific name, in the order of the file.

    Raises:
        KnowledgeError: If a column, a word or a number cannot be, or a name stands twice.
    """
    return _unique(name, (_species(row) for row in _rows(name, content, SPECIES_COLUMNS)))


def read_plants(name: str, content: bytes) -> dict[str, Plant]:
    """The plants of a file by scientific name, in the order of the file.

    Raises:
        KnowledgeError: If a column, a word or a number cannot be, or a name stands twice.
    """
    return _unique(name, (_plant(row) for row in _rows(name, content, PLANT_COLUMNS)))


def _rows(name: str, content: bytes, columns: list[str]) -> Iterable[_Row]:
    reader = csv.reader(io.StringIO(content.decode("utf-8"), newline=""), strict=True)
    try:
        if next(reader, None) != columns:
            raise KnowledgeError(f"{name}: the columns must be {', '.join(columns)}")
        for cells in reader:
            where = f"{name}: line {reader.line_num}"
            if len(cells) != len(columns):
                raise KnowledgeError(f"{where}: {len(cells)} cells instead of {len(columns)}")
            row = dict(zip(columns, map(str.strip, cells), strict=True))
            yield _Row(f"{where}: {row['scientific_name']}", row)
    except csv.Error as error:
        raise KnowledgeError(f"{name}: line {reader.line_num}: {error}") from error


def _species(row: _Row) -> Species:
    looked_up = row.chosen("looked_up_fields", _WORDS)
    weight = row.number("length_weight_a"), row.number("length_weight_b")
    if (weight[0] is None) != (weight[1] is None):
        raise row.refuse("only one of length_weight_a and length_weight_b is filled")
    db_temp = row.ends("db_temp_min_c", "db_temp_max_c")
    if ("temp" in looked_up) != (None not in db_temp):
        raise row.refuse("db_temp cells are filled exactly where temp was looked up")
    return Species(
        scientific_name=row.text("scientific_name"),
        common_name=row.text("common_name"),
        also_known_as=row.parts("also_known_as"),
        group=row.word("group", _WORDS),
        family=row.text("family"),
        origin=row.text("origin"),
        max_length_cm=row.number("max_length_cm"),
        length_type=row.word("length_type", _WORDS),
        adult_tl_cm=row.number("adult_tl_cm"),
        temp_c=row.span("temp_min_c", "temp_max_c"),
        ph=row.span("ph_min", "ph_max"),
        gh=row.span("gh_min_dgh", "gh_max_dgh"),
        min_group=row.whole("min_group"),
        position=row.word("position", _WORDS),
        temperament=row.chosen("temperament", _WORDS),
        min_tank_liters=row.number("min_tank_liters"),
        length_weight_a=weight[0],
        length_weight_b=weight[1],
        length_weight_source=row.text("length_weight_source"),
        diet=row.word("diet", _WORDS),
        cautions=row.parts("cautions"),
        source=row.text("source"),
        temp_source=row.text("temp_source"),
        db_ph=row.ends("db_ph_min", "db_ph_max"),
        db_gh=row.ends("db_gh_min", "db_gh_max"),
        db_temp_c=db_temp,
        looked_up=looked_up,
        confidence=row.word("confidence", _WORDS),
    )


def _plant(row: _Row) -> Plant:
    return Plant(
        scientific_name=row.text("scientific_name"),
        common_name=row.text("common_name"),
        also_known_as=row.parts("also_known_as"),
        growth_form=row.word("growth_form", _PLANT_WORDS),
        placement=row.word("placement", _PLANT_WORDS),
        light_need=row.word("light_need", _PLANT_WORDS),
        temp_c=row.span("temp_min_c", "temp_max_c"),
        growth_rate=row.word("growth_rate", _PLANT_WORDS),
        notes=row.parts("notes"),
        regulated=row.word("regulated", _PLANT_WORDS),
        source=row.text("source"),
        looked_up=row.chosen("looked_up_fields", _PLANT_WORDS),
        confidence=row.word("confidence", _PLANT_WORDS),
    )


def _unique(name: str, records: Iterable[Record]) -> dict[str, Record]:
    """By scientific name; two may share a former or trade name, but no first name."""
    found: dict[str, Record] = {}
    first: set[str] = set()
    former: set[str] = set()
    for record in records:
        own = {record.scientific_name.casefold(), record.common_name.casefold()}
        also = {called.casefold() for called in record.also_known_as}
        if twice := (own & (first | former)) | (also & first):
            raise KnowledgeError(f"{name}: {record.scientific_name}: {min(twice)} stands twice")
        first |= own
        former |= also
        found[record.scientific_name] = record
    return found
