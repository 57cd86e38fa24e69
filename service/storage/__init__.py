"""What is kept: the code behind `migrations/`. So far only the way to open a database."""

from service.storage.engine import open_engine

__all__ = ["open_engine"]
