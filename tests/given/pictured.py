"""Pictures of documents and drawings: made small, put side by side, and compared with tolerance."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from functools import cache

import numpy as np
from PIL import Image, ImageFilter
from PIL.Image import open as read_picture

from service.documents.forms.typeset import page_pictures, png
from service.documents.tree import Document, Figure
from service.operations.paper.contract import contract
from service.operations.paper.cost_sheet import job_cost_sheet
from service.operations.paper.crew_sheet import crew_sheet
from service.operations.paper.customer_quote import customer_quote
from service.operations.paper.figures import figures_of
from service.operations.paper.kinds import DRAWINGS
from service.operations.paper.subject import PricedSubject, Sender
from service.operations.paper.supplier_order import supplier_order, supplier_parts
from service.operations.paper.visit_sheet import visit_sheet
from service.operations.quoting.quote import prepare_document
from tests.given.drawn import WALLS, requested, tiers
from tests.given.papers import sender_of, shipped

NAMES = (*WALLS, "tiers")
# Dots an inch of what is approved: lines of text are grey bars, columns and drawings are seen.
PAGE_PPI, DRAWING_PPI = 18.0, 28.8
_MADE_LARGER = 4
_SHADES = 16  # that a picture keeps
_TILE = 8
_GAP = 4


@cache
def pictured_subject(name: str) -> PricedSubject:
    """The quote of one of the walls that are drawn."""
    prepared = prepare_document(tiers() if name == "tiers" else requested(WALLS[name]), shipped())
    quoted = prepared.run()
    return PricedSubject(
        request=prepared.request,
        quote=quoted.quote,
        answer=quoted.answer,
        catalog=shipped(),
        number="Q-2026-0001",
    )


def documents_of(subject: PricedSubject, sender: Sender) -> Iterator[Document]:
    """One document of each kind, with its drawings."""
    words = sender.words
    by_wall = {
        wall.name: figures_of(subject, ("elevation", "section"), words, wall.name)
        for wall in subject.answer.walls
    }
    by_wall[""] = figures_of(subject, ("plan", "order_of_work"), words)
    yield customer_quote(
        subject, sender, "groups", figures_of(subject, ("plan", "elevation", "section"), words)
    )
    yield crew_sheet(subject, sender, by_wall)
    yield supplier_order(subject, sender, supplier_parts(subject))
    yield job_cost_sheet(subject, sender)
    yield visit_sheet(sender, 8, subject.answer.units, subject)
    yield contract(subject, sender, None)


def first_pages(name: str) -> Image.Image:
    """The first page of each kind of document about a wall, side by side."""
    subject = pictured_subject(name)
    documents = documents_of(subject, sender_of(subject, "en", "letter"))
    return beside(page_picture(document) for document in documents)


def drawings(name: str) -> Image.Image:
    """Every drawing of a wall, side by side."""
    subject = pictured_subject(name)
    words = sender_of(subject, "en", "letter").words
    return beside(drawing_picture(figure) for figure in figures_of(subject, DRAWINGS, words))


def page_picture(document: Document) -> Image.Image:
    """The first page of a document, small."""
    pages = page_pictures(document, PAGE_PPI * _MADE_LARGER)
    return _small(pages[0], 1 / _MADE_LARGER)


def drawing_picture(figure: Figure) -> Image.Image:
    """A drawing, small."""
    return _small(png(figure, "en"), DRAWING_PPI / 144)


def beside(pictures: Iterable[Image.Image]) -> Image.Image:
    """Pictures in a row."""
    row = list(pictures)
    width = sum(picture.width + _GAP for picture in row)
    whole = Image.new("L", (width, max(picture.height for picture in row)), 255)
    left = 0
    for picture in row:
        whole.paste(picture, (left, 0))
        left += picture.width + _GAP
    return whole


def kept(picture: Image.Image) -> bytes:
    """A picture as a small file."""
    step = 255 // (_SHADES - 1)
    few = Image.new("P", picture.size)
    few.putpalette([shade * step for shade in range(_SHADES) for _ in "rgb"])
    few.putdata(picture.point([round(value / step) for value in range(256)]).tobytes())
    held = io.BytesIO()
    few.save(held, "PNG", optimize=True, bits=4)
    return held.getvalue()


def picture_of(data: bytes) -> Image.Image:
    """A file as a picture in shades of grey."""
    return read_picture(io.BytesIO(data)).convert("L")


def unlike(one: Image.Image, other: Image.Image) -> float:
    """How far two pictures are apart where they are farthest: the mean difference within a square
    of 8 dots, of 255, after both are blurred by a dot. Endless where they differ in size."""
    if one.size != other.size:
        return float("inf")
    apart = np.abs(_blurred(one) - _blurred(other))
    rows, columns = (-(-side // _TILE) * _TILE for side in apart.shape)
    whole = np.zeros((rows, columns))
    whole[: apart.shape[0], : apart.shape[1]] = apart
    tiles = whole.reshape(rows // _TILE, _TILE, columns // _TILE, _TILE)
    return float(tiles.mean(axis=(1, 3)).max())


def _blurred(picture: Image.Image) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    soft = picture.convert("L").filter(ImageFilter.GaussianBlur(1))
    return np.asarray(soft, dtype=np.float64).reshape(picture.height, picture.width)


def _small(data: bytes, share: float) -> Image.Image:
    whole = picture_of(data)
    size = max(1, round(whole.width * share)), max(1, round(whole.height * share))
    return whole.resize(size, Image.Resampling.BOX)
