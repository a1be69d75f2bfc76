"""Prices: what the shop buys, what it costs, how old that is."""
