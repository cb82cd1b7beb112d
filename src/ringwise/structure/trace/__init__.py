"""A tree traced on one or two photos: clicks along trunk and branches become a measured tree."""
