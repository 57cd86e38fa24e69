"""The OpenAPI document, made from the table of operations."""

from service.api.openapi.document import TITLE, openapi_document, openapi_text

__all__ = ["TITLE", "openapi_document", "openapi_text"]
