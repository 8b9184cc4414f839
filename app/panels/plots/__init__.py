"""Curves of what travel and steer change, beside the pose: what to show, how it is drawn, and what a click does."""
