"""Proofreading: what reads well in a rulebook and may still not mean what its author wants."""
