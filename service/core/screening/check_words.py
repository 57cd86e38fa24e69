"""What each check is called in a sentence."""

from __future__ import annotations

CHECK_WORDS = {
    "base_sliding": "sliding on the base",
    "overturning": "overturning",
    "eccentricity": "eccentricity",
    "bearing": "bearing",
    "interface_shear": "shear between courses",
    "hinge_height": "hinge height",
    "layer_tension": "tension of a layer",
    "pullout": "pullout of a layer",
    "connection": "connection of a layer",
}
