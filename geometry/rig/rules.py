"""Rules of the builder's own choice that bound the width, beside clearance: what a trail, a slope or a rock allows."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, Struct

from geometry.rig.parts import Id, Label, Length, LengthOrZero

Measure = Literal["outer", "tread", "rim"]


class WidthLimit(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A largest width, measured as whoever set it measures.

    Attributes
    ----------
    measure : str
        ``outer``: outside of the tires at section width; ``tread``: outer edge of one tread to that of the other;
        ``rim``: outside of one rim to outside of the other.
    most : float
        Largest width that is allowed [mm].

    """

    id: Id
    name: Label = ""
    measure: Measure
    most: Length


class Rules(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What bounds the width of every axle; a rule that is not set bounds nothing.

    Attributes
    ----------
    widths : tuple of WidthLimit
    least_factor : float or None
        Least static stability factor of either axle, empty and loaded: half the track over the height of the centre of
        gravity [-].
    least_tip_deg : float or None
        Least angle of a side slope at which the rig tips, told from that factor [degrees].
    most_pocket : float or None
        Largest rail pocket [mm].

    """

    widths: Annotated[tuple[WidthLimit, ...], Meta(max_length=32)] = ()
    least_factor: Annotated[float, Meta(gt=0.0, le=10.0, description="[-]")] | None = None
    least_tip_deg: Annotated[float, Meta(gt=0.0, lt=90.0, description="[degrees]")] | None = None
    most_pocket: LengthOrZero | None = None
