"""What every room stands on: errors, units, tables with provenance, chance, days. Knows no trees."""
