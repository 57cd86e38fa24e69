"""Folders into a catalog: all or nothing, every fault of every file, whatever stands in them."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.catalog import CatalogInvalidError, load_catalog, read_catalog
from service.catalog.files import CatalogFile, FileUnreadableError, read_file
from service.catalog.kinds import KINDS
from service.catalog.schemas import shipped_folder
from tests.given.catalog_files import SOIL, WALL_SYSTEM, write_folder


def refused(*folders: Path) -> CatalogInvalidError:
    """The error that folders with faults end in."""
    with pytest.raises(CatalogInvalidError) as caught:
        read_catalog(folders)
    return caught.value


def problems(*folders: Path) -> list[str]:
    """The lines of what is wrong with folders, without the way to the test's own folder."""
    said = str(refused(*folders)).splitlines()
    return [line.replace(f"{folders[0].parent}/", "") for line in said]


def coded(*folders: Path) -> list[tuple[str, ...]]:
    """Code and place of each fault, without the way to the test's own folder."""
    above = f"{folders[0].parent}/"
    return [
        (fault.code, *(str(step).replace(above, "") for step in fault.at))
        for fault in refused(*folders).faults
    ]


def test_read_catalog_looks_up_by_kind_and_id(tmp_path: Path) -> None:
    """An entry is found by kind and id, with its document as the file has it."""
    files = {"wall_systems/demo.toml": WALL_SYSTEM, "soils/demo.toml": SOIL, "README.md": "text"}
    catalog = read_catalog([write_folder(tmp_path, files)])
    entry = catalog.wall_systems["demo"]
    assert entry.core.standard.height_m == pytest.approx(0.2032, abs=1e-15)
    assert entry.document["units"]["standard"]["height"] == "8 in"
    assert entry.document["source"] == {"kind": "invented"}
    assert catalog.ids("soils") == ("demo",)
    assert catalog.nearest("wall_systems", "dmo") == "demo"
    assert catalog.nearest("wall_systems", "q" * 100_000) is None
    assert catalog.counts["wall_systems"] == 1
    assert catalog.counts["sections"] == 0


def test_read_catalog_lists_every_fault_of_every_file(tmp_path: Path) -> None:
    """One pass tells all faults of all files, not the first of each."""
    files = {
        "wall_systems/demo.toml": WALL_SYSTEM.replace('"8 in"', "8").replace('"1 in"', "1"),
        "soils/demo.toml": SOIL.replace('"C"', '"X"'),
        "soils/broken.toml": "id = ",
    }
    lines = problems(write_folder(tmp_path / "mine", files))
    places = [line.split(": ")[:2] for line in lines]
    assert places[0] == ["mine/soils/broken.toml", "is not TOML"]
    assert places[1:] == [
        ["mine/soils/demo.toml", "excavation.class"],
        ["mine/wall_systems/demo.toml", "units.standard.height"],
        ["mine/wall_systems/demo.toml", "stacking.setback"],
    ]


def test_read_catalog_refuses_an_id_twice(tmp_path: Path) -> None:
    """A second definition of an id is an error that names both files, never a priority."""
    first = write_folder(tmp_path / "first", {"wall_systems/demo.toml": WALL_SYSTEM})
    second = write_folder(tmp_path / "second", {"wall_systems/demo.toml": WALL_SYSTEM})
    said, hint = problems(first, second)[0].split(" (")
    assert said == (
        'second/wall_systems/demo.toml: id: "demo" is also defined in first/wall_systems/demo.toml'
    )
    assert hint == "ids of wall_systems are unique over all folders: rename one)"
    assert coded(first, second) == [("id-twice", "second/wall_systems/demo.toml", "id")]


