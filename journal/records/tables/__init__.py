"""All tables. Importing this package is enough to know every one of them.

shop.py       the shop, its settings and machines
stock.py      what can be bought, and what it cost when
projects.py   projects, parts, plans, as-built quantities
log.py        hours, coats, glue-ups
purchases.py  what was bought
estimates.py  estimates as they were given
designs.py    the shop's own designs
imports.py    spreadsheets of past jobs that were taken in
cutting.py    cutting plans that were kept
"""

from journal.records.tables.cutting import CuttingPlan
from journal.records.tables.designs import Design
from journal.records.tables.estimates import Estimate
from journal.records.tables.imports import Import
from journal.records.tables.log import Coat, GlueUp, TimeEntry, TimeEntryChange, Worker
from journal.records.tables.projects import Built, Part, PartFeature, Plan, Project
from journal.records.tables.purchases import Purchase, PurchaseLine
from journal.records.tables.shop import Machine, Setting, Shop
from journal.records.tables.stock import StockItem, StockPrice

__all__ = [
    "Built",
    "Coat",
    "CuttingPlan",
    "Design",
    "Estimate",
    "GlueUp",
    "Import",
    "Machine",
    "Part",
    "PartFeature",
    "Plan",
    "Project",
    "Purchase",
    "PurchaseLine",
    "Setting",
    "Shop",
    "StockItem",
    "StockPrice",
    "TimeEntry",
    "TimeEntryChange",
    "Worker",
]
