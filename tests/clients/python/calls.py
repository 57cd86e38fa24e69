"""Every JSON call of the service, by the client that openapi-python-client makes of its document.

Each operation that was answered well is printed by its id; anything else ends the run. The client
is made as the package `made`: `python calls.py ADDRESS KEY README_REQUEST KEPT_REFERENCE…`.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import sys
from collections.abc import Callable
from typing import Any, Protocol, TypeVar

from made import AuthenticatedClient as Client
from made.api.catalog import (
    list_jurisdictions,
    list_loads,
    list_materials,
    list_production_rates,
    list_screening_bases,
    list_sections,
    list_site_work,
    list_soils,
    list_terms,
    list_wall_systems,
    read_jurisdiction,
    read_load,
    read_material,
    read_production_rates,
    read_screening_basis,
    read_section,
    read_site_work,
    read_soil,
    read_terms,
    read_wall_system,
    reload_catalog,
)
from made.api.documents import make_document, read_quote_document
from made.api.events import list_events
from made.api.health import read_live, read_metrics, read_ready
from made.api.keys import (
    end_api_key,
    list_api_keys,
    make_api_key,
    read_api_key,
    rotate_api_key,
)
from made.api.leads import delete_lead, list_leads, quote_lead, read_lead
from made.api.links import end_link, list_links, make_link
from made.api.prices import (
    import_price_file,
    list_price_list_revisions,
    list_price_lists,
    publish_price_list,
    read_column_mapping,
    read_latest_price_list_revision,
    read_price_list_difference,
    read_price_list_revision,
    save_column_mapping,
)
from made.api.quotes import compare_quotes, quote_batch, quote_walls
from made.api.re_pricings import (
    cancel_repricing,
    create_repricing,
    issue_repricing,
    list_repricing_items,
    list_repricings,
    read_repricing,
)
from made.api.saved_quotes import (
    erase_quote_customer,
    list_quote_revisions,
    list_saved_quotes,
    put_quote_actuals,
    put_quote_customer,
    put_quote_metadata,
    put_quote_notes,
    read_quote_actuals,
    read_quote_customer,
    read_quote_difference,
    read_quote_metadata,
    read_quote_notes,
    read_quote_revision,
    read_quote_state,
    read_recomputation,
    read_revision_answer,
    read_revision_quote,
    read_saved_quote,
    revise_saved_quote,
    save_quote,
    set_quote_state,
)
from made.api.webhooks import (
    create_webhook,
    end_webhook,
    list_webhook_deliveries,
    list_webhooks,
    read_webhook,
    redeliver_to_webhook,
    replace_webhook,
    rotate_webhook_secret,
    test_webhook,
)
from made.api.website import estimate_price_range, read_website_form
from made.models import (
    ActualsRequest,
    AlternativeRequest,
    BatchItems,
    BatchQuote,
    ChangesRequest,
    ColumnMapping,
    ColumnsBody,
    ComparisonRequest,
    CustomerRequest,
    DocumentRequest,
    FieldQuoteRequest,
    ImportPreview,
    ImportPriceFileFormat,
    IssueRequest,
    KeptPriceAnswer,
    KeyRequest,
    LinkItemPage,
    LinkMadeAnswer,
    LinkRequest,
    LinkRequestKind,
    MadeWebhook,
    MakeDocumentFormat,
    MakeDocumentKind,
    MetadataRequest,
    NewKeyAnswer,
    NotesRequest,
    PriceAnswer,
    PriceRangeRequest,
    Problem,
    Quotation,
    QuoteAnswer,
    QuoteRequest,
    RangeAnswer,
    ReadQuoteDocumentFormat,
    ReadQuoteDocumentKind,
    ReadWebsiteFormResponse200,
    ReloadCatalogBody,
    RepricingRequest,
    RevisionAnswer,
    RevisionRequest,
    RotateRequest,
    SavedQuoteAnswer,
    SavedQuoteAnswerPage,
    SavedQuoteRequest,
    SecretRotation,
    StateRequest,
    StateRequestState,
    WebhookDelivery,
    WebhookRequest,
    WholeRequest,
)
from made.types import File, Response

T = TypeVar("T")
LIST = "own_yard"
NOTHING_YET = "*"


class HasId(Protocol):
    """An entry of the catalog."""

    id: str


def told(operation: str, response: Response[T]) -> T:
    """The answer of a call that went well, whose operation is printed."""
    answer = response.parsed
    if response.status_code >= 300 or isinstance(answer, Problem):
        raise SystemExit(f"{operation}: {response.status_code} {response.content!r}")
    print(operation)
    if answer is None and response.status_code != 204:
        raise SystemExit(f"{operation}: nothing could be read")
    return answer  # type: ignore[return-value]


def tag_of(response: Response[Any]) -> str:
    """The ETag of an answer."""
    return response.headers["etag"]


def quotes(client: Client, request: QuoteRequest) -> None:
    """Quote, in all three ways."""
    quote = told("quote_walls", quote_walls.sync_detailed(client=client, body=request))
    assert isinstance(quote, QuoteAnswer)
    assert isinstance(quote.price, PriceAnswer)
    total: str = quote.price.total
    both: list[FieldQuoteRequest | QuoteRequest] = [request, request]
    batch = told("quote_batch", quote_batch.sync_detailed(client=client, body=both))
    assert isinstance(batch, BatchItems)
    for item in batch.items:
        assert isinstance(item, BatchQuote)
        assert isinstance(item.quote, QuoteAnswer)
        assert isinstance(item.quote.price, PriceAnswer)
        assert item.quote.price.total == total
    comparison = ComparisonRequest(
        quote=request, alternatives=[AlternativeRequest(wall_system="garden_6in")]
    )
    told("compare_quotes", compare_quotes.sync_detailed(client=client, body=comparison))
    wrong = QuoteRequest.from_dict({**request.to_dict(), "wall_system": "none_such"})
    refused = quote_walls.sync(client=client, body=wrong)
    assert isinstance(refused, Problem)
    assert refused.code == "unknown-wall-system"


def prices(client: Client) -> None:
    """Publish, change, map, import, read."""
    whole = WholeRequest.from_dict(
        {
            "currency": "USD",
            "effective_from": "2026-01-01",
            "items": {
                "block": {"unit_cost": "6.85", "per": "each", "supplier": "Yard"},
                "gravel": {"unit_cost": "33.00", "per": "yd3"},
            },
        }
    )
    first = publish_price_list.sync_detailed(
        LIST, client=client, body=whole, if_none_match=NOTHING_YET
    )
    told("publish_price_list", first)
    raised = ChangesRequest.from_dict(
        {
            "effective_from": "2026-02-01",
            "changes": [{"set": {"gravel": {"unit_cost": "34.00", "per": "yd3"}}}],
        }
    )
    second = publish_price_list.sync_detailed(
        LIST, client=client, body=raised, if_match=tag_of(first)
    )
    told("publish_price_list", second)
    mapping = ColumnMapping(columns=ColumnsBody(item="Article", unit_cost="Net"))
    saved = save_column_mapping.sync_detailed(
        LIST, client=client, body=mapping, if_none_match=NOTHING_YET
    )
    told("save_column_mapping", saved)
    told("read_column_mapping", read_column_mapping.sync_detailed(LIST, client=client))
    imported = import_price_file.sync_detailed(
        LIST,
        client=client,
        body=File(payload=io.BytesIO(b"Article,Net,per\nblock,7.10,each\n")),
        effective_from=dt.date(2026, 3, 1),
        format_=ImportPriceFileFormat.CSV,
    )
    preview = told("import_price_file", imported)
    assert isinstance(preview, ImportPreview)
    assert preview.changed_total == 1
    told("list_price_lists", list_price_lists.sync_detailed(client=client, limit=2))
    told("list_price_list_revisions", list_price_list_revisions.sync_detailed(LIST, client=client))
    one = read_price_list_revision.sync_detailed(LIST, "2", client=client)
    told("read_price_list_revision", one)
    latest = read_latest_price_list_revision.sync_detailed(LIST, client=client)
    told("read_latest_price_list_revision", latest)
    difference = read_price_list_difference.sync_detailed(LIST, "1", "2", client=client)
    told("read_price_list_difference", difference)


def saved_quotes(client: Client, request: QuoteRequest, low: QuoteRequest) -> None:
    """Keep a quote, revise it, move it, say whom it is for and what it took, read it all."""
    body = SavedQuoteRequest(quote=request, customer=CustomerRequest(name="A. Buyer"))
    kept = save_quote.sync_detailed(client=client, body=body, idempotency_key="first-save")
    saved = told("save_quote", kept)
    assert isinstance(saved, SavedQuoteAnswer)
    id_ = saved.id
    latest = read_quote_revision.sync_detailed(id_, "latest", client=client)
    revision = told("read_quote_revision", latest)
    assert isinstance(revision, RevisionAnswer)
    assert isinstance(revision.answer.price, KeptPriceAnswer)
    assert revision.answer.price.total == saved.facts.total
    revised = revise_saved_quote.sync_detailed(
        id_, client=client, body=RevisionRequest(quote=low), if_match=tag_of(latest)
    )
    told("revise_saved_quote", revised)
    for state in (StateRequestState.ISSUED, StateRequestState.ACCEPTED):
        now = read_quote_state.sync_detailed(id_, client=client)
        told("read_quote_state", now)
        move = StateRequest(state=state, on=dt.date(2026, 5, 6))
        moved = set_quote_state.sync_detailed(id_, client=client, body=move, if_match=tag_of(now))
        told("set_quote_state", moved)
    customer = read_quote_customer.sync_detailed(id_, client=client)
    told("read_quote_customer", customer)

    def match() -> str:
        """The one ETag for everything that changes the quote."""
        now = read_saved_quote.sync_detailed(id_, client=client)
        told("read_saved_quote", now)
        return tag_of(now)

    other = CustomerRequest(name="B. Buyer", phone="555-0100")
    put = put_quote_customer.sync_detailed(id_, client=client, body=other, if_match=match())
    told("put_quote_customer", put)
    metadata = MetadataRequest.from_dict({"metadata": {"crm": "8841"}})
    beside = put_quote_metadata.sync_detailed(id_, client=client, body=metadata, if_match=match())
    told("put_quote_metadata", beside)
    told("read_quote_metadata", read_quote_metadata.sync_detailed(id_, client=client))
    notes = put_quote_notes.sync_detailed(
        id_, client=client, body=NotesRequest(notes="Call first."), if_match=match()
    )
    told("put_quote_notes", notes)
    told("read_quote_notes", read_quote_notes.sync_detailed(id_, client=client))
    links(client, id_)
    took = ActualsRequest.from_dict({"hours": {"set_units": "31.5"}})
    actuals = put_quote_actuals.sync_detailed(id_, "2", client=client, body=took, if_match=match())
    told("put_quote_actuals", actuals)
    told("read_quote_actuals", read_quote_actuals.sync_detailed(id_, "2", client=client))
    read_kept(client, id_)


def links(client: Client, id_: str) -> None:
    """Show the crew's sheet to whoever has its address, and close it."""
    body = LinkRequest(kind=LinkRequestKind.CREW_SHEET)
    made = told("make_link", make_link.sync_detailed(id_, "2", client=client, body=body))
    assert isinstance(made, LinkMadeAnswer)
    assert "/q/" in str(made.url)
    listed = told("list_links", list_links.sync_detailed(id_, "2", client=client))
    assert isinstance(listed, LinkItemPage)
    assert [link.id for link in listed.items] == [made.id]
    told("end_link", end_link.sync_detailed(id_, "2", made.id, client=client))
    told("erase_quote_customer", erase_quote_customer.sync_detailed(id_, client=client))


