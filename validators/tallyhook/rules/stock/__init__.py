"""Rules on stock lists; each takes the items as a polars frame and returns findings as one."""
