"""Questions to the records and changes of them, one file per subject.

shop.py       the shop, its settings, its machines
projects.py   projects: list, open, add, change
plans.py      parts with their features, plan versions, as-built quantities
log.py        time entries; what the paces are learned from
floor.py      coats and glue-ups
stock.py      stock and the prices in force
purchases.py  receipts
rack.py       boards of the rack, what is done with them, and taking that back
rack_flow.py  what came onto the rack and went off it
estimates.py  estimates as given
rates.py      the shop's year, what its machines cost
workers.py    places at the benches and their hours
options.py    options of a project
building.py   edits of a plan's steps, moisture readings
quotes.py     quotes as issued
moves.py      how a project went from state to state
money.py      extras, and payments
notes.py      notes, and every text that can be searched
photos.py     photos, and where they hang

Every function takes an open session and answers with frozen values; how many statements it needs does not depend on
how many rows there are. Functions that change something take the moment as an argument.
"""
