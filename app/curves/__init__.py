"""What travel and steer do to everything that turns, leans and strokes, as curves; no Qt.

Families of quantities tell their values in any poses, each with its definition, its limits and what it lacks. Curves
are these values along a way through the travel, and nothing is told of a pose to which the axle cannot go.
"""
