"""Lessons of a given length: their steps, what they need, and what they are expected to show."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LessonStep:
    """What pupils do, and for how many minutes."""

    minutes: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """One lesson; `ages` are from and to, `standards` keys of sources, `cautions` of cautions.

    `write` says what goes into the record, `expect` the surprise that is not told before.
    """

    key: str
    title: str
    ages: tuple[int, int]
    question: str
    needed: tuple[str, ...]
    steps: tuple[LessonStep, ...]
    mathematics: str
    write: str
    expect: str
    standards: tuple[str, ...]
    cautions: tuple[str, ...]
