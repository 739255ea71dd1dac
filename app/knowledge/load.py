"""Reads the data files once, refuses what is incomplete, and hands out one `Knowledge`."""

import functools
import hashlib
import importlib.resources
import tomllib
from collections.abc import Mapping
from importlib.resources.abc import Traversable
from typing import Any, Final

from app.domain.quantities import Quantity
from app.knowledge.catalogue_files import read_plants, read_species
from app.knowledge.lesson_files import read_lessons
from app.knowledge.model import (
    Advice,
    Basis,
    Caution,
    KitKind,
    KitStep,
    KitWay,
    Knowledge,
    KnowledgeError,
    Number,
    OutsideCheck,
    Source,
    Step,
    Word,
)

NUMBER_FILES: Final = (
    "tank.toml",
    "water.toml",
    "feeding.toml",
    "maintenance.toml",
    "livestock.toml",
    "maturing.toml",
    "care.toml",
    "breaks.toml",
    "equipment.toml",
    "shelf_lives.toml",
    "needs.toml",
    "plants.toml",
    "waits.toml",
    "estimates.toml",
    "notebook.toml",
    "sharing.toml",
    "lessons.toml",
    "board.toml",
)
TEXT_FILES: Final = (
    "sources.toml",
    "cautions.toml",
    "words.toml",
    "nicknames.toml",
    "kits.toml",
    "checks.toml",
    "starting.toml",
    "guided.toml",
)
LISTS: Final = ("species.csv", "plants.csv")
UNITS: Final = frozenset(
    {
        "", "%", "h", "min", "s", "days", "weeks", "years", "°C", "K", "W", "kWh", "W/K",
        "L", "mL", "L/min", "L/h", "L/cm", "US gal", "cm", "mm", "m", "m²", "m/h", "m/d",
        "g", "mg", "kg", "kg/L", "g/m²", "g/L", "g/g", "mg/g", "mg/L", "mg/h", "mg/d", "mg/g/h",
        "mg/L as N", "mg/L as ammonium", "mg/L as nitrite", "mg/L as nitrate",
        "mg/L as CaCO3", "mg/L as chlorine", "mg/L as chloride", "°dKH", "°dGH", "pH",
        "animals", "counts", "tests", "portions", "meals", "scoops", "intervals", "changes",
        "species", "times", "lengths", "steps", "jobs", "persons", "tanks", "pieces", "MB",
        "pixels",
    }
)  # fmt: skip
_BASES: Final = {
    "published": Basis.PUBLISHED,
    "common practice": Basis.COMMON_PRACTICE,
    "from memory": Basis.MEMORY,
    "own choice": Basis.OWN,
}
STEP_LISTS: Final = ("starting", "closing")
ADVICE: Final = ("never", "class")
_COURSE_KEYS: Final = frozenset(STEP_LISTS + ADVICE)
_NUMBER_KEYS: Final = frozenset({"value", "unit", "basis", "source", "note"})


@functools.cache
def load() -> Knowledge:
    """All numbers and texts, read from the files beside this module and remembered.

    Raises:
        KnowledgeError: If a file is incomplete; the message names the file and the key.
    """
    return load_from(importlib.resources.files("app.knowledge"))


def load_from(folder: Traversable) -> Knowledge:
    """Read a folder that holds `NUMBER_FILES`, `TEXT_FILES` and `LISTS`.

    Raises:
        KnowledgeError: If a key is missing or unknown, a basis or unit does not exist, a
            published number has no source, a source or a number is named twice or nowhere, or
            a row of a list cannot be.
    """
    raw = {name: (folder / name).read_bytes() for name in NUMBER_FILES + TEXT_FILES + LISTS}
    data = {name: _parsed(name, raw[name]) for name in raw if name not in LISTS}
    sources = {
        key: Source(key, _text("sources.toml", key, entry, "title", allowed={"title"}))
        for key, entry in data["sources.toml"].items()
    }
    numbers: dict[str, Number] = {}
    for name in NUMBER_FILES:
        for number in _numbers(name, data[name], sources):
            if number.key in numbers:
                raise KnowledgeError(f"{name}: {number.key} is written twice")
            numbers[number.key] = number
    cautions = _cautions(data["cautions.toml"], sources)
    course = data["starting.toml"]
    return Knowledge(
        numbers=numbers,
        sources=sources,
        cautions=cautions,
        words=_words(data["words.toml"]),
        nicknames=_nicknames(data["nicknames.toml"], "nicknames"),
        tank_words=frozenset(_nicknames(data["nicknames.toml"], "tank_words")),
        species=read_species("species.csv", raw["species.csv"]),
        plants=read_plants("plants.csv", raw["plants.csv"]),
        kits=_kits(data["kits.toml"]),
        checks=_checks(data["checks.toml"]),
        steps=_steps(course, numbers, cautions, sources),
        advice=_advice(course, sources),
        lessons=read_lessons(
            "guided.toml",
            data["guided.toml"],
            numbers["lesson.minutes"].value,
            ("standards", sources),
            ("cautions", cautions),
        ),
        version=hashlib.sha256(b"".join(raw[name] for name in sorted(raw))).hexdigest()[:16],
    )


