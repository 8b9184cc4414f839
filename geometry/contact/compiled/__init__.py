"""The search of `geometry.contact.search` once more, pair by pair, for a compiler.

Optional: `ready` says whether it can be used. Nothing here is imported before that is asked, and without a compiler
the same code runs as plain Python, slowly, so that it can always be tested.
"""
