"""What a hand does: needs, steps, minutes, timing, conflicts, aftercare. Knows no dates of the collection."""
