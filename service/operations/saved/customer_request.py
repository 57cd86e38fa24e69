"""Whom a quote is for, as a caller says it, as it is kept and as it is answered.

An address has the parts of the postal address of ISO/IEC 19845 (UBL), in the writing of this
service: `street_name` is its StreetName, `lines` its AddressLine.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any

import msgspec
from msgspec import UNSET, Struct, UnsetType
from pydantic import Field
from pydantic_core import PydanticCustomError

from service.fields import PlainText, ShortText, refused
from service.operations.ruled import RuledModel
from service.storage.quote_customers import Customer

MOST_LINES = 7

Email = Annotated[
    str,
    PlainText(
        "text-invalid",
        "an e-mail address of at most 254 characters, one @ in it",
        r"^[^@\s\x00-\x1f\x7f-\x9f]+@[^@\s\x00-\x1f\x7f-\x9f]+$",
        254,
        "office@example.com",
    ),
]
CountryCode = Annotated[
    str,
    PlainText("text-invalid", "two capital letters of ISO 3166-1", "^[A-Z]{2}$", 2, "US"),
]


class PostalAddress(RuledModel):
    """A postal address: as much of it as is known, or its lines as they are written."""

    street_name: ShortText | None = None
    additional_street_name: ShortText | None = None
    city_name: ShortText | None = None
    postal_zone: ShortText | None = Field(None, description="The postal code.")
    country_subentity: ShortText | None = Field(None, description="State, province or region.")
    country: CountryCode | None = Field(None, description="ISO 3166-1, two letters.")
    lines: tuple[ShortText, ...] | None = Field(
        None, strict=False, min_length=1, max_length=MOST_LINES
    )

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """An address is more than an empty object."""
        yield from _something(cls, document, "an address has at least one of its parts", "lines")


class CustomerRequest(RuledModel):
    """Whom a quote is for, as it goes on paper: at least one of these."""

    name: ShortText | None = None
    company: ShortText | None = None
    email: Email | None = None
    phone: ShortText | None = None
    site_address: PostalAddress | None = Field(None, description="Where the work is done.")
    billing_address: PostalAddress | None = Field(None, description="Who gets the invoice.")

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """A customer is more than an empty object."""
        hint = "to erase a customer, use DELETE"
        yield from _something(
            cls, document, "a customer has a name, or one of the others", "name", hint
        )


class PostalAddressAnswer(Struct, frozen=True):
    """A postal address, as much of it as is known."""

    street_name: str | UnsetType = UNSET
    additional_street_name: str | UnsetType = UNSET
    city_name: str | UnsetType = UNSET
    postal_zone: str | UnsetType = UNSET
    country_subentity: str | UnsetType = UNSET
    country: str | UnsetType = UNSET
    lines: tuple[str, ...] | UnsetType = UNSET


class CustomerAnswer(Struct, frozen=True):
    """Whom a quote is for."""

    name: str | UnsetType = UNSET
    company: str | UnsetType = UNSET
    email: str | UnsetType = UNSET
    phone: str | UnsetType = UNSET
    site_address: PostalAddressAnswer | UnsetType = UNSET
    billing_address: PostalAddressAnswer | UnsetType = UNSET


_ENCODER = msgspec.json.Encoder()
_DECODER = msgspec.json.Decoder(CustomerAnswer)


def customer_to_core(request: CustomerRequest) -> Customer:
    """A customer as it is kept; it is found by its names and its e-mail address."""
    document = request.model_dump(mode="json", exclude_none=True)
    names = (request.name, request.company, request.email)
    return Customer(document=_ENCODER.encode(document), names=tuple(name for name in names if name))


def customer_answer(document: bytes) -> CustomerAnswer:
    """A kept customer as it is answered."""
    return _DECODER.decode(document)


def _something(
    model: type[RuledModel],
    document: Mapping[str, Any],
    message: str,
    key: str,
    hint: str | None = None,
) -> Iterator[PydanticCustomError]:
    if not set(model.model_fields) & set(document):
        yield refused("field-missing", message, hint, at=(key,))
