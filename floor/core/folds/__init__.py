"""What each event does to the floor, by what it is about. Pure; floor.core.folds.fold puts them together."""
