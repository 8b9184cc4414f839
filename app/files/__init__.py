"""Files in and out without Qt: the rig file, the answers as JSON and CSV, the assets that come with the program.

Everything written here appears whole or not at all, and numbers survive a round trip to the last digit.
"""
