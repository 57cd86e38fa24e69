"""A call of each operation that stores, ready to be sent, and what is told of it."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final, get_args

from httpx2 import Response
from starlette.testclient import TestClient

from service.api.app import create_app
from service.api.dependencies import CatalogShelf
from service.catalog import Catalog
from service.operations.callers.caller import COMMAND_LINE, LOOPBACK, KeyScope
from service.operations.callers.key_request import KeyRequest
from service.operations.callers.keys import make_key
from service.settings import Settings
from service.storage import Store
from service.storage.events import Event, EventType, find_kept, list_events
from tests.given.links import garden
from tests.given.price_files import csv_file
from tests.given.price_requests import NEAR
from tests.given.repricings import draft_of, save, start, yard_request
from tests.given.saved_quotes import URL, Keeper, small_request
from tests.given.served import BASE_URL, NOTHING_YET, Here
from tests.given.visitors import asked

DEPOT: Final = "/v1/price-lists/depot"
HOOKS: Final = "/v1/webhooks"
HOOK: Final = {"url": "https://crm.example/hooks", "types": ["quote.saved"]}
QUARRY: Final = "/v1/price-lists/quarry"
KEYS: Final = "/v1/api-keys"
RUNS: Final = "/v1/repricings"
CUSTOMER: Final = {"name": "Unforgotten Person", "email": "person@customer.example"}
LEAD: Final = {**CUSTOMER, "consent": True}
TYPES: Final = get_args(EventType)
FILE: Final = csv_file("item,unit_cost,per", "block,7.10,each", "gravel,34.00,yd3")


@dataclass(frozen=True, kw_only=True)
class Ask:
    """A call as it is sent, however often; `by` is whom it is told by."""

    method: str
    path: str
    json: Any = None
    content: bytes | None = None
    headers: Mapping[str, str] = field(default_factory=dict)
    by: str = LOOPBACK.by

    def seeing(self, tag: str) -> Ask:
        """The same call, on what stands by now under an ETag."""
        kept = {name: value for name, value in self.headers.items() if not name.startswith("If-")}
        return replace(self, headers={**kept, "If-Match": tag})

    def send(self, client: TestClient, **headers: str) -> Response:
        """Send it; an underscore in the name of a further header stands for a dash."""
        more = {name.replace("_", "-"): value for name, value in headers.items()}
        given = {"content": self.content} if self.content is not None else {"json": self.json}
        sent = {**self.headers, **more}
        return client.request(self.method, self.path, headers=sent, **given)


@dataclass(frozen=True)
class Office:
    """A service over a store and the catalog of the summer, with quotes of the spring; a reload
    finds the catalog of the spring."""

    store: Store
    spring: Catalog
    summer: Catalog
    keeper: Keeper

    @classmethod
    def over(
        cls, store: Store, spring: Catalog, summer: Catalog, secret_file: Path | None = None
    ) -> Office:
        """An office that nothing was asked of so far. Webhooks need a file for their secrets."""
        changed = {"price_range_limits": (0, 0), "secret_file": str(secret_file or "")}
        settings = Settings.model_construct().model_copy(update=changed)
        app = create_app(settings, summer, store)
        app.state.door = Here()
        app.state.shelf = CatalogShelf(summer, lambda: spring)
        keeper = Keeper(summer, store)
        keeper.client = TestClient(app, base_url=BASE_URL)
        return cls(store, spring, summer, keeper)

    @property
    def client(self) -> TestClient:
        """Who asks."""
        return self.keeper.client

    def told(self, since: int = 0) -> tuple[Event, ...]:
        """The events after a number."""
        with self.store.read() as connection:
            last = find_kept(connection).last
            return list_events(connection, after=since, until=last, types=TYPES, limit=10_000)

    def last(self) -> int:
        """The number of the last event."""
        with self.store.read() as connection:
            return find_kept(connection).last


def saving(_office: Office) -> Ask:
    """A new quote with everything that may stand beside it."""
    body = {"quote": small_request(reference="job-1"), "customer": CUSTOMER, "notes": "Call first."}
    return Ask(method="POST", path=URL, json={**body, "metadata": {"crm_id": "CRM-4711"}})


def revising(office: Office) -> Ask:
    """A further revision."""
    return _on_quote(office, "POST", "/revisions", {"quote": small_request(title="Again")})


def moving(office: Office) -> Ask:
    """A draft goes out."""
    return _on_quote(office, "POST", "/state", {"state": "issued", "on": "2026-05-05"})


def naming(office: Office) -> Ask:
    """Whom a quote is for."""
    return _on_quote(office, "PUT", "/customer", CUSTOMER)


def labelling(office: Office) -> Ask:
    """What a caller keeps beside it."""
    return _on_quote(office, "PUT", "/metadata", {"metadata": {"crm_id": "CRM-4711"}})


def noting(office: Office) -> Ask:
    """Notes."""
    return _on_quote(office, "PUT", "/notes", {"notes": "Call first."})


def erasing(office: Office) -> Ask:
    """A customer that is named."""
    return _on_quote(office, "DELETE", "/customer", None, customer=CUSTOMER)


def finishing(office: Office) -> Ask:
    """What an accepted job took."""
    quote_id = office.keeper.save()["id"]
    office.keeper.moved(quote_id, "issued", "accepted")
    path = f"{URL}/{quote_id}/revisions/1/actuals"
    body = {"quantities": {"block": "200"}}
    return Ask(method="PUT", path=path, json=body, headers=office.keeper.seen(quote_id))


def previewing(office: Office) -> Ask:
    """Two quotes of the spring on the prices of the summer, which leave less than is wanted."""
    _save_two(office)
    return Ask(method="POST", path=RUNS, json={"price_list": "yard", "margin_floor": "0.19"})


def cancelling(office: Office) -> Ask:
    """A run that nobody works on."""
    _save_two(office)
    return Ask(method="DELETE", path=f"{RUNS}/{start(office.store, office.summer).asked.id}")


def issuing(office: Office) -> Ask:
    """The two drafts that a run wrote."""
    _save_two(office)
    preview = office.client.post(RUNS, json={"price_list": "yard"}).json()["id"]
    run = office.client.post(RUNS, json={"mode": "write", "preview": preview}).json()["id"]
    return Ask(method="POST", path=f"{RUNS}/{run}/issue", json={"on": "2026-05-05"})


def publishing(_office: Office) -> Ask:
    """The first revision of a list."""
    return Ask(method="POST", path=f"{DEPOT}/revisions", json=NEAR, headers=NOTHING_YET)


def mapping(_office: Office) -> Ask:
    """How the columns of a list's files are read."""
    body = {"columns": {"item": "article"}}
    return Ask(method="PUT", path=f"{DEPOT}/column-mapping", json=body, headers=NOTHING_YET)


