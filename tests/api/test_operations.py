"""The table of operations: whose key each one asks for, and what no table may say."""

from dataclasses import replace
from typing import cast, get_args

import pytest
from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from service.api.app import OPERATIONS
from service.api.bodies import MAX_BODY_BYTES, MAX_FILE_BYTES
from service.api.form_body import MOST_FORM_BYTES
from service.api.operation import Body, Operation, Scope
from service.api.table import Table

# By hand: `quotes` may do what `field` may, and nothing else contains anything. Costs, rates and
# terms are nothing for the field; whoever keeps prices reads what prices went into.
SCOPES: dict[str, str] = {
    "field": "quote_walls quote_batch compare_quotes list_wall_systems read_wall_system "
    "list_sections read_section list_soils read_soil list_materials read_material list_site_work "
    "read_site_work list_screening_bases read_screening_basis list_loads read_load "
    "list_jurisdictions read_jurisdiction",
    "field quotes": "make_document read_quote_document",
    "quotes": "save_quote revise_saved_quote set_quote_state put_quote_customer "
    "read_quote_customer put_quote_metadata read_quote_metadata put_quote_notes "
    "read_quote_notes put_quote_actuals make_link list_links "
    "end_link list_leads read_lead delete_lead quote_lead",
    "website": "read_website_form estimate_price_range",
    "prices": "publish_price_list read_column_mapping save_column_mapping import_price_file "
    "create_repricing cancel_repricing",
    "quotes prices": "list_production_rates read_production_rates list_terms read_terms "
    "list_price_lists list_price_list_revisions read_price_list_revision "
    "read_latest_price_list_revision "
    "read_price_list_difference list_repricings read_repricing list_repricing_items "
    "export_saved_quotes list_saved_quotes read_saved_quote read_quote_state "
    "list_quote_revisions read_quote_revision read_revision_quote read_revision_answer "
    "read_quote_actuals read_recomputation "
    "read_quote_difference issue_repricing",
    "field quotes prices admin": "list_events",
    "admin": "reload_catalog erase_quote_customer list_api_keys make_api_key read_api_key "
    "end_api_key rotate_api_key read_metrics create_webhook list_webhooks "
    "read_webhook replace_webhook end_webhook rotate_webhook_secret test_webhook "
    "list_webhook_deliveries redeliver_to_webhook",
    "public": "read_live read_ready list_problems read_problem read_openapi read_docs "
    "read_reference read_docs_file read_home read_website_script read_website_page "
    "send_website_page read_link answer_link read_link_pdf read_link_receipt",
}


async def answer(_request: Request) -> Response:
    """A handler."""
    return Response()


def row(scopes: tuple[Scope, ...] = ("field",), path: str = "/v1/x", id_: str = "x") -> Operation:
    """A row of the table."""
    return Operation(method="GET", path=path, handler=answer, scopes=scopes, id=id_)


def test_operations_ask_for_the_scopes_of_the_plan() -> None:
    """Each operation can be called with keys of its scopes, and of no other."""
    planned = {id_: tuple(scopes.split()) for scopes, ids in SCOPES.items() for id_ in ids.split()}
    assert {each.id: each.scopes for each in OPERATIONS} == planned


def test_operation_without_a_scope_is_none() -> None:
    """An operation that doesn't say whose key may call it can't be made, so nothing starts."""
    with pytest.raises(TypeError, match="scopes"):
        Operation(method="GET", path="/v1/x", handler=answer)  # type: ignore[call-arg]
    for scopes in cast("tuple[tuple[Scope, ...], ...]", ((), ("everybody",), ("quotes", "public"))):
        with pytest.raises(ValueError, match="/v1/x"):
            row(scopes=scopes)
    assert [row(scopes=(scope,)).scopes for scope in get_args(Scope)]


def test_operation_refuses_what_follows_from_what_it_takes() -> None:
    """A body can be of the wrong type, a parameter unknown, an id too; the rest is its own."""
    plain = row(scopes=("public",))
    always = {400, 403, 406, 413, 429, 431, 500}
    assert set(plain.problems) == always
    assert set(replace(plain, body=Body(shapes={})).problems) == always | {415, 422}
    assert set(replace(plain, scopes=("field",)).problems) == always | {401, 422}
    assert set(replace(plain, path="/v1/{id}").problems) == always | {404}
    assert set(replace(plain, refuses=(503, 507)).problems) == always | {503, 507}


def test_table_finds_an_address_with_its_methods() -> None:
    """A plain address comes before one with an id; what is no address is nothing."""
    table = Table(
        [
            row(path="/v1/x/{id}", id_="one"),
            replace(row(path="/v1/x/{id}", id_="end"), method="DELETE"),
            replace(row(path="/v1/x/export", id_="export"), form="chosen"),
            replace(row(path="/files/{file:path}", id_="file"), form="file"),
        ]
    )
    one = table.find("/v1/x/a-b")
    assert one is not None
    assert (one.path, set(one.operations)) == ("/v1/x/{id}", {"GET", "DELETE"})
    export = table.find("/v1/x/export")
    assert export is not None
    assert export.form == "chosen"
    below = table.find("/files/a/b.js")
    assert below is not None
    assert below.form == "file"
    assert [table.find(path) for path in ("/v1/x", "/v1/x/", "/v1/x/a/b", "/V1/x/a")] == [None] * 4


def test_table_refuses_rows_that_stand_against_each_other() -> None:
    """Two rows of one id or one method at one address, and two forms at one address, are errors."""
    one = row()
    for other in (
        replace(one, path="/v1/y"),
        replace(one, id="other"),
        replace(one, id="other", method="POST", form="page"),
    ):
        with pytest.raises(ValueError, match=r"one id|/v1/x"):
            Table([one, other])


def test_table_bounds_bodies_by_the_row() -> None:
    """A file may have 16 MiB where one is taken, a website's form 64 KiB, a link's 8 KiB, any
    other body 1 MiB."""
    bounds = {}
    for operation in OPERATIONS:
        place = OPERATIONS.find(operation.path.replace("{", "").replace("}", ""))
        assert place is not None
        bounds[place.path] = place.most_bytes
    large = [path for path, most in bounds.items() if most == MAX_FILE_BYTES]
    assert large == ["/v1/price-lists/{id}/imports"]
    plain = {path: most for path, most in bounds.items() if most < MAX_BODY_BYTES}
    assert plain == {"/website/{id}": MOST_FORM_BYTES, "/q/{token}": 8 * 1024}
    assert set(bounds.values()) - set(plain.values()) == {MAX_BODY_BYTES, MAX_FILE_BYTES}


def test_application_serves_the_table_and_nothing_else(app: FastAPI) -> None:
    """Every route comes from a row, and every row has its route, in the order of the table."""
    routes = [route for route in app.routes if isinstance(route, Route)]
    assert len(routes) == len(app.routes)
    served = [(tuple(route.methods or ()), route.path, route.name) for route in routes]
    assert served == [((each.method,), each.path, each.id) for each in OPERATIONS]
