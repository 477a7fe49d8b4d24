"""Copper that the current moves: bites, sheets that grow, the balance of both."""
