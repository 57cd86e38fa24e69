"""What leaves the service by itself: to which targets, over which line, signed with what.

Nothing here knows the database. What needs the HTTP client, the signing library or the cipher is
imported by those who send: who has no webhook needs none of them.
"""
