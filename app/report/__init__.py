"""The clearance report: what the study says, as pages that can be handed on.

`content` is the report in words and rows, `sheet` lays words, tables and pictures out on paper, `pdf` puts the two
together.
"""
