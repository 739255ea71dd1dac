"""What stands behind a task: the sum that can be tried with other numbers."""

import pytest

from app.rules.registry import RULES
from app.services.workings.registry import working
from app.web.task_card import WORKED_OUT


@pytest.mark.parametrize(("rule_id", "slug"), WORKED_OUT.items())
def test_a_sum_belongs_to_a_rule_and_to_a_page_that_helpers_may_open(
    rule_id: str, slug: str
) -> None:
    page = working(slug)
    assert rule_id in {rule.id for rule in RULES}
    assert page is not None
    assert not page.for_adults
