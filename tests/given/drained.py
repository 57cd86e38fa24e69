"""What drains a wall and holds its caps, in sizes that go into whole numbers."""

from service.core.job.section import CapAdhesive, FilterFabric, Pipe
from tests.given.walls import ft, inch

PIPE = Pipe(
    item="drain_pipe",
    outlet_item="outlet_pipe",
    outlet_spacing_m=ft(50),
    outlet_length_m=ft(4),
)
FABRIC = FilterFabric(item="filter_fabric", lap_m=inch(12))
ADHESIVE = CapAdhesive(item="adhesive", beads=2, yield_m=ft(30))
