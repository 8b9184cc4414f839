"""What a builder does to a rig while sketching: every operation is a function from a rig to a new one.

Only the touched records are new; the rest is shared. What an operation returns has passed `geometry.rig.check`, or the
operation raises RigError in a sentence that says where and what to do. All lengths in mm, in the rig's frame.
"""
