"""Machines chosen for the whole job: what they could do, what a set costs, which set it is."""
