"""Trees whose shape is known, pictures of them, and how near a measured tree comes to one."""
