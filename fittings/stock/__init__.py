"""What lies on the shelf, and which of it serves the job."""

from fittings.stock.bins import Bins, Take
from fittings.stock.choosing import Choice, Need, Pick, SolverMissing, choose, join_with_shelf
from fittings.stock.sheets import BadShelf
from fittings.stock.shelf import Aside, Shelf, ShelfHose, ShelfRow, read_shelf

__all__ = ["Aside", "BadShelf", "Bins", "Choice", "Need", "Pick", "Shelf", "ShelfHose", "ShelfRow", "SolverMissing", "Take", "choose",
           "join_with_shelf", "read_shelf"]
