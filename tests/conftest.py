"""What holds for every test: no network beyond this machine, and how long properties search.

Properties are repeatable by default (`ci`). To search further:
`--hypothesis-profile dev` tries new examples each time, `--hypothesis-profile deep` many.
"""

import ipaddress
import sys
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, is_hypothesis_test, settings

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
    max_examples=50,
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


def refuse_other_machines(event: str, args: tuple[object, ...]) -> None:
    """Stop a call that would leave this machine; sockets that are files may go on."""
    if event == "socket.getaddrinfo":
        host = args[0]
    elif event in {"socket.connect", "socket.sendto"} and isinstance(args[1], tuple):
        host = args[1][0]
    else:
        return
    if not is_this_machine(host):
        raise NetworkUseError(f"a test may not reach {host}")


sys.addaudithook(refuse_other_machines)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark properties `no_cover`: they run the same lines many times, and traced it takes three
    times as long. What takes minutes begins first, so that nothing waits for it at the end."""
    for item in items:
        if isinstance(item, pytest.Function) and is_hypothesis_test(item.obj):
            item.add_marker(pytest.mark.no_cover)
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


@pytest.fixture(scope="session", autouse=True)
def own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test touches the database of whoever runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield
