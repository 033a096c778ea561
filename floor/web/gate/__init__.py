"""What every page passes: who asks, whether he may, and how the answer goes out."""
