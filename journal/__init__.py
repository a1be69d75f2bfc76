"""Shop Build Journal: the memory and the arithmetic of a small shop that builds heavy laminated benches to order.

The rooms stand on floors; each may use those under it and never one above:

    cli            the commands
    web            the pages
    paper          what is printed
    desk           the errands: one function an errand, joining records with the pure rooms
    records        what is kept
    quote          how much, when
    cutting | pace which boards to buy | what the logs teach
    build          what is to be built
    working        a figure with its explanation
    reference      the tables in shared/
    units          lengths, areas, volumes, masses, money, time
    errors places  what can go wrong | where the data folders are

An import linter holds the floors; see DEVELOPERS.md.
"""

__version__ = "0.1.0"
