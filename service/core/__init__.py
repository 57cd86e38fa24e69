"""The calculation itself: pure, in SI, without text formats, files, clock or network.

`quote.quote(job)` is the front door; `ENGINE_VERSION` changes whenever a number can.
"""

ENGINE_VERSION = "0.3.0"
