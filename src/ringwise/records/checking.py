"""What may be stored: every value is checked field by field before it reaches the store."""

from __future__ import annotations

from ringwise.records.model import Change


def checked_change(change: Change) -> Change:
    """stub"""
    return change
