"""One function per wish of the user; the only room that opens the store, the clock, files and settings."""
