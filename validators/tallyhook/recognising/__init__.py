"""What each column and each row of a sheet is."""
