"""The command `ringwise`."""
