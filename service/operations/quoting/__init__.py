"""A request quoted, and one compared with others: models of request and answer beside it."""
