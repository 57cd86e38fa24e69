"""Where the wall stands: plan, levels, courses, units, caps."""
