"""What a document for the field is about: what is built, and an answer that no cost comes into."""

from __future__ import annotations

import msgspec

from service.catalog import Catalog
from service.core import quote as core
from service.core.built import Built
from service.operations.field.answer import FieldQuoteAnswer
from service.operations.field.of_money import is_about_prices, is_priced_by
from service.operations.field.quote import prepare_field_document
from service.operations.field.unpriced import said_without_money
from service.operations.paper.asking import DocumentAsked, Kept
from service.operations.paper.subject import Subject
from service.operations.prices.stored_prices import FoundPrices
from service.operations.quoting.levels import rod_writing
from service.operations.quoting.quote import prepare_document
from service.operations.quoting.quote_answer import digest_of
from service.operations.saved.customer_request import customer_answer

# What the type has no place for is passed over: costs are never read.
_KEPT = msgspec.json.Decoder(FieldQuoteAnswer)


def field_subject(catalog: Catalog, asked: DocumentAsked) -> Subject:
    """The quote laid out from its request, with the answer of the field; of a saved one, with what
    the field may see of the answer that was kept. Raises QuoteFaultsError."""
    if asked.kept is not None:
        return _kept_subject(catalog, asked, asked.kept)
    prepared = prepare_field_document(asked.document, catalog, _stored(asked))
    quoted = prepared.run()
    return Subject(
        request=prepared.request,
        quote=quoted.built,
        answer=quoted.answer,
        catalog=catalog,
        rods_in=rod_writing(asked.document),
    )


def _kept_subject(catalog: Catalog, asked: DocumentAsked, kept: Kept) -> Subject:
    """The office wrote the request, so it is read as the office's."""
    with said_without_money():
        prepared = prepare_document(asked.document, catalog, _stored(asked))
        built = core.planned(prepared.job, prepared.prices, layouts=prepared.layouts)
    return Subject(
        request=prepared.request,
        quote=built,
        answer=_seen(kept.answer, built),
        catalog=catalog,
        rods_in=rod_writing(asked.document),
        revision=kept.revision,
        customer=customer_answer(kept.customer) if kept.customer else None,
    )


def _seen(kept: bytes, built: Built) -> FieldQuoteAnswer:
    """An answer that was kept, as the field sees it."""
    answer, place = _KEPT.decode(kept), built.job.jurisdiction
    cautions = (each for each in answer.cautions if not is_about_prices(each.code, place))
    assumptions = (each for each in answer.assumptions if not is_priced_by(each.field))
    seen = msgspec.structs.replace(answer, cautions=tuple(cautions), assumptions=tuple(assumptions))
    return msgspec.structs.replace(seen, digest=digest_of(seen))


def _stored(asked: DocumentAsked) -> FoundPrices | None:
    return None if asked.prices is None else FoundPrices(asked.prices)