def papers(client: Client, low: QuoteRequest) -> None:
    """Put a quote on paper, as data."""
    paper = make_document.sync_detailed(
        MakeDocumentKind.CUSTOMER_QUOTE,
        client=client,
        body=DocumentRequest(quote=low),
        format_=MakeDocumentFormat.JSON,
    )
    offered = told("make_document", paper)
    assert isinstance(offered, Quotation)
    assert offered.materials_only


def read_kept(client: Client, id_: str) -> None:
    """Read a saved quote and its revisions in every way."""
    told("list_saved_quotes", list_saved_quotes.sync_detailed(client=client, limit=50))
    told("list_quote_revisions", list_quote_revisions.sync_detailed(id_, client=client))
    told("read_revision_quote", read_revision_quote.sync_detailed(id_, "1", client=client))
    told("read_revision_answer", read_revision_answer.sync_detailed(id_, "1", client=client))
    told("read_recomputation", read_recomputation.sync_detailed(id_, "1", client=client))
    told("read_quote_difference", read_quote_difference.sync_detailed(id_, "1", "2", client=client))
    paper = read_quote_document.sync_detailed(
        id_,
        "2",
        ReadQuoteDocumentKind.CUSTOMER_QUOTE,
        client=client,
        format_=ReadQuoteDocumentFormat.JSON,
    )
    told("read_quote_document", paper)


