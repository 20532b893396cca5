"""The hallway: walks one clip from room to room, in order, and reports how far it has come."""
