"""The OpenAPI document, made from the table of operations when it is first asked for."""

TITLE = "Retaining wall quotes"
