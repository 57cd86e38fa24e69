"""Drawings of a quote, from the layout that was counted: nothing is drawn a second way."""

from service.documents.drawings.drawing import Box, Drawing, Writing
from service.documents.drawings.earthwork_map import draw_earthwork_map
from service.documents.drawings.elevation import draw_elevation
from service.documents.drawings.order_of_work import draw_order_of_work
from service.documents.drawings.plan import draw_plan, draw_plan_sheets
from service.documents.drawings.section import draw_section

__all__ = [
    "Box",
    "Drawing",
    "Writing",
    "draw_earthwork_map",
    "draw_elevation",
    "draw_order_of_work",
    "draw_plan",
    "draw_plan_sheets",
    "draw_section",
]
