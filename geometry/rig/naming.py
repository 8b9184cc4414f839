"""What the parts that an axle carries are called, the same in drawing, search, table and report."""

from __future__ import annotations

from typing import Literal

from geometry.rig.axle import Axle, Rod
from geometry.rig.layout import PartRef, Side
from geometry.rig.parts import Node
from geometry.tolerances import COINCIDENT


def tire_part(axle: Axle, side: Side) -> PartRef:
    """One tire."""
    return PartRef("tire", axle.id, side, f"{side} {axle.id} tire")


def housing_part(axle: Axle) -> PartRef:
    """Both housing tubes, as one."""
    return PartRef("housing", axle.id, "", f"{axle.id} axle tube")


def centre_section_part(axle: Axle) -> PartRef:
    """The centre section."""
    return PartRef("centre section", axle.id, "", f"{axle.id} centre section")


def pinion_part(axle: Axle) -> PartRef:
    """The pinion's snout."""
    return PartRef("pinion", axle.id, "", f"{axle.id} pinion")


def tie_rod_part(axle: Axle) -> PartRef:
    """The rod that ties both knuckles."""
    return PartRef("tie rod", axle.id, "", f"{axle.id} tie rod")


def ram_part(axle: Axle) -> PartRef:
    """The body of the steering ram."""
    return PartRef("ram", axle.id, "", f"{axle.id} steering ram")


def drag_link_part(axle: Axle) -> PartRef:
    """The link from the pitman arm to a knuckle."""
    return PartRef("drag link", axle.id, "", f"{axle.id} drag link")


def driveshaft_part(axle: Axle) -> PartRef:
    """The shaft to the pinion."""
    return PartRef("driveshaft", axle.id, "", f"{axle.id} driveshaft")


def link_part(axle: Axle, rod: Rod) -> PartRef:
    """One rod; its side is that of its joint on the axle."""
    across = rod.axle[1]
    side: Side = "" if abs(across) <= COINCIDENT else "left" if across > 0.0 else "right"
    return PartRef("link", f"{axle.id}.{rod.id}", side, f"{axle.id} {rod.name or rod.id}")


def leaf_part(axle: Axle, side: Side) -> PartRef:
    """One leaf spring, both arms and the pack at the seat."""
    return PartRef("leaf spring", axle.id, side, f"{side} {axle.id} leaf spring")


def shackle_part(axle: Axle, side: Side) -> PartRef:
    """The shackle of one leaf spring."""
    return PartRef("shackle", axle.id, side, f"{side} {axle.id} shackle")


def joint_part(axle: Axle, rod: Rod, end: Literal["chassis", "axle"]) -> PartRef:
    """One joint of a rod; its side is the rod's."""
    link = link_part(axle, rod)
    return PartRef("joint", f"{link.id}.{end}", link.side, f"{link.label}, {end} end")


def node_part(node: Node, *, image: bool = False) -> PartRef:
    """One node, or its mirror image."""
    across = -node.at[1] if image else node.at[1]
    side: Side = "" if abs(across) <= COINCIDENT else "left" if across > 0.0 else "right"
    return PartRef("node", node.id, side, f"node {node.id}'" if image else f"node {node.id}")
