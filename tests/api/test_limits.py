"""Price ranges an hour, by address and over all, counted in one place for all processes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from service.api.admission.peers import caller_address
from service.api.app import create_app
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store
from tests.given.api_keys import bearer, new_key
from tests.given.quote_requests import Json, read
from tests.given.served import BASE_URL

URL = "/v1/website/price-range"
NOTHING: Json = {}


class Hours:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = 1_777_900_000

    def __call__(self) -> int:
        """Seconds since 1970."""
        return self.now


@contextmanager
def service(
    catalog: Catalog, store: Store, limits: tuple[int, int], proxies: tuple[str, ...] = ()
) -> Iterator[TestClient]:
    """A client of a service with limits, which comes from 192.0.2.1."""
    settings = Settings(price_range_limits=limits, trusted_proxies=proxies)  # type: ignore[arg-type]
    app = create_app(settings, catalog, store)
    with TestClient(app, base_url=BASE_URL, client=("192.0.2.1", 5000)) as client:
        yield client


def test_price_ranges_are_counted_by_address_and_over_all(catalog: Catalog, store: Store) -> None:
    """Refused requests count too, those beyond the limit don't; after an hour there is room."""
    clock = Hours()
    store = replace(store, now=clock)
    key = bearer(new_key(store, "website")[1])
    with service(catalog, store, (2, 600)) as client:
        for left in (1, 0):
            answer = client.post(URL, json=NOTHING, headers=key)
            assert answer.status_code == 422
            policy = '"address";q=2;w=3600, "all";q=600;w=3600'
            assert answer.headers["ratelimit-policy"] == policy
            assert answer.headers["ratelimit"].startswith(f'"address";r={left};t=')
            clock.now += 600
        refused = client.post(URL, json=NOTHING, headers=key)
        assert (refused.status_code, read(refused)["code"]) == (429, "rate-limited")
        assert refused.headers["retry-after"] == "2400"
        assert refused.headers["ratelimit"].startswith('"address";r=0;t=2400')
        assert client.get("/v1/website/form", headers=key).status_code == 200
        clock.now += 2400
        assert client.post(URL, json=NOTHING, headers=key).status_code == 422
        assert client.post(URL, json=NOTHING, headers=key).status_code == 429


def test_calls_of_a_clock_that_was_set_back_count_for_an_hour(
    catalog: Catalog, store: Store
) -> None:
    """2026-11-29. Calls that were counted while the clock was a day ahead count as made when it is
    set right: no more are let in, and within the hour there is room."""
    clock = Hours()
    store = replace(store, now=clock)
    key = bearer(new_key(store, "website")[1])
    with service(catalog, store, (2, 600)) as client:
        clock.now += 86_400
        assert [client.post(URL, json=NOTHING, headers=key).status_code for _ in "12"] == [422, 422]
        clock.now -= 86_400
        refused = client.post(URL, json=NOTHING, headers=key)
        assert (refused.status_code, refused.headers["retry-after"]) == (429, "3600")
        clock.now += 3600
        assert client.post(URL, json=NOTHING, headers=key).status_code == 422


def test_processes_count_together(catalog: Catalog, store: Store) -> None:
    """Two services on one database take as many calls together as one of them."""
    key = bearer(new_key(store, "website")[1])
    with service(catalog, store, (0, 3)) as one, service(catalog, store, (0, 3)) as other:
        taken = [
            each.post(URL, json=NOTHING, headers=key).status_code
            for each in (one, other, one, other, one)
        ]
    assert taken == [422, 422, 422, 429, 429]


def test_forged_addresses_are_one_caller(catalog: Catalog, store: Store) -> None:
    """A caller's own word of where he comes from counts for nothing."""
    key = bearer(new_key(store, "website")[1])
    with service(catalog, store, (5, 0)) as client:
        answers = [
            client.post(
                URL, json=NOTHING, headers={**key, "X-Forwarded-For": f"203.0.113.{number}"}
            ).status_code
            for number in range(12)
        ]
    assert answers == [422] * 5 + [429] * 7


def test_a_trusted_proxy_tells_where_callers_come_from(catalog: Catalog, store: Store) -> None:
    """What the proxy adds counts, what the caller wrote before it doesn't."""
    key = bearer(new_key(store, "website")[1])
    with service(catalog, store, (1, 0), ("192.0.2.0/24",)) as client:
        for told, expected in (
            ("203.0.113.1", 422),
            ("203.0.113.1", 429),
            ("198.51.100.9, 203.0.113.1", 429),
            ("203.0.113.2", 422),
        ):
            sent = {**key, "X-Forwarded-For": told}
            assert client.post(URL, json=NOTHING, headers=sent).status_code == expected, told


@pytest.mark.parametrize(
    ("peer", "told", "expected"),
    [
        ("203.0.113.7", "", "203.0.113.7"),
        ("203.0.113.7", "6.6.6.6", "203.0.113.7"),
        ("10.0.0.1", "6.6.6.6", "6.6.6.6"),
        ("10.0.0.1", "6.6.6.6, 10.0.0.9", "6.6.6.6"),
        ("10.0.0.1", "<script>, 6.6.6.6", "6.6.6.6"),
        ("10.0.0.1", "<script>", "10.0.0.1"),
        ("10.0.0.1", "", "10.0.0.1"),
        ("2001:db8:1:2:3:4:5:6", "", "2001:db8:1:2::/64"),
        ("::ffff:203.0.113.7", "", "203.0.113.7"),
    ],
)
def test_caller_address_reads_what_trusted_proxies_add(peer: str, told: str, expected: str) -> None:
    """The last address that no trusted proxy vouches for; of IPv6 what one site has to itself."""
    headers = [(b"x-forwarded-for", told.encode())] if told else []
    trusted = Settings(trusted_proxies=("10.0.0.0/8",)).trusted_proxies  # type: ignore[arg-type]
    assert caller_address({"client": (peer, 1), "headers": headers}, trusted) == expected
