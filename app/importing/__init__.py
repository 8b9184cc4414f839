"""Taking a table or a drawing in: what it is, what is chosen about it, and a preview before anything is changed.

Nothing here is loaded before something is imported.
"""
