"""A lesson is whole and takes its forty minutes, or the file is refused."""

from typing import Any

import pytest

from app.knowledge.lesson_files import read_lessons
from app.knowledge.model import KnowledgeError

WHOLE: dict[str, Any] = {
    "title": "A title", "ages": [8, 11], "question": "Why?", "needed": ["a pencil"],
    "steps": [{"minutes": 15, "text": "Look."}, {"minutes": 25, "text": "Draw."}],
    "mathematics": "Counting.", "write": "A look.", "expect": "Something.",
    "standards": ["book"], "cautions": ["hands"],
}  # fmt: skip
KNOWN = (("standards", {"book": 1}), ("cautions", {"hands": 1}))


def test_a_whole_lesson_is_read() -> None:
    (lesson,) = read_lessons("guided.toml", {"one": WHOLE}, 40, *KNOWN).values()
    assert (lesson.key, lesson.ages) == ("one", (8, 11))
    assert sum(step.minutes for step in lesson.steps) == 40


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"steps": [{"minutes": 39, "text": "Look."}]}, "one: the steps do not take 40 minutes"),
        ({"standards": ["nobody"]}, "standards: no such key as 'nobody'"),
        ({"cautions": ["fire"]}, "cautions: no such key as 'fire'"),
        ({"question": ""}, "question is empty"),
        ({"author": "x"}, "wants the keys"),
    ],
)
def test_what_is_not_whole_is_refused(changed: dict[str, Any], says: str) -> None:
    with pytest.raises(KnowledgeError, match=says):
        read_lessons("guided.toml", {"one": WHOLE | changed}, 40, *KNOWN)
