"""What is known of the floor."""
