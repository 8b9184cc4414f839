"""What follows from a width: cuts, perch room, caster, wheel fit, axle shafts, and the welded axle beside its plan.

Records are frozen, lengths in mm and angles in rad. A number that rests on a value that nobody gave is unknown and
says which one it was; a plan that cannot be built is refused with PlanError.
"""
