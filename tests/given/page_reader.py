"""Reads a page as a browser would look at it: its tags, its text, the addresses it refers to."""

from html.parser import HTMLParser

ADDRESS_ATTRIBUTES = {"src", "href", "action", "srcset", "data", "poster"}


class PageReader(HTMLParser):
    """A page, read."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.addresses: list[str] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag and the addresses in its attributes."""
        self.tags.add(tag)
        self.addresses += [value for name, value in attrs if name in ADDRESS_ATTRIBUTES and value]

    def handle_data(self, data: str) -> None:
        """Note text."""
        self.text += data
