"""Rig geometry, motion, contact and cut planning.

No Qt, no files, no printing: everything here is plain data in, plain data out, in mm and radians.
"""
