"""All that reads and mends what people write."""
