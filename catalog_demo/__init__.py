"""An invented distributor and an invented maker: the catalogue that the product is shown with."""

from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent
"""Where `engine.catalog.loader.load_catalogue` finds the demo catalogue."""
DISTRIBUTOR: Final = FOLDER / "distributor.toml"
