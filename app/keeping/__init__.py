"""Work is kept: the rig's file, what is recovered after a crash, and who else has the file or has changed it."""
