"""Reads the file of lessons, and refuses what is incomplete."""

from collections.abc import Mapping
from typing import Any, Final

from app.knowledge.lessons import Lesson, LessonStep
from app.knowledge.model import KnowledgeError

_KEYS: Final = frozenset({
    "title", "ages", "question", "needed", "steps", "mathematics", "write", "expect",
    "standards", "cautions",
})  # fmt: skip


def read_lessons(
    name: str, tables: Mapping[str, Any], minutes: float, *known: tuple[str, Mapping[str, Any]]
) -> dict[str, Lesson]:
    """The lessons of a file, in their order.

    Args:
        name: The name of the file.
        tables: What it holds.
        minutes: How long the steps of a lesson take together.
        known: Fields that hold keys, and the tables that must know them.

    Raises:
        KnowledgeError: If a lesson is incomplete, does not take so long, or names what is not
            there.
    """
    return {
        key: _lesson(f"{name}: {key}", key, entry, minutes, known) for key, entry in tables.items()
    }


def _lesson(
    where: str,
    key: str,
    entry: Any,
    minutes: float,
    known: tuple[tuple[str, Mapping[str, Any]], ...],
) -> Lesson:
    if not isinstance(entry, dict) or set(entry) != _KEYS:
        raise KnowledgeError(f"{where}: wants the keys {', '.join(sorted(_KEYS))}")
    if empty := [field for field in _KEYS - {"cautions"} if not entry[field]]:
        raise KnowledgeError(f"{where}: {', '.join(sorted(empty))} is empty")
    steps = tuple(LessonStep(each["minutes"], each["text"]) for each in entry["steps"])
    if sum(step.minutes for step in steps) != minutes:
        raise KnowledgeError(f"{where}: the steps do not take {minutes:g} minutes")
    for field, there in known:
        if strange := [one for one in entry[field] if one not in there]:
            raise KnowledgeError(f"{where}: {field}: no such key as {strange[0]!r}")
    first, last = entry["ages"]
    texts = {field: entry[field] for field in ("title", "question", "mathematics", "write")}
    return Lesson(
        key=key,
        ages=(first, last),
        needed=tuple(entry["needed"]),
        steps=steps,
        expect=entry["expect"],
        standards=tuple(entry["standards"]),
        cautions=tuple(entry["cautions"]),
        **texts,
    )
