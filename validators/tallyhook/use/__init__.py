"""What is left of a rating in use, which hook suits, what fits, and when a part is out."""
