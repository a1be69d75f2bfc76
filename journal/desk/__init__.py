"""The errands: one function for each thing a page or a command does, joining records with the pure rooms.

    shop        the shop as the sums need it: rules, stock book, prices, rates
    paces       what the logs teach, from the journal or from a file
    parts       a part list in, kept, changed, undone
    projects    enquiries and what becomes of them
    prices      what the shop buys and what it pays
    settings    what the shop says about itself
    estimate    parts → estimate; as a page, a table or JSON
    buying      what is still to buy, and what was bought
    at_the_yard receipts, and boards planned again with what is there
    cutting_plans  how the boards are cut: kept, planned again, tried without a length (plan_text writes it down)
    jobs        searches for a better plan, beside the pages (solving asks the cutting room)
    quoting     a quote filled in, issued, read (quote_content is what it holds, quote_texts the shop's words on it)
    life        which state of a project may follow which
    promises    moves from state to state, what was agreed (extras adds to it)
    payments    what is due, paid and owed; receipts
    quotes_past what was accepted, at which margin; promised against delivered
    demo        the demo shop (demo_files reads it)

Functions that change something take a writing session; functions that only answer take a reading one.
"""
