"""The rig: chassis, axles and what clearance is wanted, as one design."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from geometry.rig.axle import Axle
from geometry.rig.driveline import Gears
from geometry.rig.mass import Masses
from geometry.rig.parts import Bar, Label, LengthOrZero, Node, Panel
from geometry.rig.rules import Rules
from geometry.rig.underlay import Underlay

VERSION: Final = 1
"""Version of the rig file that this program writes."""

Place = Annotated[str, Meta(max_length=240, description="Path of fields and ids to a value, as in axles/rear/bump.")]


class WantedClearance(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The clearance the builder asks for, per kind of pair [mm]. Defaults are common practice, no source."""

    tire_bar: LengthOrZero = 19.05
    tire_panel: LengthOrZero = 12.7
    tire_link: LengthOrZero = 12.7
    tire_shock: LengthOrZero = 12.7
    axle_bar: LengthOrZero = 6.35
    axle_panel: LengthOrZero = 6.35
    link_bar: LengthOrZero = 6.35
    link_panel: LengthOrZero = 6.35
    shock_bar: LengthOrZero = 6.35
    shock_panel: LengthOrZero = 6.35
    shaft_bar: LengthOrZero = 12.7
    shaft_panel: LengthOrZero = 12.7
    tire_tie_rod: LengthOrZero = 12.7
    link_own: LengthOrZero = 6.35
    shock_own: LengthOrZero = 6.35
    shaft_own: LengthOrZero = 12.7
    tie_rod_own: LengthOrZero = 6.35


class Rig(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A whole design. Equal rigs are equal in every digit; a change makes a new rig.

    Attributes
    ----------
    masses : Masses or None
        What weighs beside the tubes; None = nothing of it is known.
    rules : Rules or None
        What bounds the width beside clearance.
    gears : Gears or None
        From the engine's revolutions to the tire's; None = nothing of it is known.
    underlays : tuple of Underlay
        Pictures behind the views, the lowest first.
    unconfirmed : tuple of places
        Values that nobody entered or confirmed, as in ``axles/rear/bump`` (see geometry.rig.unconfirmed).

    """

    format: Literal["wheelroom-rig"] = "wheelroom-rig"
    version: Literal[1] = 1
    name: Label
    note: Annotated[str, Meta(max_length=4000)] = ""
    wanted: WantedClearance = WantedClearance()
    nodes: Annotated[tuple[Node, ...], Meta(max_length=20000)] = ()
    bars: Annotated[tuple[Bar, ...], Meta(max_length=10000)] = ()
    panels: Annotated[tuple[Panel, ...], Meta(max_length=2000)] = ()
    axles: Annotated[tuple[Axle, ...], Meta(min_length=1, max_length=4)]
    masses: Masses | None = None
    rules: Rules | None = None
    gears: Gears | None = None
    underlays: Annotated[tuple[Underlay, ...], Meta(max_length=12)] = ()
    unconfirmed: Annotated[tuple[Place, ...], Meta(max_length=200_000)] = ()

    def axle(self, axle_id: str) -> Axle:
        """The axle of that id; KeyError when there is none."""
        for axle in self.axles:
            if axle.id == axle_id:
                return axle
        raise KeyError(axle_id)
