"""The recipes of DEVELOPERS.md hold: every place they name exists and carries its part."""

import re
from pathlib import Path

import pytest

from app.domain.quantities import FACTS, Quantity
from app.rules.registry import RULES
from app.storage import models  # noqa: F401  # fills the metadata
from app.storage.base import Base

ROOT = Path(__file__).parents[2]
TABLE = Base.metadata.tables["reading"]
RECIPES = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_file_and_folder_that_the_recipes_name_is_there() -> None:
    named = re.findall(r"`((?:app|tests|migrations)/[\w/.]+)`", RECIPES)
    assert len(named) > 10
    assert [path for path in named if not (ROOT / path).exists()] == []


@pytest.mark.parametrize("quantity", Quantity)
def test_a_quantity_is_in_the_facts_and_in_the_database(quantity: Quantity) -> None:
    checks = " ".join(str(getattr(c, "sqltext", "")) for c in TABLE.constraints)
    facts = FACTS[quantity]
    assert f"'{quantity.value}'" in checks
    assert facts.units[0].to_kept(1.0) == 1.0
    assert facts.impossible[0] <= facts.unusual[0] < facts.unusual[1] <= facts.impossible[1]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_has_its_docstring_and_its_situations(rule: object) -> None:
    check = rule.check  # type: ignore[attr-defined]
    text = check.__doc__ or ""
    for part in ("What:", "Why:", "Source:", "Bad:", "Good:"):
        assert part in text, f"{check.__name__} does not say its {part}"
    tests = "".join(f.read_text(encoding="utf-8") for f in (ROOT / "tests/rules").glob("*.py"))
    assert rule.id in tests, f"no situation names {rule.id}"  # type: ignore[attr-defined]
