"""Words that are no id lead to the entries that were meant."""

from __future__ import annotations

import pytest

from service.catalog import Catalog, read_catalog
from service.catalog.nearest import nearest_ids
from service.catalog.schemas import shipped_folder

_THICKER = ("fell_tree_6_to_12_in", "fell_tree_12_to_24_in")


@pytest.fixture(scope="module")
def shipped() -> Catalog:
    """The shipped catalog alone."""
    return read_catalog([shipped_folder()])


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("kind", "word", "expected"),
    [
        ("site_work", "remove_fence", {"take_down_chain_link_fence", "take_down_wood_fence"}),
        ("site_work", "fence_removal", {"take_down_chain_link_fence", "take_down_wood_fence"}),
        ("loads", "street", {"driveway"}),
        ("soils", "topsoil", {"loam"}),
        ("soils", "claay", {"clay"}),
        ("site_work", "trees", {"fell_tree_to_6_in", *_THICKER}),
        ("site_work", "remove_trees", {"fell_tree_to_6_in", *_THICKER}),
        ("wall_systems", "xyzzy", set()),
    ],
)
def test_nearest_leads_to_what_a_contractor_means(
    shipped: Catalog, kind: str, word: str, expected: set[str]
) -> None:
    """Words of the trade lead to the entry that the catalog names otherwise."""
    assert set((shipped.nearest(kind, word) or "").split(" or ")) - {""} == expected


def test_nearest_ids_puts_what_shares_more_words_first() -> None:
    """The last word decides which entries are meant, the others which comes first."""
    documents = {
        "reset_fence": {"title": "Set a fence up again"},
        "remove_hedge": {"title": "Remove a hedge"},
        "old_fence": {"title": "Remove fences"},
    }
    assert nearest_ids("remove_the_fence", documents) == ["old_fence", "reset_fence"]


def test_nearest_ids_takes_a_misspelt_id_before_shared_words() -> None:
    """A slip of the pen is not read as another thing of the same kind."""
    documents = {"silt_fence": {"title": "a"}, "wood_fence": {"title": "b"}}
    assert nearest_ids("slit_fence", documents) == ["silt_fence"]
