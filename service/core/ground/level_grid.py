"""A grid of existing and finished levels, cell by cell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.core.errors import Fault, QuoteFaultsError
from service.core.ground.prism import Prism, PrismGround, depth_of_cut
from service.core.job.graded import LevelGrid
from service.core.measure import UnitSet

FEWEST_LINES = 2


def measure_grid(grid: LevelGrid, units: UnitSet) -> PrismGround:
    """Prisms of a grid's cells.

    Raises QuoteFaultsError (`grid-uneven`) with paths that start at the grading entry.
    """
    faults = list(_grid_faults(grid))
    if faults:
        raise QuoteFaultsError(faults)
    rows, columns = len(grid.existing_m), len(grid.existing_m[0])
    finished = grid.finished_m
    if not isinstance(finished, tuple):
        finished = ((finished,) * columns,) * rows
    depths = [
        [depth_of_cut(was, will) for was, will in zip(before, after, strict=True)]
        for before, after in zip(grid.existing_m, finished, strict=True)
    ]
    cell_m2 = grid.row_spacing_m * grid.column_spacing_m
    prisms, mixed = [], 0
    for i in range(rows - 1):
        for j in range(columns - 1):
            ring = (depths[i][j], depths[i][j + 1], depths[i + 1][j + 1], depths[i + 1][j])
            prisms += _cell(cell_m2, ring)
            mixed += min(ring) < 0 < max(ring)
    return PrismGround(
        prisms=tuple(prisms),
        area_m2=cell_m2 * (rows - 1) * (columns - 1),
        highest_finished_m=max(map(max, finished)),
        how=tuple(_grid_how(grid, rows, columns, mixed, units)),
    )


def _cell(area_m2: float, ring: Sequence[float]) -> list[Prism]:
    """A cell as four triangles about its center, which lies at the mean of the corners: plane
    cells come out exactly, net volume is always area x mean, and no diagonal is preferred."""
    center = sum(ring) / 4
    return [
        Prism(area_m2 / 4, (a, b, center)) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
    ]


def _grid_faults(grid: LevelGrid) -> Iterator[Fault]:
    """Rows that differ in length, or grids that differ in size."""
    columns = len(next(iter(grid.existing_m), ()))
    if min(len(grid.existing_m), columns) < FEWEST_LINES:
        yield Fault(
            code="grid-uneven",
            at=("grid", "existing"),
            message="a grid has at least two rows of two levels",
            hint="levels at the corners of each cell",
        )
        return
    grids = [("existing", grid.existing_m)]
    if isinstance(grid.finished_m, tuple):
        grids.append(("finished", grid.finished_m))
    for name, levels in grids:
        for index, row in enumerate(levels):
            if len(row) != columns:
                yield Fault(
                    code="grid-uneven",
                    at=("grid", name, index),
                    message=f"row {index + 1} of the {name} levels has {len(row)} levels, the "
                    f"first row of the existing ones has {columns}",
                    hint="as many levels in each row, existing and finished",
                )
        if len(levels) != len(grid.existing_m):
            yield Fault(
                code="grid-uneven",
                at=("grid", name),
                message=f"{len(levels)} rows of {name} levels against {len(grid.existing_m)} of "
                "existing ones",
                hint="as many rows of finished levels as of existing ones, or one finished_level",
            )


def _grid_how(
    grid: LevelGrid, rows: int, columns: int, mixed: int, units: UnitSet
) -> Iterator[str]:
    cells = (rows - 1) * (columns - 1)
    across = units.show(grid.column_spacing_m, "length")
    yield (
        f"{rows} rows of {columns} levels, rows {units.show(grid.row_spacing_m, 'length')} and "
        f"columns {across} apart: {cells} cells"
    )
    if mixed:
        yield (
            f"cells with both cut and fill: {mixed}; a cell is four planes about its center, which "
            "lies at the mean of its corners, divided along the line of no cut"
        )