def importing(office: Office) -> Ask:
    """A file with other costs than those of the list, which was previewed."""
    first = Ask(method="POST", path=f"{QUARRY}/revisions", json=NEAR, headers=NOTHING_YET)
    etag = first.send(office.client).headers["etag"]
    head = {"Content-Type": "text/csv"}
    path = f"{QUARRY}/imports?effective_from=2026-06-01"
    shown = Ask(method="POST", path=path, content=FILE, headers=head).send(office.client).json()
    path = f"{path}&mode=write&preview={shown['preview']}"
    return Ask(method="POST", path=path, content=FILE, headers={**head, "If-Match": etag})


def reloading(_office: Office) -> Ask:
    """Other files than before."""
    return Ask(method="POST", path="/v1/catalog/reload")


def making_a_key(office: Office) -> Ask:
    """One more key, by who may make keys."""
    body = {"name": "crm", "scopes": ["quotes"]}
    return _by_admin(office, "POST", "", body)


def changing_a_key(office: Office) -> Ask:
    """A new secret for a key."""
    return _by_admin(office, "POST", f"/{new_key(office, 'quotes')[0]}/rotate", {})


def ending_a_key(office: Office) -> Ask:
    """The end of a key."""
    return _by_admin(office, "DELETE", f"/{new_key(office, 'quotes')[0]}", None)


def new_key(office: Office, *scopes: KeyScope) -> tuple[str, dict[str, str]]:
    """A key made on the command line: its id, and the head of a call that shows it."""
    with office.store.write() as connection:
        request = KeyRequest(name="a key", scopes=scopes)
        made = make_key(connection, office.store, request, by=COMMAND_LINE.by)
    office.client.app.state.key_ring.forget()  # type: ignore[attr-defined]
    key = json.loads(made.body)
    return key["id"], {"Authorization": f"Bearer {key['key']}"}


def linking(office: Office) -> Ask:
    """A link to an offer that is out."""
    path = f"{URL}/{_garden(office)}/revisions/1/links"
    return Ask(method="POST", path=path, json={"kind": "customer_quote"})


def unlinking(office: Office) -> Ask:
    """The end of a link."""
    ask = linking(office)
    link = ask.send(office.client).json()["id"]
    return Ask(method="DELETE", path=f"{ask.path}/{link}")


def visiting(_office: Office) -> Ask:
    """A visitor of a website who leaves how he can be reached."""
    return Ask(method="POST", path="/v1/website/price-range", json=asked(LEAD), by="website")


def quoting_a_lead(office: Office) -> Ask:
    """A quote made of what a visitor left."""
    return Ask(method="POST", path=f"{_lead(office)}/quote")


def erasing_a_lead(office: Office) -> Ask:
    """What a visitor left, erased."""
    return Ask(method="DELETE", path=_lead(office))


def _lead(office: Office) -> str:
    answer = visiting(office).send(office.client)
    return f"/v1/leads/{answer.json()['reference']}"


def _garden(office: Office) -> str:
    quote_id: str = office.keeper.save(garden(), customer=CUSTOMER)["id"]
    office.keeper.moved(quote_id, "issued")
    return quote_id


