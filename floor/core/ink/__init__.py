"""The books of ink: readings, tanks, calibration."""
