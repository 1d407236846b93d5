"""Relations: the same list said in another way has the same outcome, row by row."""
