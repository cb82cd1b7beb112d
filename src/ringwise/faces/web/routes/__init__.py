"""The routes: each parses, asks the desk for one wish and answers its shape."""
