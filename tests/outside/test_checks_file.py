"""The file that the Numbers page shows is what a fresh computation says."""

import math
import tomllib
from pathlib import Path

import pytest

from tests.outside.check import Check, difference
from tests.outside.measure import CHECKS, FILE, plain, row

WRITTEN: list[dict[str, str]] = tomllib.loads(FILE.read_text("utf-8"))["checks"]


def test_every_check_is_written_and_none_is_made_up() -> None:
    names = [(check.what, check.against, check.range) for check in CHECKS]
    written = [(w["what"], w["against"], w["range"].replace("\u00a0", " ")) for w in WRITTEN]
    assert written == names
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_says_what_a_fresh_computation_says(check: Check) -> None:
    assert row(check) in WRITTEN, "run python -m tests.outside.measure"


def test_every_module_with_checks_is_measured() -> None:
    with_checks = {
        file.stem
        for file in Path(__file__).parent.glob("test_*.py")
        if "\nCHECKS = (" in file.read_text("utf-8")
    }
    assert {check.compare.__module__.rpartition(".")[2] for check in CHECKS} == with_checks


def test_the_cell_that_is_furthest_off_counts_and_a_left_out_one_does_not() -> None:
    check = Check("a", "b", "c", "%", 1.0, "d", lambda: ([1.0, 2.2, 5.0], [1.0, 2.0, math.nan]))
    assert difference(check) == pytest.approx(10.0)


def test_a_result_that_is_missing_is_no_agreement() -> None:
    check = Check("a", "b", "c", "", 1.0, "d", lambda: ([math.nan], [1.0]))
    with pytest.raises(AssertionError):
        difference(check)


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (0.0000543, "0.000054"),
        (0.14, "0.14"),
        (0.1, "0.1"),
        (8.64, "8.6"),
        (19.0, "19"),
        (120, "120"),
    ],
)
def test_numbers_are_written_without_exponents(number: float, words: str) -> None:
    assert plain(number) == words
