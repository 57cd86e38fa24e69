"""What holds for every test: no network beyond this machine, and how long properties search.

Properties are repeatable by default (`ci`). To search further:
`--hypothesis-profile dev` tries new examples each time, `--hypothesis-profile deep` many.
"""

import functools
import gc
import ipaddress
import os
import socket
from collections.abc import Callable, Generator, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, is_hypothesis_test, settings

TESTS = Path(__file__).parent
# Folders whose tests start processes, servers and browsers, or go by what others have tested.
UNTRACED = frozenset(
    {
        "answers",
        "clients",
        "deploy",
        "docs",
        "faults",
        "fuzzing",
        "jobs",
        "jobs_by_hand",
        "leaks",
        "mutants",
    }
    | {"openapi", "server", "supply", "website"}
)
# Helpers assert, too.
pytest.register_assert_rewrite("tests.given")
# Fixtures that tests of several folders use.
pytest_plugins = [
    "tests.given.stores",
    "tests.given.catalogs",
    "tests.given.served",
    "tests.given.releases",
]

settings.register_profile(
    "ci",
    derandomize=True,
    max_examples=30,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("dev", max_examples=100, deadline=None)
settings.register_profile("deep", max_examples=2_000, deadline=None)
settings.load_profile("ci")


class NetworkUseError(AssertionError):
    """A test reached for another machine."""


def is_this_machine(host: object) -> bool:
    """Tell whether a host name or address is a loopback one."""
    name = host.decode() if isinstance(host, bytes) else str(host)
    if name in {"localhost", "", "None"}:
        return True
    try:
        return ipaddress.ip_address(name).is_loopback
    except ValueError:
        return False


def guard(owner: object, name: str, host_in: Callable[..., object]) -> None:
    """Let calls stop that would leave this machine. Not by an audit hook: while one runs no other
    thread may begin to be traced, and one that tries dies."""
    real: Callable[..., object] = getattr(owner, name)

    @functools.wraps(real)
    def call(*arguments: object, **options: object) -> object:
        if not is_this_machine(host := host_in(*arguments, **options)):
            raise NetworkUseError(f"a test may not reach {host}")
        return real(*arguments, **options)

    setattr(owner, name, call)


def host_called(*arguments: object) -> object:
    """The host in the address that a socket is given last; sockets that are files have none."""
    address = arguments[-1]
    return address[0] if isinstance(address, tuple) else None


def host_looked_up(host: object, *_arguments: object, **_options: object) -> object:
    """The host whose addresses are looked up."""
    return host


guard(socket, "getaddrinfo", host_looked_up)
for method in ("connect", "connect_ex", "sendto"):
    guard(socket.socket, method, host_called)


def is_untraced(item: pytest.Item) -> bool:
    """Whether a test runs lines that others run as well, or in processes of their own: properties
    run the same ones many times, and what a PostgreSQL server is asked for, SQLite is too."""
    folder = item.path.relative_to(TESTS).parts[0]
    many = isinstance(item, pytest.Function) and is_hypothesis_test(item.obj)
    return folder in UNTRACED or many or item.get_closest_marker("postgresql") is not None


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark `no_cover` what is not to be traced: it would take two to four times as long. What
    takes minutes begins first, so that nothing waits for it at the end."""
    for item in filter(is_untraced, items):
        item.add_marker(pytest.mark.no_cover)
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


def pytest_collection_finish() -> None:
    """What was collected stays to the end: the collector of garbage need not look at it often."""
    gc.set_threshold(10_000, 20, 50)


# A process that runs tests is to be traced once, by what pauses where a test is `no_cover`: neither
# by what its command line begins, nor by what the variable for processes begins.
@pytest.hookimpl(optionalhook=True)
def pytest_xdist_setupnodes() -> None:
    """Begin no process that runs tests with the variable; it sets its own for what it starts."""
    os.environ.pop("COVERAGE_PROCESS_CONFIG", None)


def pytest_configure(config: pytest.Config) -> None:
    """Stop what the command line began: one takes its place that tells its process's name."""
    plugin = config.pluginmanager.getplugin("_cov")
    if hasattr(config, "workerinput") and plugin and plugin.cov_controller:
        plugin.cov_controller.cov.stop()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Trace no process that an untraced test starts."""
    with pytest.MonkeyPatch.context() as patch:
        if item.get_closest_marker("no_cover"):
            patch.delenv("COVERAGE_PROCESS_CONFIG", raising=False)
        return (yield)


@pytest.fixture(scope="session", autouse=True)
def own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test touches the database of whoever runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield
