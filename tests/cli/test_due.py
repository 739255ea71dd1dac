"""`due`: the same list as the To do page, with its evidence."""

import json
from datetime import timedelta

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.services import tasks
from tests.cli.conftest import Run
from tests.record import ALL_FINE, MONDAY, Record, reading


def test_the_list_is_the_one_of_the_to_do_page(run: Run, record: Record) -> None:
    record.write(ALL_FINE)
    with record.database.reading() as session:
        _, evaluation = tasks.look(session, now=MONDAY)[record.tank_id]
    told = run("due").stdout
    assert evaluation.tasks
    at = [told.index(task.action.title) for task in evaluation.tasks]
    assert at == sorted(at), "in the same order"
    assert evaluation.state.word in told
    for task in evaluation.tasks:
        for finding in task.findings:
            assert finding.reason in told
            assert finding.clears_when in told


def test_evidence_tells_what_when_and_whose_hands(run: Run, record: Record) -> None:
    record.write(NewTest(), reading(Quantity.NITRATE, 60.0), by=record.otter)
    told = run("due").stdout
    assert "Nitrate 60" in told
    assert "2027-02-08 08:41-05:00, Otter" in told


def test_json_holds_the_same_tasks_with_the_entries_they_rest_on(run: Run, record: Record) -> None:
    saved = record.write(NewTest(), reading(Quantity.NITRATE, 60.0))
    (tank,) = json.loads(run("due", "--json").stdout)
    assert tank["tank"] == "Brook"
    assert tank["as_of"] == "2027-02-08T08:41-05:00"
    findings = [f for task in tank["tasks"] for f in task["findings"]]
    nitrate = next(f for f in findings if f["rule"] == "water.nitrate")
    assert nitrate["severity"] == "act"
    assert saved.entry_id in [e["entry"] for e in nitrate["evidence"]]
    assert nitrate["limits"]
    assert nitrate["clears_when"]


def test_a_past_moment_shows_what_was_known_then(run: Run, record: Record) -> None:
    record.write(NewTest(), reading(Quantity.NITRATE, 60.0))
    assert "Nitrate" not in run("due", "--at", "2027-02-07T08:00").stdout
    later = (MONDAY + timedelta(days=1)).isoformat()
    assert "Nitrate is 60" in run("due", "--at", later).stdout


def test_one_tank_is_asked_for_by_name_however_it_is_typed(run: Run, record: Record) -> None:
    assert run("due", "--tank", " bROOK ").stdout.startswith("Brook: ")


def test_a_tank_that_is_not_there_is_answered_with_those_that_are(run: Run, record: Record) -> None:
    refused = run("due", "--tank", "Lake")
    assert refused.exit_code == 1
    assert "There is no tank Lake. Tanks here: Brook." in refused.stderr


def test_what_is_no_moment_is_refused(run: Run, record: Record) -> None:
    for text in ("tomorrow", "2027-02-30", "2027-03-14T02:30"):
        refused = run("due", "--at", text)
        assert refused.exit_code == 1
        assert "no moment" in refused.stderr
