"""Why a number is wrong: which plausible mistake produces this very number."""
