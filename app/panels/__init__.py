"""The panels around the views, one widget a file."""
