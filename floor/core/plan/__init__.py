"""What lies ahead: when jobs will be done. Pure."""
