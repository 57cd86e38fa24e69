"""A further catalog folder, to which soils are added while a service runs."""

from pathlib import Path

SHIPPED_SOIL = Path(__file__).parents[2] / "catalog" / "soils" / "clay.toml"


def add_soil(folder: Path, id_: str) -> Path:
    """A copy of a shipped soil under another id."""
    text = SHIPPED_SOIL.read_text(encoding="utf-8").replace('id = "clay"', f'id = "{id_}"', 1)
    path = folder / "soils" / f"{id_}.toml"
    path.write_text(text, encoding="utf-8")
    return path
