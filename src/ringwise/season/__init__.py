"""The whole collection through a season: windows, needs, conflicts, worksheets. Knows no screens."""