def hooking(_office: Office) -> Ask:
    """An address that events are sent to."""
    return Ask(method="POST", path=HOOKS, json=HOOK)


def changing_a_hook(office: Office) -> Ask:
    """Other events than so far."""
    path = _hook(office)
    seen = {"If-Match": office.client.get(path).headers["etag"]}
    return Ask(method="PUT", path=path, json={**HOOK, "types": ["lead.received"]}, headers=seen)


def ending_a_hook(office: Office) -> Ask:
    """Nothing is sent any more."""
    return Ask(method="DELETE", path=_hook(office))


def sealing_a_hook(office: Office) -> Ask:
    """A new secret."""
    return Ask(method="POST", path=f"{_hook(office)}/rotate", json={})


def trying_a_hook(office: Office) -> Ask:
    """A message that says nothing."""
    return Ask(method="POST", path=f"{_hook(office)}/test")


def sending_again(office: Office) -> Ask:
    """A message once more."""
    ask = trying_a_hook(office)
    delivery = ask.send(office.client).json()["id"]
    path = ask.path.replace("/test", f"/deliveries/{delivery}/redeliver")
    return Ask(method="POST", path=path)


def _hook(office: Office) -> str:
    return f"{HOOKS}/{hooking(office).send(office.client).json()['id']}"


def _by_admin(office: Office, method: str, below: str, body: Any) -> Ask:  # noqa: ANN401
    by, headers = new_key(office, "admin")
    return Ask(method=method, path=f"{KEYS}{below}", json=body, headers=headers, by=by)


def _on_quote(office: Office, method: str, below: str, body: Any, **beside: Any) -> Ask:  # noqa: ANN401
    quote_id = office.keeper.save(**beside)["id"]
    seen = office.keeper.seen(quote_id)
    return Ask(method=method, path=f"{URL}/{quote_id}{below}", json=body, headers=seen)


def _save_two(office: Office) -> None:
    for _ in range(2):
        request = yard_request(engineering={"settled": "by_owner"})
        save(office.store, draft_of(office.spring, request))


# By hand, in the order of the document: what each call of an operation that stores is told as.
STORING: Final[Mapping[str, tuple[Callable[[Office], Ask], tuple[EventType, ...]]]] = {
    "save_quote": (saving, ("quote.saved",)),
    "revise_saved_quote": (revising, ("quote.changed",)),
    "set_quote_state": (moving, ("quote.state_changed",)),
    "put_quote_customer": (naming, ("quote.changed",)),
    "erase_quote_customer": (erasing, ("customer.erased",)),
    "put_quote_metadata": (labelling, ("quote.changed",)),
    "put_quote_notes": (noting, ("quote.changed",)),
    "put_quote_actuals": (finishing, ("quote.changed",)),
    "create_repricing": (previewing, ("repricing.finished", "repricing.under_margin")),
    "cancel_repricing": (cancelling, ("repricing.finished",)),
    "issue_repricing": (issuing, ("quote.state_changed", "quote.state_changed")),
    "publish_price_list": (publishing, ("price_list.revision_published",)),
    "save_column_mapping": (mapping, ("mapping.changed",)),
    "import_price_file": (importing, ("price_list.revision_published",)),
    "reload_catalog": (reloading, ("catalog.reloaded",)),
    "make_link": (linking, ("link.made",)),
    "end_link": (unlinking, ("link.ended",)),
    "estimate_price_range": (visiting, ("lead.received",)),
    "quote_lead": (quoting_a_lead, ("quote.saved",)),
    "delete_lead": (erasing_a_lead, ()),
    "create_webhook": (hooking, ("webhook.changed",)),
    "replace_webhook": (changing_a_hook, ("webhook.changed",)),
    "end_webhook": (ending_a_hook, ("webhook.changed",)),
    "rotate_webhook_secret": (sealing_a_hook, ("webhook.changed",)),
    # What is sent is no change of what is stored.
    "test_webhook": (trying_a_hook, ()),
    "redeliver_to_webhook": (sending_again, ()),
    "make_api_key": (making_a_key, ("key.made",)),
    "end_api_key": (ending_a_key, ("key.ended",)),
    "rotate_api_key": (changing_a_key, ("key.made",)),
}
# What is sent and keeps nothing.
STATELESS: Final = frozenset({"quote_walls", "quote_batch", "compare_quotes", "make_document"})
# What takes no key is the same however often it is sent.
UNKEYED: Final = frozenset(
    {
        "erase_quote_customer",
        "cancel_repricing",
        "reload_catalog",
        "end_api_key",
        "end_link",
        "delete_lead",
        "end_webhook",
    }
)
# What people send by a form is answered by a page: tests/api/links/, test_website_page.py.
ANSWERED_BY_PAGES: Final = frozenset({"answer_link", "send_website_page"})
# What takes a key; from then on every other call does, too.
OF_KEYS: Final = frozenset({"make_api_key", "end_api_key", "rotate_api_key"})
