"""Something odd: the board, the page of each sign, the change, the treatment, the vet's sheet."""

from datetime import timedelta

import pytest

from app.domain.drafts import NewLook, NewTest
from app.domain.quantities import Quantity
from app.domain.records import EntryKind, Sign
from app.services import sites, tasks
from tests.page_checker import CheckedClient
from tests.record import ZONE, Record, reading
from tests.web.filling import lines, save, saved_id
from tests.web.visits import seen, words_of

TANK = "/tank/1"


def test_the_board_leads_a_helper_to_every_sign(helper: CheckedClient) -> None:
    page = helper.get(f"{TANK}/odd").text
    assert all(f'href="{TANK}/odd/{sign.value}"' in page for sign in Sign)


@pytest.mark.parametrize("sign", Sign)
def test_the_page_of_a_sign_says_what_helps_and_whom_to_fetch(
    helper: CheckedClient, sign: Sign
) -> None:
    page = seen(helper, f"{TANK}/odd/{sign.value}")
    assert "Whom to fetch" in page
    assert "What changed in the last three days?" in page
    assert "Ammonia (total): nobody measured it yet." in page


def test_an_unknown_sign_is_not_found(helper: CheckedClient) -> None:
    assert helper.get(f"{TANK}/odd/glowing").status_code == 404


def test_the_sign_is_ticked_when_it_is_written_down(helper: CheckedClient, record: Record) -> None:
    saved_id(save(helper, f"{TANK}/odd?sign=lying", hands=str(record.otter)))
    assert lines(record, EntryKind.OBSERVATION)[0].detail.signs == "lying"


def test_a_high_nitrite_gives_a_step_of_thirty_percent(
    adult: CheckedClient, record: Record
) -> None:
    """Net volume 85.0 L by hand; 30 % of it is 25.5 L, three buckets of 10 L."""
    record.write(NewTest(), reading(Quantity.NITRITE, 1.0))
    record.write(NewLook(), reading(Quantity.TEMPERATURE, 25.0))
    page = seen(adult, f"{TANK}/trouble/change")
    assert "30 % of the water" in page
    assert "25.5 L" in page  # the working
    assert "3 buckets of 10 L" in page
    # 25 − 1 ÷ 0.30 = 21.7
    assert "21.7 °C" in page
    assert "How many steps cannot be told" in page


def test_without_a_test_it_says_that_it_cannot_tell(adult: CheckedClient) -> None:
    assert "because nobody tested it" in seen(adult, f"{TANK}/trouble/change")


def test_the_labels_sum_is_checked_and_not_saved(adult: CheckedClient, record: Record) -> None:
    """5 mL for 40 L on 85.0 L: 10.6 mL; glass to the rim 78 × 34 × 42 cm = 111.4 L: 13.9 mL."""
    answer = save(adult, f"{TANK}/trouble/treatment", label_ml="5", label_l="40", check="yes")
    assert answer.status_code == 200
    assert "10.6 mL" in words_of(answer.text)
    assert "13.9 mL" in words_of(answer.text)
    assert lines(record, EntryKind.JOB) == ()


def test_a_treatment_is_written_with_its_label(adult: CheckedClient, record: Record) -> None:
    saved_id(
        save(
            adult, f"{TANK}/trouble/treatment", product="Bottle A", label_ml="5", label_l="40",
            amount_ml="10.6", carbon_out="yes", until="2027-02-12", hands=str(record.otter),
        )
    )  # fmt: skip
    with record.database.reading() as session:
        kept = tasks.snapshot_of(session, 1, now=record.now).jobs[-1].treatment
    assert kept is not None
    assert (kept.product, kept.amount_ml, kept.carbon_out) == ("Bottle A", 10.6, True)
    assert kept.volume_l == pytest.approx(85.0, abs=0.05)
    assert "Carbon is out" in seen(adult, f"{TANK}/trouble/treatment")


def test_a_label_for_us_gallons_is_written_in_liters(adult: CheckedClient, record: Record) -> None:
    """5 mL for 10 US gallons, each 231 cubic inches (NIST Handbook 44, appendix C): 37.854 L."""
    with record.database.writing() as session:
        draft = sites.SiteDraft(name="Home", zone=ZONE, fahrenheit=True, us_gallons=True)
        sites.set_site(session, draft)
    page = f"{TANK}/trouble/treatment"
    label = {"product": "Bottle A", "label_ml": "5", "label_l": "10"}
    checked = save(adult, page, check="yes", **label)
    # 5 ÷ 37.854 × 85.0
    assert "11.2 mL" in words_of(checked.text)
    assert "10 US gal = 37.85 L" in words_of(checked.text)
    saved_id(save(adult, page, volume_l="22", hands=str(record.otter), **label))
    with record.database.reading() as session:
        kept = tasks.snapshot_of(session, 1, now=record.now).jobs[-1].treatment
    assert kept is not None
    assert kept.label_l == pytest.approx(37.854, abs=0.001)
    assert kept.volume_l == pytest.approx(83.279, abs=0.001)  # 22 US gallons


def test_a_treatment_without_its_name_is_asked_for(adult: CheckedClient, record: Record) -> None:
    answer = save(adult, f"{TANK}/trouble/treatment", hands=str(record.otter))
    assert answer.status_code == 422
    assert "Enter what was used." in answer.text


def test_the_vets_sheet_tells_measured_from_unknown_and_names_no_child(
    adult: CheckedClient, record: Record
) -> None:
    record.write(NewTest(), reading(Quantity.NITRITE, 1.0), by=record.otter)
    page = seen(adult, f"{TANK}/trouble/vet")
    main = page[page.index("Water volume") :]
    assert "Stones, wood and other things in it unknown" in main
    assert "Nitrite" in main
    assert "kit unknown" in main
    assert "Otter" not in main


def test_the_vets_sheet_dates_everything_with_its_year(
    adult: CheckedClient, record: Record
) -> None:
    record.write(NewLook(signs=(Sign.HIDING,)), at=record.now - timedelta(days=59))
    record.write(NewTest(), reading(Quantity.NITRITE, 0.0))
    for value in (24.0, 25.5):
        record.write(NewTest(), reading(Quantity.TEMPERATURE, value))
    page = seen(adult, f"{TANK}/trouble/vet")
    # the record began 200 days before Monday 8 February 2027: all that came is listed
    assert "Came all that is written Thursday 23 July 2026: 10 harlequin rasbora" in page
    assert "Running since Thursday 23 July 2026" in page
    assert "Signs last 60 days Friday 11 December 2026" in page
    assert "2 readings from 24.0 to 25.5 °C." in page
    assert "Mon 8 Feb 2027" in page


def test_old_signs_leave_the_vets_sheet(adult: CheckedClient, record: Record) -> None:
    record.write(NewLook(signs=(Sign.HIDING,)), at=record.now - timedelta(days=70))
    assert "Signs last 60 days Nothing is written." in seen(adult, f"{TANK}/trouble/vet")


def test_a_helper_gets_the_board_and_not_the_treatment(helper: CheckedClient) -> None:
    for page in ("trouble", "trouble/change", "trouble/treatment", "trouble/vet"):
        assert helper.get(f"{TANK}/{page}").status_code == 403
