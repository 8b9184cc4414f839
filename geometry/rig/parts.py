"""Nodes, bars and panels of the chassis."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta, Struct

Id = Annotated[
    str,
    Meta(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*(?!\n)$",
        max_length=64,
        description="Short name without blanks; letters, digits, dot, dash and underscore.",
    ),
]
NodeRef = Annotated[
    str,
    Meta(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*'?(?!\n)$",
        max_length=65,
        description="Id of a node; an apostrophe behind it names its mirror image across the centre plane.",
    ),
]
Label = Annotated[str, Meta(max_length=120, description="Name as the builder says it.")]
Coordinate = Annotated[float, Meta(ge=-20000.0, le=20000.0, description="[mm]")]
Point = Annotated[
    tuple[Coordinate, Coordinate, Coordinate],
    Meta(description="x forward, y left, z up from the ground below the rear axle at ride height [mm]."),
]
Length = Annotated[float, Meta(gt=0.0, le=20000.0, description="[mm]")]
LengthOrZero = Annotated[float, Meta(ge=0.0, le=20000.0, description="[mm]")]


class Node(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A named point of the chassis. With an apostrophe behind its id, its mirror image is meant."""

    id: Id
    at: Point


class Bar(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A round tube along two or more nodes, bent at the inner ones.

    Attributes
    ----------
    nodes : tuple of node references, two at least
    od, wall : float
        Outside diameter and wall thickness [mm].
    bend_radius : float
        Centre-line radius of the bends at the inner nodes [mm]; 0 = mitred.
    mirrored : bool
        The bar also exists on the other side of the centre plane.

    """

    id: Id
    name: Label = ""
    nodes: Annotated[tuple[NodeRef, ...], Meta(min_length=2, max_length=64)]
    od: Length
    wall: Length
    bend_radius: LengthOrZero = 0.0
    mirrored: bool = False


class Panel(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A flat or faceted body skin, fitted or off. A panel that is off takes no part in any check.

    Attributes
    ----------
    facets : tuple of node loops
        Each loop of three nodes or more lies in one plane; a flat panel has a single one.
    thickness : float
        The skin spreads half of it to each side of the plane through the nodes [mm].

    """

    id: Id
    name: Label = ""
    facets: Annotated[
        tuple[Annotated[tuple[NodeRef, ...], Meta(min_length=3, max_length=32)], ...],
        Meta(min_length=1, max_length=64),
    ]
    thickness: Length = 2.0
    fitted: bool = True
    mirrored: bool = False
