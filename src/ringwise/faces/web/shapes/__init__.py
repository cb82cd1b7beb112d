"""What the server says and takes, as types: the contract between server and app."""
