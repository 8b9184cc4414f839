"""What the builder describes: nodes, bars, panels, axles, tires and wheels, as frozen, validated data.

A rig is the exact image of its file: lengths in mm, angles in degrees where the name ends in ``_deg`` (kept as
typed so that a file survives any number of saves to the last digit); kernels convert angles once, on entry.
"""
