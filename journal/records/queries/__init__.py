"""Questions to the records and changes of them, one file per subject.

shop.py       the shop, its settings, its machines
projects.py   projects: list, open, add, change
plans.py      parts with their features, plan versions, as-built quantities
log.py        time entries; what the paces are learned from
floor.py      coats and glue-ups
stock.py      stock and the prices in force
purchases.py  receipts
estimates.py  estimates as given

Every function takes an open session and answers with frozen values; how many statements it needs does not depend on
how many rows there are. Functions that change something take the moment as an argument.
"""
