"""Files of any kind turned into sheets of text cells."""
