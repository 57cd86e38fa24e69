"""The first page once there are keys: it asks for one, keeps it in memory, and begins then."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.storage import Store
from tests.given.api_keys import new_key
from tests.given.browsers import Opener, opened_browser
from tests.given.service_process import running_service


@pytest.fixture(scope="module")
def opener() -> Iterator[Opener]:
    """A browser."""
    with opened_browser() as opener:
        yield opener


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str, str]]:
    """The place of a service with keys, one for quotes and one for the field."""
    url = f"sqlite:///{tmp_path_factory.mktemp('keyed') / 'store.sqlite'}"
    store = Store.open(url)
    store.migrate()
    keys = [new_key(store, scope)[1] for scope in ("quotes", "field")]
    store.close()
    with running_service(log=subprocess.DEVNULL, SERVICE_DATABASE_URL=url) as (_, port):
        yield f"127.0.0.1:{port}", keys[0], keys[1]


@pytest.mark.parametrize("width", [360, 1280])
def test_page_asks_for_a_key_first(
    opener: Opener, keyed: tuple[str, str, str], width: int, tmp_path: Path
) -> None:
    """By keyboard: nothing but the question is there, a wrong key is told so, a good one opens
    the page with a price; a new visit asks again."""
    place, key, _ = keyed
    with opener.visit(f"http://{place}/", allowed={place}, width=width) as visit:
        assert not visit.page.is_visible("#work")
        assert visit.broken_rules() == []
        assert visit.overflow() == 0
        visit.tab_to("key")
        visit.write("wqkey_none")
        visit.press("Enter")
        visit.page.wait_for_selector("text=This takes a key")
        visit.page.fill("#key", key)
        visit.press("Enter")
        visit.page.wait_for_selector("#total:has-text('USD')")
        visit.page.wait_for_selector("#drawings img")
        assert visit.broken_rules() == []
        visit.page.screenshot(path=tmp_path / f"first_page_{width}.png", full_page=True)
        visit.page.reload()
        assert not visit.page.is_visible("#work")
        assert visit.page.input_value("#key") == ""
        assert (visit.refused, visit.errors) == ([], [])


def test_page_shows_the_field_no_money(opener: Opener, keyed: tuple[str, str, str]) -> None:
    """With a key for the field there are drawings and what to heed, and no price."""
    place, _, key = keyed
    with opener.visit(f"http://{place}/", allowed={place}) as visit:
        visit.page.fill("#key", key)
        visit.press("Enter")
        visit.page.wait_for_selector("#drawings img")
        assert visit.page.inner_text("#total") == ""
        assert visit.page.inner_text("#price") == ""
        assert "USD" not in visit.page.inner_text("#work")
        assert visit.errors == []
