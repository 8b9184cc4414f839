"""How the rig stands on its tires: what it weighs, when it tips, what it clears, and which rules bound its width.

The ground is z = 0 of the rig's frame and the rig stands on it at ride height, each axle's centre at its own height,
which is the loaded radius there. Records are frozen; lengths in mm, angles in rad, masses in kg. A number that rests on
a value that nobody gave is unknown and says which one it was.
"""
