"""What each event does to the floor, by what it is about. Pure; floor.fold puts them together."""
