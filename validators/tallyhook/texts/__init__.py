"""Readers of the words of a list; each takes a text and says what is read and what is doubtful."""
