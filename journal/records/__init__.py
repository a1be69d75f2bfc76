"""What is kept, nothing computed.

    words.py      the words a column may hold
    base.py       declarative base, names of constraints, shared column types
    engine.py     where the data is, how it is opened, reading and writing
    migrate.py    bringing a database to this version's tables
    tables/       one file per cluster of tables
    queries/      one file per subject: frozen rows and values out, never a half-built select

A row becomes a value in queries/; no row of tables/ goes above the desk. May import units and errors, never a page.
"""
