"""The prices of a large write, kept whole: what its drafts are made at, whatever becomes of the
list. They are of no use once no answer waits."""

from __future__ import annotations

from types import MappingProxyType

import msgspec
from sqlalchemy import Connection, delete, insert, select

from service.core.job.price_list import PriceList
from service.storage.repricing_tables import REPRICING_PRICES


def put_prices(connection: Connection, prices: PriceList) -> None:
    """Keep a revision of a price list, in place of what was kept under its number."""
    held, content = REPRICING_PRICES.c, _ENCODER.encode(prices)
    place = {"price_list": prices.id or "", "price_list_revision": prices.revision or 0}
    this = [held[name] == value for name, value in place.items()]
    if connection.execute(select(held.content).where(*this)).scalar_one_or_none() != content:
        connection.execute(delete(REPRICING_PRICES).where(*this))
        connection.execute(insert(REPRICING_PRICES).values(**place, content=content))


def find_prices(connection: Connection, price_list: str, revision: int) -> PriceList | None:
    """A revision that was kept, or None."""
    held = REPRICING_PRICES.c
    this = held.price_list == price_list, held.price_list_revision == revision
    content = connection.execute(select(held.content).where(*this)).scalar_one_or_none()
    return None if content is None else _DECODER.decode(content)


def _plain(value: object) -> object:
    if isinstance(value, MappingProxyType):
        return dict(value)
    raise NotImplementedError


_ENCODER = msgspec.json.Encoder(enc_hook=_plain)
_DECODER: msgspec.json.Decoder[PriceList] = msgspec.json.Decoder(PriceList)
