"""Wheelroom, the program: rig files, answers, command line, window and report on top of `geometry`."""
