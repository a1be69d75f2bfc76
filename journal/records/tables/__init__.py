"""All tables. Importing this package is enough to know every one of them.

shop.py       the shop, its settings and machines
stock.py      what can be bought, and what it cost when
projects.py   projects, parts, plans, as-built quantities
log.py        hours, coats, glue-ups
purchases.py  what was bought
rack.py       boards on the rack, and their moves
estimates.py  estimates as they were given
designs.py    the shop's own designs
imports.py    spreadsheets of past jobs that were taken in
cutting.py    cutting plans that were kept
rates.py      the shop's year, its machines' figures, options of an enquiry
building.py   edits of a plan's steps, moisture readings
floor.py      devices, taps of the clock, what was last done to the log
promises.py   quotes, the moves of a project, extras, money in
calendar.py   open hours, days off, hardware a client brings
gluing.py     the glue-up clock while it runs, and what it was told
access.py     browsers let in from the network
lessons.py    what a closed job leaves behind
own_work.py   operations of the shop's own, beside those of the book
shelf.py      what was counted on the shelf, and taken off it by hand
notes.py      notes of a project, and photos on notes and receipts
"""

from journal.records.tables.access import Invitation, Visitor
from journal.records.tables.building import MoistureReading, Stack, StepEdit
from journal.records.tables.calendar import ClientHardware, ShopDaysOff, ShopHours
from journal.records.tables.cutting import CuttingPlan
from journal.records.tables.designs import Design
from journal.records.tables.estimates import Estimate
from journal.records.tables.floor import Device, LogAct, RefusedTap, Tap
from journal.records.tables.gluing import GlueClock, GlueTick
from journal.records.tables.imports import Import
from journal.records.tables.lessons import Lesson, LooseEnd
from journal.records.tables.log import Coat, GlueUp, TimeEntry, TimeEntryChange, Worker
from journal.records.tables.notes import Note, Photo, PhotoPlace
from journal.records.tables.own_work import OwnOperation
from journal.records.tables.projects import Built, Part, PartFeature, Plan, Project
from journal.records.tables.promises import Extra, ExtraPaper, Payment, ProjectMove, Quote
from journal.records.tables.purchases import Purchase, PurchaseLine
from journal.records.tables.rack import RackAct, RackBoard, RackMove
from journal.records.tables.rates import MachineCost, Option, Overhead, ShopYear
from journal.records.tables.shelf import ShelfMove
from journal.records.tables.shop import Machine, Setting, Shop
from journal.records.tables.stock import StockItem, StockPrice

__all__ = [
    "Built",
    "ClientHardware",
    "Coat",
    "CuttingPlan",
    "Design",
    "Device",
    "Estimate",
    "Extra",
    "ExtraPaper",
    "GlueClock",
    "GlueTick",
    "GlueUp",
    "Import",
    "Invitation",
    "Lesson",
    "LogAct",
    "LooseEnd",
    "Machine",
    "MachineCost",
    "MoistureReading",
    "Note",
    "Option",
    "Overhead",
    "OwnOperation",
    "Part",
    "PartFeature",
    "Payment",
    "Photo",
    "PhotoPlace",
    "Plan",
    "Project",
    "ProjectMove",
    "Purchase",
    "PurchaseLine",
    "Quote",
    "RackAct",
    "RackBoard",
    "RackMove",
    "RefusedTap",
    "Setting",
    "ShelfMove",
    "Shop",
    "ShopDaysOff",
    "ShopHours",
    "ShopYear",
    "Stack",
    "StepEdit",
    "StockItem",
    "StockPrice",
    "Tap",
    "TimeEntry",
    "TimeEntryChange",
    "Visitor",
    "Worker",
]