def kept_by_releases(client: Client, references: list[str]) -> None:
    """Read what older releases kept; the reference says which."""
    for reference in references:
        page = list_saved_quotes.sync(client=client, reference=reference)
        assert isinstance(page, SavedQuoteAnswerPage)
        revision = read_quote_revision.sync(page.items[0].id, "1", client=client)
        assert isinstance(revision, RevisionAnswer), reference
        answer, request = revision.answer, revision.quote
        assert isinstance(answer.price, KeptPriceAnswer)
        assert f"kept-{answer.engine_version}" == reference
        assert answer.walls[0].name
        assert answer.price.lines[0].cost
        assert request.walls[0].plan
        print(f"{reference} {answer.price.total}")


def repricings(client: Client) -> None:
    """Preview a re-pricing and read it."""
    body = RepricingRequest(price_list="demo_2026", margin_floor="0.10")
    run = told("create_repricing", create_repricing.sync_detailed(client=client, body=body))
    assert not isinstance(run, Problem)
    told("read_repricing", read_repricing.sync_detailed(run.id, client=client))
    told("list_repricings", list_repricings.sync_detailed(client=client))
    told("list_repricing_items", list_repricing_items.sync_detailed(run.id, client=client))
    issue = IssueRequest(on=dt.date(2026, 5, 6))
    nothing = issue_repricing.sync(run.id, client=client, body=issue)
    assert isinstance(nothing, Problem)
    assert nothing.status == 409
    print("issue_repricing")
    over = cancel_repricing.sync(run.id, client=client)
    assert isinstance(over, Problem)
    assert over.code == "repricing-finished"
    print("cancel_repricing")


