"""The pictures of the rig: what they show, and how it is painted on screen, in PDF and in SVG alike.

The views on top of them add pan, zoom, picking and the mouse tools.
"""
