"""Everything with coordinates or sizes as tables, beside the drawing."""
