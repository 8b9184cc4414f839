"""What the rods make of the travel: how their joints lean, and where and about what the axle moves and rolls."""
