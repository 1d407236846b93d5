"""Pages generated from docstrings and descriptors."""
