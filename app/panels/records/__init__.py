"""Forms for what the builder measures and chooses: cuts, perches, shafts, masses, rules, and the welded axle."""