def test_read_catalog_refuses_what_has_no_place(tmp_path: Path) -> None:
    """Unknown folders, stray files and folders inside a kind are told, hidden files are not."""
    files = {
        "walls/demo.toml": WALL_SYSTEM,
        "demo.toml": WALL_SYSTEM,
        "wall_systems/demo.tmol": WALL_SYSTEM,
        "wall_systems/old/demo.toml": WALL_SYSTEM,
        "wall_systems/.demo.toml.swp": "",
        "wall_systems/demo.toml~": "",
        ".git/config": "",
        "schema/wall_system.schema.json": "{}",
        "soils/README.md": "text",
    }
    folder = write_folder(tmp_path / "mine", files)
    assert [line.split(" (")[0] for line in problems(folder)] == [
        "mine/demo.toml: belongs in the folder of its kind",
        "mine/wall_systems/demo.tmol: is no entry",
        "mine/wall_systems/old: is no entry",
        "mine/walls: is no kind of catalog entry",
    ]
    assert coded(folder) == [
        ("file-misplaced", "mine/demo.toml"),
        ("file-unknown", "mine/wall_systems/demo.tmol"),
        ("file-unknown", "mine/wall_systems/old"),
        ("folder-unknown", "mine/walls"),
    ]


def test_read_catalog_refuses_links_that_leave(tmp_path: Path) -> None:
    """A link may point inside the folder, but not out of it."""
    outside = write_folder(tmp_path / "outside", {"demo.toml": WALL_SYSTEM}) / "demo.toml"
    folder = write_folder(tmp_path / "mine", {"soils/demo.toml": SOIL})
    (folder / "wall_systems").mkdir()
    (folder / "wall_systems" / "demo.toml").symlink_to(outside)
    assert problems(folder) == [
        "mine/wall_systems/demo.toml: is a link that leaves the catalog folder (a file of its own)"
    ]
    assert coded(folder) == [("file-outside", "mine/wall_systems/demo.toml")]
    (folder / "wall_systems" / "demo.toml").unlink()
    (folder / "wall_systems").rmdir()
    (folder / "wall_systems").symlink_to(tmp_path / "outside")
    assert len(problems(folder)) == 1


def test_read_catalog_refuses_a_missing_folder(tmp_path: Path) -> None:
    """A folder that was named and isn't there is told, not passed over."""
    assert problems(tmp_path / "mine") == ["mine: is no folder that can be read"]
    assert coded(tmp_path / "mine") == [("folder-missing", "mine")]


def test_read_file_refuses_a_file_that_is_gone(tmp_path: Path) -> None:
    """A file that was listed and can't be opened is told with what the system says."""
    gone = CatalogFile(KINDS["soils"], tmp_path / "clay.toml", "soils/clay.toml")
    with pytest.raises(FileUnreadableError) as caught:
        read_file(gone)
    fault = caught.value.fault
    assert (fault.code, fault.at) == ("file-unreadable", ("soils/clay.toml",))
    assert fault.message == "can't be read: No such file or directory"


@pytest.mark.parametrize(
    ("content", "code", "said"),
    [
        (b"\xff\xfe", "not-toml", "is not UTF-8 text (byte 0)"),
        (b"\xef\xbb\xbf" + WALL_SYSTEM.encode(), "not-toml", "is not TOML: Invalid statement"),
        (b"#" * (256 * 1024 + 1), "file-too-large", "is larger than 256 KiB"),
        (b"a = " + b"[" * 5_000, "nested-too-deep", "nests tables or lists too deeply"),
        (b"a = " + b"[" * 20 + b"]" * 20, "nested-too-deep", "a: nests tables or lists too deeply"),
        (
            ".".join("a" * 5_000).encode() + b" = 1",
            "nested-too-deep",
            "a: nests tables or lists too deeply",
        ),
        (b"a = " + b"9" * 5_000, "not-toml", "is not TOML: Exceeds the limit"),
    ],
    ids=["utf-16", "bom", "large", "open", "lists", "dotted", "digits"],
)
def test_read_catalog_survives_hostile_files(
    tmp_path: Path, content: bytes, code: str, said: str
) -> None:
    """Files made to break a reader are refused in words, with the file's name."""
    folder = write_folder(tmp_path / "mine", {"wall_systems/demo.toml": content})
    assert problems(folder)[0].startswith(f"mine/wall_systems/demo.toml: {said}")
    assert coded(folder)[0][:2] == (code, "mine/wall_systems/demo.toml")


def test_read_catalog_takes_a_file_of_256_kib(tmp_path: Path) -> None:
    """The limit itself is still read."""
    padding = "#" * (256 * 1024 - len(WALL_SYSTEM))
    folder = write_folder(tmp_path, {"wall_systems/demo.toml": WALL_SYSTEM + padding})
    assert read_catalog([folder]).ids("wall_systems") == ("demo",)


