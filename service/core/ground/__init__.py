"""Soil around the walls: what is cut, filled, put back, hauled off, brought in."""
