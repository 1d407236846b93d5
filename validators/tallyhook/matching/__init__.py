"""The ratings that each item can be held against."""
