"""Drafts that a large write keeps as what changes: their answers wait, and are made once."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from sqlalchemy import select, update

from service.catalog import Catalog
from service.core import ENGINE_VERSION
from service.core.errors import QuoteFaultsError
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_issue import IssueRequest, issue_drafts
from service.operations.saved.quote_export import export_quotes
from service.operations.saved.saved_quote import read_quote, read_revision
from service.operations.saved.waiting_answers import (
    AnswerNotMadeError,
    make_answers,
    make_next,
    with_answers,
)
from service.storage import Store
from service.storage.packed_pricing import find_packed
from service.storage.quote_filter import QuoteFilter
from service.storage.quote_lists import list_quotes
from service.storage.quote_rows import AnswersWaitingError
from service.storage.quote_tables import QUOTE, QUOTE_MOVE, QUOTE_REVISION
from service.storage.waiting_drafts import find_waiting
from tests.given.repricings import (
    Json,
    catalog_at,
    draft_of,
    issue,
    items_of,
    quote_of,
    run,
    save,
    save_many,
    start,
    yard_request,
)

LIMIT = "service.operations.repricing.repricing_start.MOST_AT_ONCE"


@pytest.fixture
def most_kept_whole(monkeypatch: pytest.MonkeyPatch) -> int:
    """Every write is a large one."""
    monkeypatch.setattr(LIMIT, 0)
    return 0


def write(store: Store, catalog: Catalog, **asked: object) -> str:
    """A preview and its write, whose answers wait; the id of the write."""
    preview = start(store, catalog, **asked).asked.id
    work_off(store, catalog, preview)
    run_id = start(store, catalog, mode="write", preview=preview).asked.id
    work_off(store, catalog, run_id)
    return run_id


def waiting(store: Store) -> tuple[tuple[str, int], ...]:
    """The drafts whose answers wait."""
    with store.read() as connection:
        return find_waiting(connection, limit=1000)


def rows_of(store: Store, quote_id: str) -> list[Json]:
    """Everything that is kept of a quote's revisions, but for its id and moments."""
    with store.read() as connection:
        held, at = QUOTE_REVISION.c.quote_id == quote_id, QUOTE_REVISION.c.revision
        rows = connection.execute(select(QUOTE_REVISION).where(held).order_by(at)).mappings().all()
        pieces = [find_packed(connection, quote_id, row["revision"]) for row in rows]
    left_out = ("quote_id", "created_at")
    kept = [{k: v for k, v in row.items() if k not in left_out} for row in rows]
    return [{**row, "packed": piece} for row, piece in zip(kept, pieces, strict=True)]


