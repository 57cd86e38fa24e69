"""The client that openapi-python-client makes: nothing left out, type-checked, and every call.

`wrong.py` marks lines that mypy must refuse; a mark on a line that it takes is a fault itself.
"""

import re
import shutil
import sys
from pathlib import Path

import pytest

from tests.clients.generated import (
    HERE,
    KEPT,
    TOOLS,
    assert_all_called,
    installed,
    readme_request,
    run,
    service_with_kept,
    write_document,
)

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# What the generator can't do and says: lines, and files other than octets. The operations have
# another form that it can.
LEFT_OUT = {
    "Unsupported content type application/x-ndjson",
    "Unsupported content type text/csv",
    "Unsupported content type application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "Cannot parse response for status code 200 (Unsupported content_type {",
}
SAID = re.compile(
    r"^(Unsupported content type \S+|Cannot parse [^{]*\{|Unable to .*|.*not be generated.*)",
    re.MULTILINE,
)


@pytest.fixture(scope="module")
def python(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A folder with the made client, and the interpreter it runs in; skips where that isn't."""
    environment = installed("TEST_CLIENTS_ENVIRONMENT", TOOLS / "python")
    if environment is None:
        pytest.skip("the generator isn't installed: DEVELOPERS.md, Commands, says how")
    folder = tmp_path_factory.mktemp("python")
    for name in ("calls.py", "wrong.py"):
        shutil.copy(HERE / "python" / name, folder / name)
    said = run(
        environment / "bin" / "openapi-python-client",
        *("generate", "--path", write_document(folder), "--output-path", folder / "made"),
        *("--meta", "none", "--config", HERE / "python" / "config.yml"),
        within=folder,
        warnings=True,
    )
    assert set(SAID.findall(said)) == LEFT_OUT, said
    return folder, environment / "bin" / "python"


def test_client_has_types(python: tuple[Path, Path]) -> None:
    """The calls type-check strictly against the made client, wrong prices in maps don't."""
    folder, interpreter = python
    (folder / "mypy.ini").write_text(
        "[mypy]\nstrict = True\n[mypy-made.client]\nignore_errors = True\n", encoding="utf-8"
    )
    run(
        *(sys.executable, "-m", "mypy", "--config-file", "mypy.ini"),
        *("--python-executable", interpreter, "calls.py", "wrong.py"),
        within=folder,
    )


def test_client_makes_every_call(python: tuple[Path, Path], tmp_path: Path) -> None:
    """README's request first, then every JSON operation against the running service; what older
    releases kept is read."""
    folder, interpreter = python
    with service_with_kept(tmp_path) as (address, key):
        printed = run(interpreter, "calls.py", address, key, readme_request(), *KEPT, within=folder)
    assert_all_called(printed)
