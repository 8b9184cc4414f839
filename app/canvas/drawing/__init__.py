"""Modes for drawing in the views: bars, panels, measuring, splitting, extending; what they snap to and how it shows.

Each mode follows `app.canvas.modes.Mode`. They share `settings.DrawingSettings` and what `snapping.Snapping` does.
"""