def test_make_answers_makes_what_one_by_one_is_kept_at_once(
    store: Store, tmp_path: Path, spring: Catalog, summer: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Request, answer, digest, amounts and packed integers are byte for byte those that a write
    of one quote keeps; so they are when a draft is re-priced again before its answer is made."""
    one, other = (save(store, draft_of(spring, yard_request(feet=33))) for _ in range(2))
    autumn = catalog_at(tmp_path, 3, "1.37")
    for catalog in (summer, autumn):
        write(store, catalog, quotes={"ids": [one]})
        with monkeypatch.context() as patch:
            patch.setattr(LIMIT, 200)
            write(store, catalog, quotes={"ids": [other]})
    assert waiting(store) == ((one, 2), (one, 3))
    make_answers(store, waiting(store), autumn)
    assert rows_of(store, one) == rows_of(store, other)
    assert (quote_of(store, one).revisions, quote_of(store, one).version) == (
        quote_of(store, other).revisions,
        quote_of(store, other).version,
    )


def test_a_large_write_moves_quotes_on_as_a_small_one_does(
    store: Store, tmp_path: Path, spring: Catalog, summer: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where each quote stands after it, and the moves that led there, are those of a write of each
    whole: drafts, prices that are out, and both with drafts of an earlier re-pricing."""
    states = ("draft", "issued")
    asked_for = yard_request(feet=33, engineering={"settled": "by_owner"})
    pairs = [[save(store, draft_of(spring, asked_for)) for _ in range(2)] for _ in range(4)]
    for quote_id in (*pairs[1], *pairs[3]):
        issue(store, quote_id)
    autumn = catalog_at(tmp_path, 3, "1.37")
    with monkeypatch.context() as patch:
        patch.setattr(LIMIT, 200)
        earlier = [*pairs[2], *pairs[3]]
        for catalog, ids in ((summer, earlier), (autumn, [other for _, other in pairs])):
            chosen = {"ids": ids, "states": states}
            write(store, catalog, quotes=chosen, include_issued=True)
    chosen = {"ids": [one for one, _ in pairs], "states": states}
    write(store, autumn, quotes=chosen, include_issued=True)
    assert [quote_id for quote_id, _ in waiting(store)] == sorted(one for one, _ in pairs)
    for one, other in pairs:
        assert standing(store, one) == standing(store, other)
    assert [standing(store, one)[0]["latest_revision"] for one, _ in pairs] == [2, 2, 3, 3]


def standing(store: Store, quote_id: str) -> list[Json]:
    """The row of a quote, those of its moves, the states of its revisions; without ids and its
    number."""
    with store.read() as connection:
        row = connection.execute(select(QUOTE).where(QUOTE.c.id == quote_id)).mappings().one()
        held = select(QUOTE_MOVE).where(QUOTE_MOVE.c.quote_id == quote_id)
        moves = connection.execute(held.order_by(QUOTE_MOVE.c.step)).mappings().all()
    left_out = ("id", "quote_id", "number")
    rows = [{k: v for k, v in each.items() if k not in left_out} for each in (row, *moves)]
    return [*rows, {each.number: each.state for each in quote_of(store, quote_id).revisions}]


def test_lists_and_exports_read_amounts_without_answers(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """Lists, filters, their order and exports of facts hold the new totals while the answers
    wait; without a digest, which there is none of yet. What shows answers has them made."""
    ids = save_many(store, spring, 3)
    items = {item["id"]: item["new_total"] for item in items_of(store, write(store, summer))}
    assert [quote_id for quote_id, _ in waiting(store)] == ids
    lines = b"".join(export_quotes(store, summer, QuoteFilter(), "ndjson")).splitlines()[:-1]
    facts = {line["id"]: line["facts"] for line in map(json.loads, lines)}
    assert {quote_id: each["total"] for quote_id, each in facts.items()} == items
    assert not any("digest" in each for each in facts.values())
    with store.read() as connection:
        with pytest.raises(AnswersWaitingError):
            list_quotes(connection, QuoteFilter(), limit=10, full=True)
        assert len(list_quotes(connection, QuoteFilter(), limit=10)) == 3
    assert len(waiting(store)) == 3
    whole = b"".join(export_quotes(store, summer, QuoteFilter(), "ndjson", full=True))
    for line in map(json.loads, whole.splitlines()[:-1]):
        assert line["answer"]["price"]["total"] == items[line["id"]]
        assert line["facts"]["digest"] == line["answer"]["digest"]
    assert waiting(store) == ()


def test_an_answer_is_made_at_first_read_and_stays(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """What is read first is read ever after, byte for byte, digest and tag of the quote too."""
    quote_id = save_many(store, spring, 1)[0]
    write(store, summer)

    def read(store: Store) -> tuple[bytes, str, str]:
        with store.read() as connection:
            saved = read_revision(connection, quote_id, "latest")
            quote = read_quote(connection, quote_id)
        return saved.answer, saved.head.facts.digest, str(quote.facts.digest)

    version = quote_of(store, quote_id).version
    first = with_answers(store, summer, read)
    assert first[1] == first[2] == json.loads(first[0])["digest"]
    make_answers(store, [(quote_id, 2)], spring)
    assert read(store) == first
    assert quote_of(store, quote_id).version == version


def test_issue_drafts_makes_their_answers_for_good(
    store: Store, spring: Catalog, summer: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Drafts of a large write are issued as those of a small one, to the byte."""
    asked_for = yard_request(feet=33, engineering={"settled": "by_owner"})
    one, other = (save(store, draft_of(spring, asked_for)) for _ in range(2))
    large = write(store, summer, quotes={"ids": [one]})
    monkeypatch.setattr(LIMIT, 200)
    small = write(store, summer, quotes={"ids": [other]})
    asked = IssueRequest.model_validate({"on": "2026-05-04"})
    with store.write() as connection:
        for run_id in (large, small):
            issued = issue_drafts(connection, run_id, asked, store.now(), summer)
            assert (issued.issued, issued.failed) == (1, 0), issued.items
    assert rows_of(store, one) == rows_of(store, other)
    assert rows_of(store, one)[1]["issued_on"] == "2026-05-04"


def test_issue_drafts_says_which_to_name_where_there_are_too_many(
    store: Store, spring: Catalog, summer: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """More drafts than go out at once are refused, with what to name; none has gone out."""
    monkeypatch.setattr("service.operations.repricing.repricing_issue.MOST_ISSUED", 2)
    save_many(store, spring, 3)
    run_id = write(store, summer)
    asked = IssueRequest.model_validate({"on": "2026-05-04"})
    with store.write() as connection, pytest.raises(QuoteFaultsError) as raised:
        issue_drafts(connection, run_id, asked, store.now(), summer)
    (fault,) = raised.value.faults
    assert (fault.code, fault.at) == ("too-long", ("ids",))
    assert fault.message == "the run made 3 drafts, and at most 2 are issued at once"
    assert fault.hint == "name at most 2 in ids; the run's items with `written` have them"
    assert len(waiting(store)) == 3


def test_answers_are_made_though_their_prices_are_gone(
    store: Store, tmp_path: Path, spring: Catalog, summer: Catalog
) -> None:
    """A catalog that has moved on to another revision makes them at the prices of the run."""
    ids = save_many(store, spring, 2)
    run_id = write(store, summer)
    make_answers(store, waiting(store), catalog_at(tmp_path, 9, "3"))
    totals = {item["id"]: item["new_total"] for item in items_of(store, run_id)}
    for quote_id in ids:
        answer = json.loads(rows_of(store, quote_id)[1]["answer"])
        assert answer["price"]["total"] == totals[quote_id]
        assert answer["price_list"] == {"id": "yard", "revision": 2}


def test_an_engine_that_comes_later_names_itself_and_keeps_amounts(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """What an earlier engine left is made under the name of the one that makes it; where that
    finds another total, the draft stays without an answer until it is re-priced once more."""
    sound, other = save_many(store, spring, 2)
    write(store, summer)
    held = QUOTE_REVISION.c
    with store.write() as connection:
        connection.execute(update(QUOTE_REVISION).where(held.revision == 2).values(priced_by="0"))
        wrong = update(QUOTE_REVISION).where(held.revision == 2, held.quote_id == other)
        connection.execute(wrong.values(total_minor=held.total_minor + 1))
    with pytest.raises(AnswerNotMadeError, match=f"revision 2 of {other}.* once more"):
        make_answers(store, [(other, 2)], summer)
    assert make_next(store, summer) == (other, 2)
    assert waiting(store) == ((other, 2),)
    assert rows_of(store, sound)[1]["priced_by"] == ENGINE_VERSION
    with store.write() as connection:
        connection.execute(update(QUOTE_REVISION).where(held.revision == 2).values(price_list="y"))
    again = run(store, summer, quotes={"ids": [other], "price_list": "y"})
    done = run(store, summer, mode="write", preview=again.id)
    assert done.counts.failed == 0
    assert waiting(store) == ((other, 2),)
    assert json.loads(rows_of(store, other)[2]["answer"])["priced_by"] == ENGINE_VERSION
