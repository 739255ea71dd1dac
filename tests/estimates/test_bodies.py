"""What a group weighs, from its length and species."""

import pytest

from app.domain.livestock import StockGroup
from app.estimates.bodies import group_mass
from tests.rules.checks import KNOWLEDGE

# Lucas and Priede 1992: grown zebrafish of the study weighed 0.43 to 0.55 g; 3.5 cm long
ZEBRAFISH = StockGroup(id=1, name="Zebrafish", count=10, length_cm=3.5)


def test_a_zebrafish_of_usual_shape_weighs_what_was_measured() -> None:
    mass = group_mass(ZEBRAFISH, KNOWLEDGE)
    assert mass is not None
    assert 4.3 <= mass.best <= 5.5
    assert mass.is_assumed


def test_the_spread_is_shown_on_both_sides() -> None:
    mass = group_mass(ZEBRAFISH, KNOWLEDGE)
    assert mass is not None
    assert mass.low == pytest.approx(0.6 * mass.best)
    assert mass.high == pytest.approx(1.4 * mass.best)


def test_a_known_species_brings_its_own_shape_and_grown_length() -> None:
    group = StockGroup(id=1, name="Corys", count=6, species="Osteogaster aenea")
    species = KNOWLEDGE.species["Osteogaster aenea"]
    mass = group_mass(group, KNOWLEDGE)
    assert species.adult_tl_cm == 7
    assert mass is not None
    assert mass.best == pytest.approx(42, abs=1)  # six of 7.0 g, worked by hand
    assert not mass.is_assumed


def test_a_measured_length_counts_before_the_grown_one() -> None:
    young = StockGroup(id=1, name="Corys", count=6, species="Osteogaster aenea", length_cm=3.5)
    grown = StockGroup(id=1, name="Corys", count=6, species="Osteogaster aenea")
    light, heavy = group_mass(young, KNOWLEDGE), group_mass(grown, KNOWLEDGE)
    assert light is not None
    assert heavy is not None
    assert heavy.best / light.best == pytest.approx(2**3.01, rel=0.01)


def test_without_a_length_nothing_is_guessed() -> None:
    assert group_mass(StockGroup(id=1, name="Fish", count=6), KNOWLEDGE) is None
