"""What does not go together stands on the page and in the plan, with numbers and sources."""

from dataclasses import replace

import pytest

from app.services import sites, tanks
from tests.page_checker import CheckedClient
from tests.record import ZONE, Record
from tests.web.filling import save
from tests.web.visits import seen

PAGE, PLAN = "/tank/1/fish-and-plants", "/tank/1/to-do"
NEON, MOLLY = "paracheirodon-innesi", "poecilia-sphenops"
ANGELFISH, BARB = "pterophyllum-scalare", "puntigrus-tetrazona"
SOFT_AND_HARD = (
    "Neon tetra wants GH 1 to 10 °dGH, Common molly 11 to 30 °dGH: they miss each other by 1 °dGH."
)
EATEN = (
    "Freshwater angelfish hunts and grows to 15 cm, Neon tetra to 3.5 cm, 23 % of that: "
    "it may be swallowed."
)
RASBORA = "trigonostigma-heteromorpha"


def settle(adult: CheckedClient, **animals: int) -> None:
    """Add groups as a browser would: `settle(adult, **{NEON: 8})`."""
    for animal, number in animals.items():
        answer = save(adult, f"/tank/1/animals?animal={animal}", count=str(number))
        assert answer.status_code == 303


def name_rasboras(adult: CheckedClient) -> None:
    """Say which animal the ten rasboras of the record are."""
    assert save(adult, f"/tank/1/animals/1/change?animal={RASBORA}").status_code == 303


@pytest.mark.parametrize(
    ("animals", "sentence", "source", "said_in_plan"),
    [
        (
            {NEON: 8, MOLLY: 3},
            SOFT_AND_HARD,
            "From memory, not checked: general hardness (GH) of Neon tetra.",
            "Neon tetra, general hardness (GH): 1 to 10 °dGH; from memory, not checked",
        ),
        (
            {NEON: 8, ANGELFISH: 1},
            EATEN,
            "grown length and temperament of Freshwater angelfish; grown length",
            "Neon tetra, grown length: 3.5 cm; from memory, not checked",
        ),
        (
            {BARB: 8, ANGELFISH: 1},
            "Tiger barb nips fins. Freshwater angelfish: “long fins get nipped”.",
            "From memory, not checked: temperament of Tiger barb",
            "Tiger barb, temperament: nips fins and pushy at times; from memory, not checked",
        ),
        (
            {NEON: 1},
            "Neon tetra lives in groups of 8 or more. Here: 1.",
            "checked: group (Hargrove",
            "Neon tetra, smallest group: 8; checked: group (Hargrove",
        ),
    ],
)
def test_a_pair_that_does_not_fit(
    adult: CheckedClient,
    animals: dict[str, int],
    sentence: str,
    source: str,
    said_in_plan: str,
) -> None:
    assert sentence not in seen(adult, PAGE)
    settle(adult, **animals)

    page = seen(adult, PAGE)
    assert sentence in page
    assert source in page

    plan = seen(adult, PLAN)
    assert sentence in plan
    assert said_in_plan in plan


def test_a_heater_set_three_degrees_too_low(adult: CheckedClient, record: Record) -> None:
    name_rasboras(adult)
    sentence = "Harlequin rasbora wants 22 to 26 °C; the heater is set to 19 °C, 3 °C too little."
    for degrees, shown in ((22.0, False), (19.0, True)):
        with record.database.writing() as session:
            draft = tanks.tank(session, 1).facts
            tanks.change_tank(session, 1, replace(draft, set_point_c=degrees))
        assert (sentence in seen(adult, PAGE)) is shown
        assert (sentence in seen(adult, PLAN)) is shown
    why = seen(adult, f"{PLAN}/company")
    assert "A conflict from: 2 °C" in why
    assert "Harlequin rasbora, temperature: 22 to 26 °C" in why


def test_the_plan_leads_to_the_page_of_the_animals(adult: CheckedClient) -> None:
    settle(adult, **{NEON: 8, ANGELFISH: 1})
    assert f'href="{PAGE}"' in adult.get(f"{PLAN}/company").text


def test_animals_that_go_together(adult: CheckedClient) -> None:
    name_rasboras(adult)
    page = seen(adult, PAGE)
    assert "Conflict." not in page
    assert "They all share 22 to 26 °C; not known of peppered cory" in page


def test_both_length_rules_and_the_weight_stand_side_by_side(adult: CheckedClient) -> None:
    name_rasboras(adult)
    settle(adult, **{ANGELFISH: 2})
    page = seen(adult, PAGE)
    # worked by hand: 10 at 4.5, 6 at 7 and 2 at 15 cm
    assert "Grown fish, one after the other 117 cm" in page
    # 117 / 1.2 · 1.5 = 146.25 and 117 · 3
    assert "The looser length rule asks for 146 L" in page
    assert "The stricter length rule asks for 351 L" in page
    assert "For each 100 L of water" in page
    assert "For each square meter of surface" in page


def test_us_households_read_their_units_with_the_metric_ones(
    adult: CheckedClient, record: Record
) -> None:
    with record.database.writing() as session:
        draft = sites.SiteDraft(name="Home", zone=ZONE, fahrenheit=True, us_gallons=True)
        sites.set_site(session, draft)
    page = seen(adult, PAGE)
    # a US gallon is 231 cubic inches, an inch 2.54 cm (NIST Handbook 44, appendix C)
    assert "Water in the tank 22.5 US gal (85 L)" in page
    assert "Grown 1.8 in (4.5 cm)" in page
    assert "Weight, food and waste grow with the cube of the length" in page
    assert "Royal Society" in page


def test_no_score_and_no_verdict(adult: CheckedClient) -> None:
    settle(adult, **{NEON: 8, ANGELFISH: 1})
    page = seen(adult, PAGE).lower()
    assert not any(word in page for word in ("score", "compatible", "points", "rating"))
