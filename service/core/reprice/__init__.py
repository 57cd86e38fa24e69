"""New prices for quotes that were kept, one by one or thousands at once.

The room knows one form of bytes, packed_format.py, against the rule that the core knows none: bulk
re-pricing reads the integers just as they are kept, so that their layout is part of the sum.
Whatever else is kept of a quote is the business of storage.
"""
