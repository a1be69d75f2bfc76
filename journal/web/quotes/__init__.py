"""Quotes: the Quote tab of a project, its life from enquiry to closed, extras and money in; looking back at quotes.

blueprint     the section itself
forms         the forms
press         draws and prints, for the desk
pages         what the templates receive
draft_routes  the tab: a quote to fill in, seen before it is issued, issued; extras once it is agreed
kept_routes   an issued quote: the shop's copy, the client's page, the paper
kept_view     an issued quote beside today's estimate
life_routes   moves from state to state
money_routes  payments and receipts
past_routes   looking back
promise_routes  how sure is what is about to be promised

Every endpoint of a project's pages begins with `show`, so that the tab is the current one on all of them.
"""

from journal.web.quotes import draft_routes, kept_routes, life_routes, money_routes, past_routes, promise_routes
from journal.web.quotes.blueprint import bp

__all__ = ["bp", "draft_routes", "kept_routes", "life_routes", "money_routes", "past_routes", "promise_routes"]
