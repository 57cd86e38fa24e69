"""Inside a process that calculates."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import signal
import threading
from collections import OrderedDict
from typing import Final

from service.calculators.outcome import CatalogWanted, Done, Failed, Found, Outcome, place_of
from service.calculators.packing import pack, unpack
from service.catalog import Catalog
from service.core.errors import QuoteFaultsError

# A batch that began before a reload works with its catalog to its end.
KEPT_CATALOGS: Final = 2
# Whoever answers goes first: health and small quotes wait for no calculation.
NICENESS: Final = 5
MMAP_THRESHOLD: Final = -3  # M_MMAP_THRESHOLD of malloc.h
LARGE_BLOCK_BYTES: Final = 128 * 1024
_catalogs: OrderedDict[str, Catalog] = OrderedDict()


def begin() -> None:
    """Make a process one that calculates. Signals to a group of processes are for the service,
    which lets calculations finish; when it is gone, however it went, so is this process."""
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_IGN)
    os.nice(NICENESS)
    _give_back_large_blocks()
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _give_back_large_blocks() -> None:
    """Let large blocks go back as soon as they are free. The C library raises by itself what it
    calls large, and keeps some 40 MiB of a large paper."""
    settle = getattr(ctypes.CDLL(None), "mallopt", None)  # of glibc
    if settle is not None:
        settle(MMAP_THRESHOLD, LARGE_BLOCK_BYTES)


def work(version: str, packed: bytes, catalog: bytes | None) -> Outcome:
    """Call a function with a catalog and an argument, `packed` together. `catalog` is given where
    the process said that it wants it."""
    try:
        if catalog is not None:
            _keep(version, unpack(catalog))
        if version not in _catalogs:
            return CatalogWanted()
        function, argument = unpack(packed)
        return Done(pack(function(_catalogs[version], argument)))
    except QuoteFaultsError as error:
        return Found(error.faults)
    except Exception as error:  # noqa: BLE001  (told to the parent, which logs it)
        return Failed(type(error).__name__, place_of(error))


def _keep(version: str, catalog: Catalog) -> None:
    _catalogs[version] = catalog
    while len(_catalogs) > KEPT_CATALOGS:
        _catalogs.popitem(last=False)


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
