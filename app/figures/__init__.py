"""The numbers that follow from the width, each with its label, its definition and what it still lacks.

Panel and command line show these same records; they are made from geometry.plan and geometry.stance and know no Qt.
"""
