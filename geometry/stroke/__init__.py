"""What limits travel: lengths of shocks, stops and straps over it, and the travel that they leave.

Everything holds for all poses, by the forms of `geometry.motion.forms`, and nothing depends on the width.
"""
