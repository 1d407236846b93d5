"""What each row of a sheet says a thing is and what it may carry, read once a distinct text."""
