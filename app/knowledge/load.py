"""Reads the data files once, refuses what is incomplete, and hands out one `Knowledge`."""

import functools
import hashlib
import importlib.resources
import tomllib
from collections.abc import Mapping
from importlib.resources.abc import Traversable
from typing import Any, Final

from app.knowledge.model import Basis, Caution, Knowledge, Number, Source, Word

NUMBER_FILES: Final = (
    "water.toml",
    "feeding.toml",
    "maintenance.toml",
    "livestock.toml",
    "shelf_lives.toml",
)
TEXT_FILES: Final = ("sources.toml", "cautions.toml", "words.toml", "nicknames.toml")
_BASES: Final = {
    "published": Basis.PUBLISHED,
    "common practice": Basis.COMMON_PRACTICE,
    "from memory": Basis.MEMORY,
    "own choice": Basis.OWN,
}
_NUMBER_KEYS: Final = frozenset({"value", "unit", "basis", "source", "note"})


class KnowledgeError(ValueError):
    """A data file says too little, too much, or something that does not exist."""


@functools.cache
def load() -> Knowledge:
    """All numbers and texts, read from the files beside this module and remembered.

    Raises:
        KnowledgeError: If a file is incomplete; the message names the file and the key.
    """
    return load_from(importlib.resources.files("app.knowledge"))


def load_from(folder: Traversable) -> Knowledge:
    """Read a folder that holds `NUMBER_FILES` and `TEXT_FILES`.

    Raises:
        KnowledgeError: If a key is missing or unknown, a basis does not exist, a published
            number has no source, or a source or a number is named twice or nowhere.
    """
    raw = {name: (folder / name).read_bytes() for name in NUMBER_FILES + TEXT_FILES}
    data = {name: _parsed(name, content) for name, content in raw.items()}
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
    return Knowledge(
        numbers=numbers,
        sources=sources,
        cautions=_cautions(data["cautions.toml"], sources),
        words=_words(data["words.toml"]),
        nicknames=_nicknames(data["nicknames.toml"]),
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
    if source and source not in sources:
        raise KnowledgeError(f"{where}: no such source as {source!r}")
    if not source and basis == "published":
        raise KnowledgeError(f"{where}: a published number names its source")
    if not note:
        raise KnowledgeError(f"{where}: the note is empty")
    return Number(key, float(value), fields["unit"], _BASES[basis], source, note)


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


def _words(data: Mapping[str, Any]) -> tuple[Word, ...]:
    entries = _require_keys("words.toml", data, {"words"})["words"]
    return tuple(
        Word(**_require_keys(f"words.toml: {e.get('label')}", e, {"label", "meaning", "child"}))
        for e in entries
    )


def _nicknames(data: Mapping[str, Any]) -> tuple[str, ...]:
    names = _require_keys("nicknames.toml", data, {"nicknames"})["nicknames"]
    if len(set(names)) != len(names):
        raise KnowledgeError("nicknames.toml: a name is written twice")
    return tuple(names)
