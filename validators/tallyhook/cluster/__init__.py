"""The check of a feed of files on a cluster of machines."""
