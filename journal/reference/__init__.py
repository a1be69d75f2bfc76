"""The tables in shared/ as typed records, each with its source and a mark that says how far to trust it.

    table        how a table is read and refused
    sizes        sizes of boards and sheets
    woods        weight and movement of woods
    work         stages, operations, features, machines, cautions
    materials    glues and finishes
    settings     the allowances a shop starts with

Tables are read on first use and kept. This floor imports units, errors and places, and the standard library.
"""

from journal.reference.materials import Adhesive, Finish, Warmth, adhesives, assembly_shares, finishes, glue_warmth
from journal.reference.settings import Allowance, allowance, allowances
from journal.reference.sizes import (
    HardwoodThickness,
    SheetGood,
    SoftwoodSize,
    dressed,
    hardwood_quarters,
    lengths_sold,
    sheet_goods,
    softwood_sizes,
)
from journal.reference.table import Heading, Mark, heading, load
from journal.reference.woods import Species, SpeciesGroup, all_species, species, species_groups
from journal.reference.work import (
    Caution,
    Feature,
    Machine,
    Operation,
    Stage,
    cautions,
    features,
    find_feature,
    machines,
    operations,
    stages,
)

__all__ = [
    "Adhesive",
    "Allowance",
    "Caution",
    "Feature",
    "Finish",
    "HardwoodThickness",
    "Heading",
    "Machine",
    "Mark",
    "Operation",
    "SheetGood",
    "SoftwoodSize",
    "Species",
    "SpeciesGroup",
    "Stage",
    "Warmth",
    "adhesives",
    "all_species",
    "allowance",
    "allowances",
    "assembly_shares",
    "cautions",
    "dressed",
    "features",
    "find_feature",
    "finishes",
    "glue_warmth",
    "hardwood_quarters",
    "heading",
    "lengths_sold",
    "load",
    "machines",
    "operations",
    "sheet_goods",
    "softwood_sizes",
    "species",
    "species_groups",
    "stages",
]
