"""Weather files of public services, and any table by a declared mapping: sniffed, read, checked, reported."""
