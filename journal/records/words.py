"""The words a column may hold. A word is stored as it is written here; changing one needs a migration."""

from enum import StrEnum


class ProjectState(StrEnum):
    """How far a project is, from the first call to the closed file."""

    ENQUIRY = "enquiry"
    QUOTED = "quoted"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    LAPSED = "lapsed"  # nobody answered in time
    IN_BUILD = "in_build"
    DELIVERED = "delivered"
    CLOSED = "closed"
    ON_HOLD = "on_hold"
    CANCELLED = "cancelled"
    STOCK = "stock"  # finished, and waiting in the shop for somebody to buy it


# The states in which a project's hours are all there, so that they can teach something.
FINISHED = (ProjectState.DELIVERED, ProjectState.CLOSED, ProjectState.STOCK)


class DepositFate(StrEnum):
    """What becomes of the deposit of a project that is cancelled."""

    KEPT = "kept"
    RETURNED = "returned"


class PaymentKind(StrEnum):
    """Which way money went."""

    PAYMENT = "payment"
    REFUND = "refund"


class StockForm(StrEnum):
    """What kind of thing a stock item is."""

    DIMENSIONAL = "dimensional"  # by nominal cross-section, one price for each length
    ROUGH = "rough"  # hardwood in random widths, by the board foot
    SHEET = "sheet"
    HARDWARE = "hardware"
    ADHESIVE = "adhesive"
    FINISH = "finish"
    CONSUMABLE = "consumable"


# Forms that cannot be used without a thickness.
WOOD = (StockForm.DIMENSIONAL, StockForm.ROUGH, StockForm.SHEET)


class PricePer(StrEnum):
    """What one price buys."""

    PIECE = "piece"
    BOARD_FOOT = "board_foot"
    FOOT = "foot"
    SHEET = "sheet"
    CONTAINER = "container"
    EACH = "each"


class LaminatedAlong(StrEnum):
    """The direction in which a part's strips are stacked."""

    NONE = "none"
    WIDTH = "width"
    THICKNESS = "thickness"


class EntrySource(StrEnum):
    """How a time entry came in."""

    TYPED = "typed"
    CLOCK = "clock"
    IMPORT = "import"
    DEMO = "demo"


class LengthSystem(StrEnum):
    """The system lengths are shown in; the same words as units.System."""

    INCH = "inch"
    METRIC = "metric"


class CuttingStatus(StrEnum):
    """How good a kept cutting plan is known to be."""

    SEARCHING = "searching"  # the best there was when the search for a better one began
    FEASIBLE = "feasible"
    OPTIMAL = "optimal"  # nothing costs less


class EditKind(StrEnum):
    """What the maker changed in the steps of a plan; the same words as build.step_edits.EditKind."""

    DROP = "drop"
    ADD = "add"
    MOVE = "move"
    SPLIT = "split"
    NOTE = "note"


class OverheadKind(StrEnum):
    """What kind of overhead a line is; the same words as quote.shop_rate.Kind."""

    FIXED = "fixed"
    ADMINISTRATIVE = "administrative"


class RackMoveKind(StrEnum):
    """What happened to a board of the rack."""

    BOUGHT = "bought"
    COUNTED = "counted"  # there, or not there, at a stock-take
    PLANNED = "planned"
    FREED = "freed"
    DRAWN = "drawn"  # taken for a project
    RETURNED = "returned"  # what a project left
    WRITTEN_OFF = "written_off"
    NOTED = "noted"
    UNDONE = "undone"


class ShelfMoveKind(StrEnum):
    """What was said of something on the shelf."""

    COUNTED = "counted"  # so much was there
    TAKEN = "taken"