def entries(
    names: tuple[str, str], page: Response[Any], read: Callable[..., Response[Any]], client: Client
) -> None:
    """A list of a kind, and its first entry."""
    first: HasId = told(names[0], page).items[0]
    told(names[1], read(first.id, client=client))


def catalog(client: Client) -> None:
    """Read every kind of entry, and whether the service lives."""
    kinds = (
        (list_soils, read_soil),
        (list_wall_systems, read_wall_system),
        (list_sections, read_section),
        (list_materials, read_material),
        (list_production_rates, read_production_rates),
        (list_site_work, read_site_work),
        (list_terms, read_terms),
        (list_screening_bases, read_screening_basis),
        (list_loads, read_load),
        (list_jurisdictions, read_jurisdiction),
    )
    for listing, reading in kinds:
        names = (listing.__name__.rpartition(".")[2], reading.__name__.rpartition(".")[2])
        entries(names, listing.sync_detailed(client=client), reading.sync_detailed, client)
    body = ReloadCatalogBody()
    told("reload_catalog", reload_catalog.sync_detailed(client=client, body=body))
    told("list_events", list_events.sync_detailed(client=client))
    told("read_live", read_live.sync_detailed(client=client))
    told("read_ready", read_ready.sync_detailed(client=client))
    told("read_metrics", read_metrics.sync_detailed(client=client))


def keys(client: Client) -> None:
    """Make a key, change its secret, end it."""
    body = KeyRequest.from_dict({"name": "crew", "scopes": ["field"]})
    made = told("make_api_key", make_api_key.sync_detailed(client=client, body=body))
    assert isinstance(made, NewKeyAnswer)
    assert str(made.key).startswith("wqkey_")
    told("read_api_key", read_api_key.sync_detailed(made.id, client=client))
    told("list_api_keys", list_api_keys.sync_detailed(client=client))
    changed = RotateRequest(overlap="0d")
    told("rotate_api_key", rotate_api_key.sync_detailed(made.id, client=client, body=changed))
    told("end_api_key", end_api_key.sync_detailed(made.id, client=client))


