"""Paces: what the logs have taught, against the starting book."""
