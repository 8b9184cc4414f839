"""Where the parts go: the axle as a rigid body on its rods, its pose over the whole travel, and its steered wheels."""
