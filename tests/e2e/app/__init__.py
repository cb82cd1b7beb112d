"""The app in a real browser, over a real server."""
