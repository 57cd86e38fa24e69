"""What stands before the application: connections with deadlines, a parser without mercy."""

from service.server.bounds import Bounds
from service.server.open_files import raise_open_files
from service.server.protocol import bounded_protocol
from service.server.supervisor import Supervisor, handled

__all__ = ["Bounds", "Supervisor", "bounded_protocol", "handled", "raise_open_files"]
