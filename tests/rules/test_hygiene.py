"""Clean hands: said once a week, before the first work in the water.

Soap before and after is of the CDC's guidelines for animals in schools; once a week is our own.
"""

import pytest

from app.domain.records import JobKind
from tests.rules.checks import found, judged
from tests.situations import job, snapshot, tank

RULE = "hygiene.hands"
CLASS = tank(setting="class")
WEDNESDAY = "2027-02-10 12:00"


@pytest.mark.parametrize(
    ("kind", "when", "said"),
    [
        (JobKind.GLASS, "2027-02-08 00:10", False),  # Monday of this week
        (JobKind.GLASS, "2027-02-07 23:50", True),  # Sunday before
        (JobKind.LIGHT_TIMER, "2027-02-09 12:00", True),  # no hands in the water
    ],
)
def test_until_the_first_job_in_the_water_of_a_week(kind: JobKind, when: str, said: bool) -> None:
    assert bool(found(snapshot(WEDNESDAY, job(kind, when), tank=CLASS), RULE)) is said


def test_it_is_a_note_for_classes_and_no_task() -> None:
    seen = judged(snapshot(WEDNESDAY, tank=CLASS))
    assert RULE in {n.rule_id for n in seen.notes}
    assert "wash-hands" not in {t.key for t in seen.tasks}
    assert found(snapshot(WEDNESDAY), RULE) == []
