"""Ringwise: bench book, almanac and look-ahead for trees trained in pots over decades."""

__version__ = "0.1.0"
