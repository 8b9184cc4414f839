"""What steering does: how the wheels stand in a turn, how wide it is, and how travel steers."""
