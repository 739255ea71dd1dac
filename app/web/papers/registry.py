"""All papers in the order in which they are offered, for the pages that list them."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper of one tank: its page (it takes `tank_id`), whom it is for, and what it is."""

    endpoint: str
    title: str
    whom: str
    line: str


PAPERS: Final = (
    Paper(
        "papers.wall_chart", "Wall chart", "For the class",
        "A week to fill in by hand, beside the tank. It works without a tablet.",
    ),
    Paper(
        "papers.flip_card", "FED / NOT FED card", "For everybody",
        "Two sides to cut out and turn over.",
    ),
    Paper(
        "papers.substitute_card", "Substitute card", "For a substitute",
        "Half a page: do only this, on one day. It names nobody.",
    ),
    Paper(
        "papers.strip", "Catch-up strip", "For days without a screen",
        "Seven rows, in the order in which they are typed in later.",
    ),
    Paper(
        "papers.vet", "Sheet for the vet", "For a veterinarian",
        "Tank, water, animals and what happened: measured, worked out or unknown.",
    ),
    Paper(
        "papers.welfare", "Welfare record", "For the head and for inspectors",
        "The five needs, with what the record shows and where it has gaps.",
    ),
    Paper(
        "papers.risk", "Risk sheet", "For whoever looks after safety",
        "Usual cautions, and our own rules beside them.",
    ),
    Paper(
        "papers.transfer", "Transfer note", "For a new keeper",
        "Which animals go, the water they are used to, and a receipt.",
    ),
    Paper(
        "papers.incident", "Incident report", "For families or an insurer",
        "Facts that a grown-up ticks in, what was done, and how it ended.",
    ),
    Paper(
        "papers.year", "Story of the year", "For the class and its families",
        "The year in plain words, with charts and lines for what was learned.",
    ),
)  # fmt: skip


def paper_at(endpoint: str) -> Paper:
    """The paper of a page.

    Raises:
        KeyError: If the page is no paper.
    """
    return {paper.endpoint: paper for paper in PAPERS}[endpoint]
