"""Objects on their way to another process."""

import pickle
from types import MappingProxyType

import pytest

from service.calculators.packing import pack, unpack
from service.catalog import Catalog


def test_pack_keeps_a_catalog_as_it_is(catalog: Catalog) -> None:
    """A whole catalog comes out equal, its mappings read-only as before."""
    found = unpack(pack(catalog))
    assert found == catalog
    assert type(found.soils) is MappingProxyType


def test_pack_leaves_other_pickling_alone() -> None:
    """What else is pickled in a process is not changed by it."""
    mapping = MappingProxyType({"a": 1})
    assert unpack(pack([mapping])) == [mapping]
    with pytest.raises(TypeError):
        pickle.dumps(mapping)
