"""What is kept of a saved quote's pricing: its packed integers, and after them all its inputs."""

from __future__ import annotations

from service.core.price.price import Price
from service.core.quote import Quote
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_header import packed_size
from service.core.reprice.pricing_inputs import PricingInputs, inputs_of
from service.storage.kept_inputs import keep_inputs, read_inputs


def pack_pricing(quote: Quote) -> bytes:
    """What re-pricing reads of a quote: its pricing packed, and after it the inputs as a whole,
    which the ordinary calculation needs."""
    inputs = inputs_of(quote)
    return pack_inputs(inputs, quote.price) + keep_inputs(inputs)


def pack_again(pricing: bytes, inputs: PricingInputs, price: Price) -> bytes:
    """The same for a quote that was re-priced."""
    return pack_inputs(inputs, price) + pricing[packed_size(pricing) :]


def unpack_inputs(pricing: bytes) -> PricingInputs:
    """The inputs of the ordinary calculation, as they were packed."""
    return read_inputs(pricing[packed_size(pricing) :])
