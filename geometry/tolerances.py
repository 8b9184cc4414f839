"""Every tolerance of the geometry, with its unit and the reason for its size."""

from __future__ import annotations

from typing import Final

CLEARANCE: Final = 0.25
"""Width of the interval [low, high] of a closest approach [mm]. A hundredth of an inch: under any tape."""

OVERLAP_SHARE: Final = 0.05
"""Share of an overlap's depth to which it is resolved when that is coarser than CLEARANCE [-].
Nobody cuts by how deep a tire sits inside a tube; half the search time went into such depths."""

FAR: Final = 100.0
"""Clearance beyond which it is enough to prove that it is larger [mm]. Four inches is out of every decision."""

POSE: Final = 1e-4
"""Largest error of a tabulated axle point within the travel [mm]: small against CLEARANCE, met at degree 8 to 12."""

POSE_AT_MOST: Final = 0.01
"""Error of a tabulated axle point from which the travel counts as not established [mm]. Searches take it off every
distance they meet, with a lever ten times as long: more would say contact where a tenth of a millimetre is left."""

CLOSURE: Final = 1e-9
"""Largest residual of a rod's length after Newton [mm]; double precision leaves about 1e-12."""

FLAT: Final = 1.0
"""Largest distance of a panel's corner from the panel's plane [mm]. Sheet follows a tube that much without a crease."""

COINCIDENT: Final = 1e-6
"""Distance under which two points are the same [mm]: rounding of typed coordinates, far below any tape."""

ARC_SAGITTA: Final = 0.5
"""Largest rise of a bend's arc over the straight that stands for it [mm]; it is added to the tube's radius
there, so that the straight covers the arc."""

TRAVEL_STEP: Final = 60.0
"""Step of travel in which a pose is followed from ride height [mm]: a few degrees of any usual rod, well inside the
reach of Newton."""

TRAVEL_FOUND: Final = 1.0
"""Bracket in which the travel is given at which a linkage ends [mm]: no stop is set finer."""

SHORTEST_TRAVEL: Final = 1.0
"""Least half width of a pose map [mm], so that an axle without travel has one too."""

PLAY: Final = 0.02
"""Smallest play in the rods that may let the axle move by 1 mm [mm/mm]. Below it a worn joint's half millimetre is an
inch at the axle. Common practice, no source."""

GIVE: Final = 6.0
"""Largest change of a rod's length that its two bushings take up [mm], 3 mm each. Common practice, no source."""

SECOND_ASSEMBLY: Final = 50.0
"""Distance of a joint to its place in another assembly under which give and play can carry the axle over [mm].
Common practice, no source."""

SAME_ASSEMBLY: Final = 1e-3
"""Distance of a joint under which two solutions are the same one [mm]: CLOSURE over PLAY, with room."""

LENGTH_FOUND: Final = 0.05
"""Width of the interval [low, high] of a shaft's least and greatest length [mm]: under any rule, and a fifth of
CLEARANCE."""

ANGLE_FOUND: Final = 2e-4
"""The same of a joint's working angle or misalignment [rad]: a hundredth of a degree, which no protractor shows."""

STILL: Final = 1e-9
"""Turn per travel under which an axle does not turn [rad/mm]: its instant centre is a thousand kilometres away."""