def test_read_catalog_version_follows_the_data(tmp_path: Path) -> None:
    """The version changes with a figure, not with comments, order of keys or the folder's name."""
    one = write_folder(tmp_path / "one", {"wall_systems/demo.toml": WALL_SYSTEM})
    lines = WALL_SYSTEM.splitlines()
    swapped = "\n".join(["# a comment", lines[2], lines[1], lines[0], *lines[3:]])
    two = write_folder(tmp_path / "two", {"wall_systems/demo.toml": swapped})
    other = WALL_SYSTEM.replace("18 in", "16 in")
    three = write_folder(tmp_path / "three", {"wall_systems/demo.toml": other})
    versions = [read_catalog([folder]).version for folder in (one, two, three)]
    assert versions[0] == versions[1] != versions[2]
    assert len(versions[0]) == 64


def test_read_catalog_reads_toml_dates_and_exact_pairs(tmp_path: Path) -> None:
    """A TOML date is a date, and a value of a pair keeps its digits."""
    text = WALL_SYSTEM.replace(
        'kind = "invented"',
        'kind = "published"\ntitle = "A"\nedition = "B"\nwhere = "C"\nread_on = 2026-05-04',
    ).replace('"8 in"', "{ value = 8.25, unit = 'in' }")
    catalog = read_catalog([write_folder(tmp_path, {"wall_systems/demo.toml": text})])
    entry = catalog.wall_systems["demo"]
    assert entry.document["source"]["read_on"] == "2026-05-04"
    assert entry.document["units"]["standard"]["height"] == {"value": "8.25", "unit": "in"}
    assert entry.core.standard.height_m == pytest.approx(0.20955, abs=1e-15)


def test_load_catalog_is_all_or_nothing(tmp_path: Path) -> None:
    """One bad file in one folder, and nothing is loaded."""
    folder = write_folder(tmp_path, {"soils/bad.toml": "id = 1"})
    with pytest.raises(CatalogInvalidError) as caught:
        load_catalog([folder])
    assert {fault.at[0] for fault in caught.value.faults} == {str(folder / "soils" / "bad.toml")}


SHIPPED = sorted(shipped_folder().rglob("*.toml"))
ODD_LINES = (
    "",
    "[",
    "[[tasks]]",
    "a.b.c = {}",
    "id = []",
    'item = "\\u0000"',
    "height = 1e400",
    "thickness = nan",
    'hours = "9**9**9 m"',
    "choices = -0.0",
    "valid_days = 99999999999999999999",
    "source = 1979-05-27T07:32:00Z",
    "items = [[], [[]]]",
)


@st.composite
def spoiled_files(draw: st.DrawFn) -> tuple[Path, str]:
    """A shipped file in which lines are swapped for odd ones, or values for odd values."""
    file = draw(st.sampled_from(SHIPPED))
    lines = file.read_text(encoding="utf-8").splitlines()
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(lines) - 1))
        key, equals, _ = lines[place].partition(" = ")
        value = draw(st.sampled_from(['""', "0", "{}", "[]", "true", "-1.5", '"1 m"', '"a"']))
        odd = draw(st.one_of(st.sampled_from(ODD_LINES), st.text(max_size=20)))
        lines[place] = f"{key} = {value}" if equals and draw(st.booleans()) else odd
    return file, "\n".join(lines)


@given(spoiled=spoiled_files())
@settings(max_examples=100)
def test_read_catalog_raises_nothing_but_its_own_error(
    spoiled: tuple[Path, str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever stands in a file, the catalog loads or tells in words what is wrong."""
    file, text = spoiled
    name = f"{file.parent.name}/{file.name}"
    content = text.encode("utf-8", errors="surrogatepass")
    folder = write_folder(tmp_path_factory.mktemp("fuzz"), {name: content})
    try:
        read_catalog([folder])
    except CatalogInvalidError as error:
        told = str(error)
    else:
        return
    assert all(line.startswith(str(folder / name)) for line in told.splitlines())
    assert len(told) < 100_000
