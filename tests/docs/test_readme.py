"""The README's text, followed: its request, its answer, its wall system."""

import copy
import json
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner

from service.api.app import create_app
from service.catalog import load_catalog
from service.cli.app import app
from service.jobs import add_to
from service.settings import Settings
from tests.given.catalogs import shipped_catalog

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "README.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
SETUP, TESTS, REQUEST, FOLLOWED, *MORE = re.findall(
    r"^```sh\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL
)
(SHOWN,) = re.findall(r"^```json\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
(TOML,) = re.findall(r"^```toml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
LINKS = sorted(set(re.findall(r"\]\(([^)]+)\)", PAGE)))
(FILE,) = re.findall(r"Save this as `([^`]+)`", PAGE)


def ask(words: list[str], *folders: Path) -> dict[str, Any]:
    """The answer to a curl command, from the service over the catalog with these folders."""
    _, address, path = re.split(r"(http://127\.0\.0\.1:8000)", words[2])
    (name, value) = words[words.index("-H") + 1].split(": ")
    body = words[words.index("-d") + 1].encode()
    service = create_app(Settings.model_construct(), load_catalog(folders))
    with TestClient(service, base_url=address) as client:
        response = client.post(path, content=body, headers={name: value})
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def holds(answer: object, shown: object) -> bool:
    """Whether an answer has all that is shown of it; of a list the first entries may be shown."""
    if isinstance(shown, dict) and isinstance(answer, dict):
        return all(key in answer and holds(answer[key], shown[key]) for key in shown)
    if isinstance(shown, list) and isinstance(answer, list):
        return len(shown) <= len(answer) and all(map(holds, answer, shown))
    return answer == shown


@pytest.fixture(scope="module")
def answer() -> dict[str, Any]:
    """The answer to the README's request."""
    words = shlex.split(REQUEST)
    assert words[:2] == ["curl", "-s"]
    return ask(words)


def test_readme_sets_up_with_two_commands() -> None:
    """One line starts the demo from nothing, one runs the tests; both use the pinned files."""
    assert SETUP.count("\n") == TESTS.count("\n") == 1
    assert SETUP.startswith("python3 -m venv .venv && ")
    assert SETUP.endswith(" -m service demo\n")
    assert "--require-hashes -r .locks/runtime.txt" in SETUP
    assert "--require-hashes -r .locks/dev.txt" in TESTS


def test_readme_head_fits_on_a_screen() -> None:
    """What it is, what for, both commands and the license come before anything else, in few words
    and in sentences of at most 45."""
    head = PAGE.split("\n## ", 1)[0]
    prose = re.sub(r"```.*?```", "", head, flags=re.DOTALL)
    assert len(head.splitlines()) <= 25
    assert len(prose.split()) <= 300
    assert max(len(sentence.split()) for sentence in re.split(r"[.:]\s", prose)) <= 45
    assert f"License: {PROJECT['license']}" in head
    assert "(.licenses/LICENSE)" in head


def test_readme_shows_the_answer_to_its_request(answer: dict[str, Any]) -> None:
    """Every field shown is in the answer, as shown; the text says what is left out."""
    shown = json.loads(SHOWN)
    assert holds(answer, shown)
    assert f"one of {len(answer['quantities'])} quantities" in PAGE
    assert f"one of {len(answer['price']['lines'])} price lines" in PAGE
    assert len(shown["quantities"]) == len(shown["price"]["lines"]) == 1


def test_holds_sees_what_differs() -> None:
    """The comparison fails where a value, a key or an entry is not in the answer."""
    assert holds({"a": [1, 2], "b": 3}, {"a": [1]})
    assert not holds({"a": [1]}, {"a": [1, 2]})
    assert not holds({"a": "1.0"}, {"a": "1"})
    assert not holds({"a": 1}, {"b": 1})


def test_readme_adds_a_wall_system_in_ten_lines() -> None:
    """The file is ten lines, and its name is its id."""
    assert len(TOML.splitlines()) == 10
    assert f'id = "{Path(FILE).stem}"\n' in TOML


def test_readme_wall_system_is_checked_and_quoted(tmp_path: Path) -> None:
    """The commands under the file work as they stand: the check counts it, the quote uses it."""
    path = tmp_path / FILE
    path.parent.mkdir(parents=True)
    path.write_text(TOML, encoding="utf-8")
    script = FOLLOWED.replace(".venv/bin/python", shlex.quote(sys.executable))
    done = subprocess.run(
        ["/bin/sh", "-e", "-c", script],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    shipped = len(shipped_catalog().wall_systems)
    assert f"{shipped + 1} wall_systems" in done.stdout
    # 24 ft / 16 in = 18 units a course; 24 in exposed + 6 in buried / 6 in = 5 courses: 90.
    assert re.search(r"^Patio block, 6 in high.* 90 each +5 % +95 each", done.stdout, re.MULTILINE)


def test_readme_wall_system_is_quoted_over_http(tmp_path: Path) -> None:
    """The same request gets the same count from the service with that folder."""
    path = tmp_path / FILE
    path.parent.mkdir(parents=True)
    path.write_text(TOML, encoding="utf-8")
    _, _, rest = FOLLOWED.partition("<<'JSON'\n")
    body, _, _ = rest.partition("\nJSON\n")
    words = shlex.split(REQUEST)
    words[words.index("-d") + 1] = body
    (item, *_) = ask(words, tmp_path / Path(FILE).parts[0])["quantities"]
    assert (item["item"], item["net"]["value"], item["order"]["value"]) == ("patio_6in", "90", "95")


@pytest.mark.parametrize("path", LINKS)
def test_readme_links_lead_somewhere(path: str) -> None:
    """Every page that is named to read on is there."""
    assert (ROOT / path).exists()


def test_readme_names_commands_and_options_that_are_there() -> None:
    """What is shown of price lists, re-pricing and workers is what the command line offers."""
    calls = re.findall(r"-m service ((?:[a-z]+(?=[ \n]) ?)+)([^\n]*)", "".join(MORE))
    options: dict[str, set[str]] = {}
    for words, rest in calls:
        found = re.findall(r"--[a-z]+", rest.partition("#")[0])
        options.setdefault(words.strip(), set()).update(found)
    assert len(options) >= 6
    whole = copy.copy(app)
    whole.registered_commands = [*app.registered_commands]
    add_to(whole)
    for words, named in options.items():
        shown = CliRunner().invoke(whole, [*words.split(), "--help"], env={"COLUMNS": "200"})
        assert shown.exit_code == 0, (words, shown.stderr)
        assert named <= set(re.findall(r"--[a-z]+", shown.stdout)), words
