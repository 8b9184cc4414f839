"""How the rig looks flat: the three views, outlines of solids in them, and what lies under a point.

For pictures and picking only: round outlines are polygons with their corners on the true curve, and clearances come
from `contact`.
"""
