"""The range of a counted share against a statistics library (scipy, `binomtest`)."""

import pytest
from scipy.stats import binomtest

from app.science.proportion import wilson_interval


@pytest.mark.parametrize("confidence", [0.8, 0.9, 0.95])
@pytest.mark.parametrize("tries", [1, 2, 7, 19, 250])
def test_as_the_library_has_it(tries: int, confidence: float) -> None:
    for hits in range(tries + 1):
        theirs = binomtest(hits, tries).proportion_ci(confidence, method="wilson")
        assert wilson_interval(hits, tries, confidence) == pytest.approx(
            (theirs.low, theirs.high), abs=1e-12
        )
