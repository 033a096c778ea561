"""What is written on paper for jobs and pieces, from the state."""