def webhooks(client: Client) -> None:
    """Make a webhook, change it and its secret, send a test, end it."""
    asked = {"url": "https://crm.example/hooks", "types": ["quote.saved"]}
    body = WebhookRequest.from_dict(asked)
    made = told("create_webhook", create_webhook.sync_detailed(client=client, body=body))
    assert isinstance(made, MadeWebhook)
    assert str(made.secret).startswith("whsec_")
    read = read_webhook.sync_detailed(made.id, client=client)
    told("read_webhook", read)
    told("list_webhooks", list_webhooks.sync_detailed(client=client))
    replaced = replace_webhook.sync_detailed(
        made.id, client=client, body=body, if_match=tag_of(read)
    )
    told("replace_webhook", replaced)
    rotated = rotate_webhook_secret.sync_detailed(
        made.id, client=client, body=SecretRotation(overlap="0d")
    )
    told("rotate_webhook_secret", rotated)
    test = told("test_webhook", test_webhook.sync_detailed(made.id, client=client))
    assert isinstance(test, WebhookDelivery)
    sent = list_webhook_deliveries.sync_detailed(made.id, client=client)
    told("list_webhook_deliveries", sent)
    again = redeliver_to_webhook.sync_detailed(made.id, test.id, client=client)
    told("redeliver_to_webhook", again)
    told("end_webhook", end_webhook.sync_detailed(made.id, client=client))


def website(client: Client, address: str) -> None:
    """Ask as a website does, and make a quote of what a visitor left."""
    body = KeyRequest.from_dict(
        {
            "name": "website",
            "scopes": ["website"],
            "website": "demo_site",
            "origins": ["https://www.example.com"],
        }
    )
    made = make_api_key.sync_detailed(client=client, body=body).parsed
    assert isinstance(made, NewKeyAnswer)
    visitor = Client(base_url=address, token=str(made.key))
    form = told("read_website_form", read_website_form.sync_detailed(client=visitor))
    assert isinstance(form, ReadWebsiteFormResponse200)
    answers = {
        "length": "40",
        "height": "3",
        "behind": "level",
        "in_front": "level",
        "above": "lawn",
        "now": "bank",
        "way_in": "drive_in",
        "water": "runs_off",
    }
    lead = {"email": "a.example@example.com", "consent": True}
    asked = PriceRangeRequest.from_dict(
        {"form_version": form.form_version, "answers": answers, "lead": lead}
    )
    ranged = estimate_price_range.sync_detailed(client=visitor, body=asked)
    answer = told("estimate_price_range", ranged)
    assert isinstance(answer, RangeAnswer)
    id_ = str(answer.reference)
    told("read_lead", read_lead.sync_detailed(id_, client=client))
    told("list_leads", list_leads.sync_detailed(client=client))
    told("quote_lead", quote_lead.sync_detailed(id_, client=client))
    told("delete_lead", delete_lead.sync_detailed(id_, client=client))


def main(address: str, key: str, readme: str, references: list[str]) -> None:
    """Make all calls."""
    client = Client(base_url=address, token=key)
    request = QuoteRequest.from_dict(json.loads(readme))
    plain = {"station": "0 ft", "top": "2 ft", "front_grade": "0 ft"}
    wall = {
        "plan": [{"kind": "straight", "length": "20 ft"}],
        "profile": [plain, {**plain, "station": "end"}],
    }
    # Material alone for a low wall: complete, and nothing in it calls for an engineer.
    changed = {"walls": [wall], "materials_only": True, "issued_on": "2026-05-05"}
    low = QuoteRequest.from_dict({**request.to_dict(), **changed})
    quotes(client, request)
    prices(client)
    saved_quotes(client, request, low)
    papers(client, low)
    kept_by_releases(client, references)
    repricings(client)
    keys(client)
    webhooks(client)
    website(client, address)
    catalog(client)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], sys.argv[3], sys.argv[4:])
