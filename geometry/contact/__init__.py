"""What touches what: solids, exact distances, the whole-travel search, contact starts and the width window."""
