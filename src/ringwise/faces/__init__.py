"""What people meet: command line, documents, later the app. Faces parse, call the desk and show."""
