"""What a check found, for the people and programs it is handed to."""
