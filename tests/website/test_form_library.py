"""The form's schema in a generic form library, in a page of another origin: nothing but the schema
is needed to ask the questions and to get a range."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, Response
from starlette.routing import Route

from tests.clients.generated import TOOLS, installed, run
from tests.given.browsers import Opener, Visit, opened_browser
from tests.given.service_process import free_port, running_service
from tests.given.website_service import made_key, serving

SOURCE = Path(__file__).parent / "form_library.js"
PAGE = """<!doctype html><html lang="en"><title>Another site</title>
<body data-service="http://{service}" data-key="{key}"><div id="form"></div>
<script type="module" src="/form.js"></script></body></html>"""
WRITTEN = {"length": "40", "height": "2.5"}
CHOSEN = {
    "line": "curved", "behind": "level", "in_front": "level", "above": "lawn", "now": "bank",
    "way_in": "drive_in", "water": "runs_off",
}  # fmt: skip
ANSWERED = "() => window.answered"


@dataclass(frozen=True, slots=True)
class Places:
    """The service, and the page of another origin."""

    service: str
    page: str


@pytest.fixture(scope="module")
def opener() -> Iterator[Opener]:
    """A browser."""
    with opened_browser() as opener:
        yield opener


@pytest.fixture(scope="module")
def bundle(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page's script with the library in it; skips where the library isn't installed."""
    packages = installed("TEST_NODE_MODULES", TOOLS / "node_modules")
    if packages is None or not (packages / "@rjsf" / "core").is_dir():
        pytest.skip("Node's packages aren't installed: DEVELOPERS.md, Commands, says how")
    folder = tmp_path_factory.mktemp("library")
    (folder / "node_modules").symlink_to(packages)
    (folder / SOURCE.name).write_text(SOURCE.read_text("utf-8"), "utf-8")
    options = ("--bundle", "--format=esm", '--define:process.env.NODE_ENV="production"')
    made = folder / "made.js"
    esbuild = "node_modules/esbuild/bin/esbuild"
    run(esbuild, SOURCE.name, *options, f"--outfile={made}", "--log-level=error", within=folder)
    return made


@pytest.fixture(scope="module")
def places(bundle: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Places]:
    """A service with a key for the page's origin."""
    folder = tmp_path_factory.mktemp("service")
    settings = {"SERVICE_DATABASE_URL": f"sqlite:///{folder / 'store.sqlite'}"}
    port = free_port()
    key = made_key(settings, f"http://127.0.0.1:{port}")
    with running_service(log=subprocess.DEVNULL, **settings) as (_, at):
        service = f"127.0.0.1:{at}"
        html = PAGE.format(service=service, key=key)
        with serving(page_with(html, bundle), port) as page:
            yield Places(service, page)


def page_with(html: str, bundle: Path) -> Starlette:
    """A page and its script."""

    async def read_page(_request: Request) -> Response:
        return HTMLResponse(html)

    async def read_script(_request: Request) -> Response:
        return FileResponse(bundle, media_type="text/javascript")

    return Starlette(routes=[Route("/", read_page), Route("/form.js", read_script)])


def fields_of(visit: Visit) -> dict[str, Any]:
    """The questions as the page got them, once they are shown."""
    visit.page.locator("form").wait_for()
    found: dict[str, Any] = visit.page.evaluate("() => window.schema.properties")
    return found


def fill(visit: Visit, written: dict[str, str], chosen: dict[str, str]) -> None:
    """Answer each question by the words that it is asked with."""
    fields = fields_of(visit)
    for name, text in written.items():
        visit.page.get_by_label(fields[name]["title"]).fill(text)
    for name, const in chosen.items():
        (title,) = (each["title"] for each in fields[name]["oneOf"] if each["const"] == const)
        visit.page.get_by_label(fields[name]["title"]).select_option(label=title)
    visit.page.get_by_role("button", name="Submit").click()


def test_form_library_asks_every_question(opener: Opener, places: Places) -> None:
    """Each question of the schema has one field, found by its words; a question with choices
    offers these alone, in their order, and what holds unless it is answered is chosen."""
    with opener.visit(f"http://{places.page}/", allowed={places.page, places.service}) as visit:
        for name, field in fields_of(visit).items():
            control = visit.page.get_by_label(field["title"])
            assert control.count() == 1, name
            if "oneOf" in field:
                offered = control.locator("option").all_inner_texts()
                assert [each for each in offered if each] == [
                    each["title"] for each in field["oneOf"]
                ]
        line = visit.page.get_by_label(fields_of(visit)["line"]["title"])
        assert line.locator("option:checked").inner_text() == "Straight"
        assert (visit.refused, visit.errors) == ([], [])


def test_form_library_gets_a_range(opener: Opener, places: Places) -> None:
    """What the library hands over is sent as it is and answered with a range; nobody else is
    asked."""
    with opener.visit(f"http://{places.page}/", allowed={places.page, places.service}) as visit:
        fill(visit, WRITTEN, CHOSEN)
        visit.page.wait_for_function(ANSWERED)
        answered = visit.page.evaluate(ANSWERED)
        assert answered["sent"] == {**WRITTEN, **CHOSEN}
        assert answered["status"] == 200, answered["answer"]
        told = answered["answer"]["range"]
        assert Decimal(0) < Decimal(told["below"]) < Decimal(told["above"])
        assert (visit.refused, visit.errors) == ([], [])


def test_form_library_refuses_what_the_schema_refuses(opener: Opener, places: Places) -> None:
    """A length in words and a question left open are found by the library, before anything is
    sent."""
    with opener.visit(f"http://{places.page}/", allowed={places.page, places.service}) as visit:
        visit.page.locator("form").wait_for()
        visit.page.locator("form").evaluate("form => { form.noValidate = true; }")
        open_left = {name: const for name, const in CHOSEN.items() if name != "water"}
        fill(visit, {**WRITTEN, "length": "about forty"}, open_left)
        faults = visit.page.locator(".errors li")
        faults.first.wait_for()
        found = faults.all_inner_texts()
        assert len(found) == 2
        assert visit.page.evaluate(ANSWERED) is None
