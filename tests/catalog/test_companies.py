"""Companies and their logos: what a picture may hold, and what stands on paper."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.catalog import CatalogInvalidError, read_catalog
from tests.given.catalogs import shipped_catalog

COMPANY = """id = "ours"
version = "1"
title = "Ours"
name = "Somebody's Walls"
logo = "{logo}"
[source]
kind = "invented"
"""
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 2">{}</svg>'


def _write(folder: Path, name: str, data: bytes) -> Path:
    companies = folder / "companies"
    companies.mkdir()
    (companies / "ours.toml").write_text(COMPANY.format(logo=name), encoding="utf-8")
    (companies / name).write_bytes(data)
    return folder


def test_read_catalog_reads_a_logo(tmp_path: Path) -> None:
    """A plain picture is taken as it stands, byte for byte."""
    data = SVG.format('<rect width="1" height="1"/><use href="#a"/>').encode()
    catalog = read_catalog([_write(tmp_path, "logo.svg", data)])
    assert catalog.companies["ours"].core.logo_data == data


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ("<script>1</script>", "holds <script>"),
        ("<foreignObject/>", "holds <foreignobject>"),
        ('<image href="https://example.com/x.png"/>', "holds <image>"),
        ('<a href="https://example.com"/>', "holds <a>"),
        ('<use href="other.svg#a"/>', "holds href"),
        ('<rect onload="1"/>', "holds onload"),
        ('<rect fill="url(https://example.com/x)"/>', "holds fill"),
        ("<style>@import 'x.css'</style>", "holds a style"),
        ("<rect", "is no SVG picture"),
    ],
)
def test_read_catalog_refuses_what_a_logo_must_not_hold(
    tmp_path: Path, inside: str, said: str
) -> None:
    """Nothing in a logo runs, embeds or is fetched."""
    folder = _write(tmp_path, "logo.svg", SVG.format(inside).encode())
    with pytest.raises(CatalogInvalidError, match="logo") as caught:
        read_catalog([folder])
    (fault,) = caught.value.faults
    assert (fault.code, fault.at[-1]) == ("logo-unfit", "logo")
    assert said in fault.message


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("logo.png", b"GIF89a", "is no PNG"),
        ("logo.svg", b"<html/>", "another element"),
        ("logo.svg", b"<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>", "document type"),
        ("logo.svg", b" " * (256 * 1024 + 1), "larger than 256 KiB"),
    ],
)
def test_read_catalog_refuses_other_files_as_a_logo(
    tmp_path: Path, name: str, data: bytes, said: str
) -> None:
    """A logo is an SVG or a PNG picture of a sensible size."""
    with pytest.raises(CatalogInvalidError) as caught:
        read_catalog([_write(tmp_path, name, data)])
    assert said in caught.value.faults[0].message


def test_the_shipped_company_is_invented() -> None:
    """The one company that is shipped says on its papers that it isn't real."""
    (entry,) = shipped_catalog().companies.values()
    assert "invented" in entry.core.name
    assert entry.document["source"] == {"kind": "invented"}
    assert entry.core.logo_data.startswith(b"<svg")
