"""`demo`: from nothing to a priced wall over HTTP, and an orderly end."""

import http.client
import json
import os
import re
import shlex
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from service.cli import demo
from service.cli.app import app
from service.cli.loopback import ServiceStartError, open_port

# A proxy that answers nothing: the demo has no business with it.
ENVIRONMENT = {**os.environ, "http_proxy": "http://127.0.0.1:9", "HTTP_PROXY": "http://127.0.0.1:9"}


@pytest.mark.no_cover  # others run the same lines
def test_demo_once_shows_a_priced_wall() -> None:
    """In a process of its own: the priced table, the pages, exit code 0, nothing on stderr."""
    command = [sys.executable, "-m", "service", "demo", "--once", "--port", "0"]
    done = subprocess.run(
        command, capture_output=True, text=True, timeout=60, env=ENVIRONMENT, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    answer = json.loads(
        demo.example_path().with_name("garden_wall.response.json").read_text(encoding="utf-8")
    )
    assert answer["title"] in done.stdout
    assert re.search(rf"^total +{re.escape(answer['price']['total'])}$", done.stdout, re.MULTILINE)
    assert done.stdout.index("\nPRICE") < done.stdout.index("\nQUANTITIES")
    last = done.stdout.splitlines()[-1]
    assert all(page in last for page in ("/docs", "/redoc", "/openapi.json", "curl -s "))


def test_demo_quotes_a_whole_job_that_passes() -> None:
    """What a contractor sees first is complete, with digging, hauling and sod; its wall passes this
    first look, and a dozen cautions at most stand beside those of every job."""
    answer = json.loads(
        demo.example_path().with_name("garden_wall.response.json").read_text(encoding="utf-8")
    )
    assert answer["price"]["complete"] is True
    items = {line["item"] for line in answer["price"]["lines"]}
    assert {"haul_off", "sod", "crew_hour"} <= items
    assert not [each for each in answer["checks"] if each["status"] == "fail"]
    assert "passes this first look" in answer["screening"]["summary"][0]
    assert len(answer["cautions"]) <= 12
    assert len(answer["always"]) <= 6


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_demo_serves_until_it_is_ended(tmp_path: Path, end: signal.Signals) -> None:
    """The curl line it prints works as pasted, from anywhere; it ends in order, with 0."""
    command = [sys.executable, "-u", "-m", "service", "demo", "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=tmp_path) as running:
        assert running.stdout
        line = next(line for line in running.stdout if line.startswith("For programmers: "))
        words = shlex.split(line[line.index("curl ") :])
        host, _, path = words[2].removeprefix("http://").partition("/")
        body = Path(words[words.index("--data-binary") + 1].removeprefix("@")).read_bytes()
        name, _, value = words[words.index("-H") + 1].partition(": ")
        connection = http.client.HTTPConnection(host, timeout=20)
        connection.request("POST", f"/{path}", body, {name: value})
        assert connection.getresponse().status == 200
        connection.close()
        assert any(line.startswith("Ctrl-C") for line in running.stdout)
        running.send_signal(end)
        assert running.wait(timeout=30) == 0


def test_demo_says_when_its_port_is_taken() -> None:
    """A port that was asked for and is taken ends the demo with 1 and the reason."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        done = CliRunner().invoke(app, ["demo", "--once", "--port", str(port)])
    assert (done.exit_code, done.stdout) == (1, "")
    assert f"port {port} of 127.0.0.1 can't be used" in done.stderr


def test_demo_says_when_its_example_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the folder of examples there is nothing to post."""
    monkeypatch.setattr(demo, "find_spec", lambda _name: None)
    done = CliRunner().invoke(app, ["demo", "--once", "--port", "0"])
    assert done.exit_code == 1
    assert "openapi/" in done.stderr


def test_demo_says_when_its_example_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An answer that is a problem is told and ends the demo with 1."""
    example = tmp_path / "none.json"
    example.write_text('{"a": 1, "a": 2}', encoding="utf-8")
    monkeypatch.setattr(demo, "example_path", lambda: example)
    done = CliRunner().invoke(app, ["demo", "--once", "--port", "0"])
    assert done.exit_code == 1
    assert "the key 'a' is given twice" in done.stderr


def test_open_port_takes_the_next_free_one() -> None:
    """Where the first port is taken a later one is used; where none is free it says which."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with open_port(port, attempts=200) as other:
            assert other.getsockname()[1] > port
        with pytest.raises(ServiceStartError, match=str(port)):
            open_port(port)
