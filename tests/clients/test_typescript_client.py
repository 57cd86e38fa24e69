"""The client that openapi-typescript makes, with its defaults: compiled strictly, and every call.

`wrong.ts` marks lines that must not compile; a mark above a line that does is a fault itself.
"""

import shutil
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

SOURCES = ("calls.ts", "wrong.ts", "package.json", "tsconfig.json")


@pytest.fixture(scope="module")
def node(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the client's sources beside the pinned packages; skips where they aren't."""
    packages = installed("TEST_NODE_MODULES", TOOLS / "node_modules")
    if packages is None or shutil.which("node") is None:
        pytest.skip("Node's packages aren't installed: DEVELOPERS.md, Commands, says how")
    folder = tmp_path_factory.mktemp("typescript")
    (folder / "node_modules").symlink_to(packages)
    for name in SOURCES:
        shutil.copy(HERE / name, folder / name)
    document = write_document(folder)
    run(
        "node",
        "node_modules/openapi-typescript/bin/cli.js",
        document,
        "-o",
        "schema.ts",
        within=folder,
    )
    return folder


def compile_all(folder: Path, request: str) -> None:
    """Compile the client with a request as README's."""
    written = 'import type { components } from "./schema.js";\n\n'
    written += f'export const readmeRequest: components["schemas"]["QuoteRequest"] = {request};\n'
    (folder / "readme.ts").write_text(written, encoding="utf-8")
    run("node", "node_modules/typescript/bin/tsc", "-p", ".", within=folder)


def test_client_makes_every_call(node: Path, tmp_path: Path) -> None:
    """README's request first, then every JSON operation, typed, against the running service; what
    older releases kept is read; wrong prices in maps don't compile."""
    compile_all(node, readme_request())
    with service_with_kept(tmp_path) as (address, key):
        assert_all_called(run("node", "made/calls.js", address, key, *KEPT, within=node))
