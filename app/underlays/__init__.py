"""Pictures behind the views: the window that they are placed in, and what clicks in a view do meanwhile."""