def _parsed(name: str, content: bytes) -> dict[str, Any]:
    try:
        return tomllib.loads(content.decode("utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError(f"{name}: {error}") from error


def _require_keys(where: str, entry: Any, wanted: set[str] | frozenset[str]) -> dict[str, Any]:
    if not isinstance(entry, dict):
        raise KnowledgeError(f"{where}: a table is wanted")
    if unknown := set(entry) - wanted:
        raise KnowledgeError(f"{where}: unknown key {', '.join(sorted(unknown))}")
    if missing := wanted - set(entry):
        raise KnowledgeError(f"{where}: missing {', '.join(sorted(missing))}")
    return entry


def _text(name: str, key: str, entry: Any, wanted: str, *, allowed: set[str]) -> str:
    text = _require_keys(f"{name}: {key}", entry, allowed)[wanted]
    if not isinstance(text, str) or not text.strip():
        raise KnowledgeError(f"{name}: {key}: {wanted} is empty")
    return text


def _numbers(name: str, tables: Mapping[str, Any], sources: Mapping[str, Source]) -> list[Number]:
    found = []
    for noun, table in tables.items():
        if not isinstance(table, dict):
            raise KnowledgeError(f"{name}: {noun} must be a table")
        for key, entry in table.items():
            found.append(_number(f"{name}: {noun}.{key}", f"{noun}.{key}", entry, sources))
    return found


def _number(where: str, key: str, entry: Any, sources: Mapping[str, Source]) -> Number:
    fields = _require_keys(where, entry, _NUMBER_KEYS)
    value, basis, source, note = (fields[k] for k in ("value", "basis", "source", "note"))
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise KnowledgeError(f"{where}: value is no number")
    if basis not in _BASES:
        raise KnowledgeError(f"{where}: no such basis as {basis!r}")
    if fields["unit"] not in UNITS:
        raise KnowledgeError(f"{where}: no such unit as {fields['unit']!r}")
    if source and source not in sources:
        raise KnowledgeError(f"{where}: no such source as {source!r}")
    if not source and basis == "published":
        raise KnowledgeError(f"{where}: a published number names its source")
    if not note:
        raise KnowledgeError(f"{where}: the note is empty")
    file = where.partition(".")[0]
    return Number(key, float(value), fields["unit"], _BASES[basis], source, note, file)


def _cautions(tables: Mapping[str, Any], sources: Mapping[str, Source]) -> dict[str, Caution]:
    cautions = {}
    for key, entry in tables.items():
        where = f"cautions.toml: {key}"
        fields = _require_keys(where, entry, {"title", "lines", "source"})
        if fields["source"] and fields["source"] not in sources:
            raise KnowledgeError(f"{where}: no such source as {fields['source']!r}")
        if not fields["lines"]:
            raise KnowledgeError(f"{where}: no lines")
        cautions[key] = Caution(key, fields["title"], tuple(fields["lines"]), fields["source"])
    return cautions


def _steps(
    lists: Mapping[str, Any],
    numbers: Mapping[str, Number],
    cautions: Mapping[str, Caution],
    sources: Mapping[str, Source],
) -> dict[str, Step]:
    wanted = {"part", "title", "lines", "check", "tick", "wait", "cautions", "basis", "source"}
    steps = {}
    for kind in STEP_LISTS:
        for name, entry in _require_keys("starting.toml", lists, _COURSE_KEYS)[kind].items():
            key = f"{kind}.{name}"
            where = f"starting.toml: {key}"
            fields = _require_keys(where, entry, wanted)
            wait = fields["wait"]
            if wait and wait not in numbers:
                raise KnowledgeError(f"{where}: no such number as {wait!r}")
            if strange := [c for c in fields["cautions"] if c not in cautions]:
                raise KnowledgeError(f"{where}: no such caution as {strange[0]!r}")
            steps[key] = Step(
                key=key,
                wait=numbers[wait] if wait else None,
                cautions=tuple(fields["cautions"]),
                **_told(where, fields, sources, ("part", "title", "lines", "check", "tick")),
            )
    return steps


def _advice(lists: Mapping[str, Any], sources: Mapping[str, Source]) -> dict[str, Advice]:
    found = {}
    for key in ADVICE:
        where = f"starting.toml: {key}"
        fields = _require_keys(where, lists[key], {"title", "lines", "basis", "source"})
        found[key] = Advice(key=key, **_told(where, fields, sources, ("title", "lines")))
    return found


def _told(
    where: str, fields: Mapping[str, Any], sources: Mapping[str, Source], names: tuple[str, ...]
) -> dict[str, Any]:
    """The texts called `names`, none of them empty, with basis and source; lines as a tuple."""
    if empty := [name for name in names if not fields[name]]:
        raise KnowledgeError(f"{where}: {', '.join(empty)} is empty")
    if fields["basis"] not in _BASES:
        raise KnowledgeError(f"{where}: no such basis as {fields['basis']!r}")
    if fields["source"] and fields["source"] not in sources:
        raise KnowledgeError(f"{where}: no such source as {fields['source']!r}")
    if fields["basis"] == "published" and not fields["source"]:
        raise KnowledgeError(f"{where}: a published step names its source")
    texts = {n: tuple(fields[n]) if n == "lines" else fields[n] for n in names}
    return texts | {"basis": _BASES[fields["basis"]], "source": fields["source"]}


def _words(data: Mapping[str, Any]) -> tuple[Word, ...]:
    entries = _require_keys("words.toml", data, {"words"})["words"]
    return tuple(
        Word(**_require_keys(f"words.toml: {e.get('label')}", e, {"label", "meaning", "child"}))
        for e in entries
    )


def _nicknames(data: Mapping[str, Any], part: str) -> tuple[str, ...]:
    lists = _require_keys("nicknames.toml", data, {"nicknames", "tank_words"})
    if any(len(set(names)) != len(names) for names in lists.values()):
        raise KnowledgeError("nicknames.toml: a name is written twice")
    if unknown := set(lists["tank_words"]) - set(lists["nicknames"]):
        raise KnowledgeError(f"nicknames.toml: {min(unknown)} is no nickname")
    return tuple(lists[part])


def _kits(tables: Mapping[str, Any]) -> dict[str, KitKind]:
    kits = {}
    wanted = {"reads", "way", "title", "basis_note", "keeps", "steps"}
    for key, entry in tables.items():
        where = f"kits.toml: {key}"
        fields = _require_keys(where, entry, wanted)
        if strange := [q for q in fields["reads"] if q not in set(Quantity)]:
            raise KnowledgeError(f"{where}: no such quantity as {strange[0]!r}")
        if fields["way"] not in set(KitWay):
            raise KnowledgeError(f"{where}: no such way as {fields['way']!r}")
        if empty := sorted(k for k in wanted if not fields[k]):
            raise KnowledgeError(f"{where}: {', '.join(empty)} is empty")
        kits[key] = KitKind(
            key,
            tuple(Quantity(q) for q in fields["reads"]),
            KitWay(fields["way"]),
            fields["title"],
            fields["basis_note"],
            fields["keeps"],
            tuple(_kit_step(where, step) for step in fields["steps"]),
        )
    return kits


def _kit_step(where: str, step: Any) -> KitStep:
    fields = _require_keys(where, step, {"text", "wait_s"})
    wait = fields["wait_s"]
    if isinstance(wait, bool) or not isinstance(wait, int | float) or not 0 <= wait <= 3600:
        raise KnowledgeError(f"{where}: wait_s must be 0 to 3600 seconds")
    if not fields["text"]:
        raise KnowledgeError(f"{where}: a step without words")
    return KitStep(fields["text"], float(wait))


def _checks(data: Mapping[str, Any]) -> tuple[OutsideCheck, ...]:
    wanted = {"what", "against", "range", "difference", "allowed", "source"}
    found = []
    for entry in _require_keys("checks.toml", data, {"checks"})["checks"]:
        fields = _require_keys(f"checks.toml: {entry.get('what')}", entry, wanted)
        if empty := sorted(k for k in wanted if fields[k] == ""):
            where = f"checks.toml: {fields['what']}"
            raise KnowledgeError(f"{where}: {', '.join(empty)} is empty")
        found.append(OutsideCheck(**{k: str(v) for k, v in fields.items()}))
    if not found:
        raise KnowledgeError("checks.toml: no checks")
    return tuple(found)
