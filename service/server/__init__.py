"""What stands before the application: connections with deadlines, a parser without mercy."""

from service.server.bounds import Bounds
from service.server.protocol import bounded_protocol

__all__ = ["Bounds", "bounded_protocol"]
