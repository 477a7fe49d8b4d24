"""Copper sulfate, copper and water: pure functions, no Django, no database, no clock."""
