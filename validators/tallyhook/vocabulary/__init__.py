"""Every word and pattern that is read, built from datasets/vocabulary."""
