"""A re-priced quote as a new revision: the stored answer with another price, nothing else."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import msgspec

from service import json_text
from service.core import ENGINE_VERSION
from service.core.job.price_list import PriceList
from service.core.reprice.packed import pack_again, unpack_inputs
from service.core.reprice.pricing_inputs import price_inputs
from service.operations.quoting.quote_answer import document_digest, price_answer
from service.operations.saved.saved_quote_request import as_received
from service.storage.quote_rows import NewRevision, SavedRevision

PRICED_BY = "priced_by"
_DECODER = msgspec.json.Decoder()
_ENCODER = msgspec.json.Encoder()


def reprice_revision(saved: SavedRevision, pricing: bytes, prices: PriceList) -> NewRevision:
    """The revision that a saved one becomes on other prices.

    Quantities, hours, cautions and their versions stay; `price`, `price_list` and the digest are
    new, and `priced_by` says which engine priced it. The request names the new price list, so
    that it can be asked again. Raises PriceFaultsError.
    """
    inputs = unpack_inputs(pricing)
    price = price_inputs(inputs, prices)
    answer: dict[str, Any] = _DECODER.decode(saved.answer)
    held = msgspec.to_builtins(price_answer(price, prices, ()))
    # What the total leaves out stays as it was kept, whatever an answer says about it today.
    held |= {key: answer["price"][key] for key in ("complete", "not_priced")}
    listed = {"id": prices.id, "revision": prices.revision}
    answer |= {"price": held, "price_list": listed, PRICED_BY: ENGINE_VERSION}
    # What layers change was worked out at the old prices, and can\'t be re-priced by itself.
    answer.get("screening", {}).get("reinforcement", {}).pop("price_effect", None)
    answer["digest"] = document_digest(answer)
    return NewRevision(
        facts=replace(
            saved.head.facts,
            digest=answer["digest"],
            total=price.total,
            subtotal=price.subtotal,
            cost=price.direct_cost,
            price_list=prices.id,
            price_list_revision=prices.revision,
            priced_by=ENGINE_VERSION,
        ),
        request=_request(saved.request, prices),
        answer=_ENCODER.encode(answer),
        pricing=pack_again(pricing, inputs, price),
    )


def as_quoted(answer: bytes) -> bytes:
    """An answer as it would be had it been quoted at once: without the word that it was
    re-priced. Any other answer is what it was."""
    if PRICED_BY.encode("ascii") not in answer:
        return answer
    document: dict[str, Any] = _DECODER.decode(answer)
    if document.pop(PRICED_BY, None) is None:
        return answer
    document["digest"] = document_digest(document)
    return _ENCODER.encode(document)


def as_repriced(answer: bytes) -> bytes:
    """An answer as a re-pricing leaves it: without the price effect of layers."""
    document: dict[str, Any] = _DECODER.decode(answer)
    _drop_effect(document)
    document["digest"] = document_digest(document)
    return _ENCODER.encode(document)


def _drop_effect(answer: dict[str, Any]) -> None:
    """What layers change was worked out at the old prices, of two quotes: one alone can't be
    re-priced to it. An answer of an older version has no screening."""
    answer.get("screening", {}).get("reinforcement", {}).pop("price_effect", None)


def _request(received: bytes, prices: PriceList) -> bytes:
    """The request as it was, priced on another list; what it changed for itself stays."""
    request: Any = json_text.loads(received)
    asked = {"price_list": prices.id, "revision": prices.revision}
    overrides = request["prices"].get("overrides")
    request["prices"] = asked if overrides is None else {**asked, "overrides": overrides}
    return as_received(request)
