"""The wall: the board, drawn large enough to be read across a room."""
