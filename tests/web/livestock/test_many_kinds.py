"""A tank with many kinds of animals: pages stay short, and nothing is left out."""

from app.domain.drafts import NewStockEvent
from app.domain.records import StockEventKind
from app.knowledge.load import load
from app.services.livestock import animals
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.visits import seen

KINDS = 12
PAGE = "/tank/1/fish-and-plants"


def fill(record: Record) -> None:
    """One animal each of many kinds from all over the list."""
    listed = list(load().species.values())
    for species in listed[:: len(listed) // KINDS][:KINDS]:
        with record.database.writing() as session:
            group = animals.add_group(
                session,
                record.tank_id,
                species.common_name,
                adult_cm=species.adult_tl_cm,
                species=species.scientific_name,
            )
        record.write(NewStockEvent(what=StockEventKind.ARRIVED, group_id=group, count=1))


def test_clashes_beyond_the_first_have_pages_of_their_own(
    adult: CheckedClient, record: Record
) -> None:
    fill(record)
    # the page checker refuses what is over 60 KB
    front = adult.get(PAGE).text
    assert f'href="{PAGE}/clashes"' in front

    said, start = 0, 0
    while True:
        page = adult.get(f"{PAGE}/clashes?start={start}").text
        said += page.count("<b>Conflict.</b>") + page.count("<b>Caution.</b>")
        start += 20
        if f"start={start}" not in page:
            break
    assert f"All {said} of them" in front


def test_the_plan_says_the_gravest_and_how_many_more(adult: CheckedClient, record: Record) -> None:
    fill(record)
    assert "more clashes stand on Fish and plants." in seen(adult, "/tank/1/to-do")
