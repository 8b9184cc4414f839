from __future__ import annotations

from time import perf_counter

import pytest
from msgspec.structs import replace

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from geometry.rig.check import check_rig
from geometry.rig.parts import Bar, Node, Point
from geometry.rig.rig import Rig
from geometry.sketch.notes import Note, NoteKind, find_notes
from geometry.sketch.start import start_rig
from geometry.sketch.start_numbers import Locating, StartNumbers

GLANCE = 0.15
"""Time that notes may take on 500 loose bars, the worst there is, on a busy machine [s]; an idle one takes a fifth."""


@pytest.fixture(scope="module")
def sound() -> Rig:
    return start_rig(StartNumbers())


def bar(bar_id: str, *nodes: str, mirrored: bool = False) -> Bar:
    return Bar(id=bar_id, nodes=nodes, od=38.1, wall=3.0, mirrored=mirrored)


def more(rig: Rig, bars: tuple[Bar, ...] = (), **nodes: Point) -> Rig:
    made = replace(
        rig, nodes=(*rig.nodes, *(Node(id=name, at=at) for name, at in nodes.items())), bars=(*rig.bars, *bars)
    )
    check_rig(made)
    return made


def at(rig: Rig, node_id: str) -> Point:
    return next(node.at for node in rig.nodes if node.id == node_id)


def only(rig: Rig) -> Note:
    notes = find_notes(rig)
    assert len(notes) == 1, [note.problem for note in notes]
    return notes[0]


def mended(rig: Rig, note: Note) -> Rig:
    assert note.mend is not None
    assert note.mend_words
    after = note.mend(rig)
    check_rig(after)
    return after


@pytest.mark.parametrize("path", demo_rigs(), ids=lambda path: path.name)
def test_the_demo_rigs_have_no_notes(path: str) -> None:
    assert find_notes(read_rig(path)) == ()


@pytest.mark.parametrize("locating", Locating)
def test_a_started_rig_has_no_notes(locating: Locating) -> None:
    assert find_notes(start_rig(StartNumbers(front=locating, rear=locating))) == ()


def test_an_end_that_meets_nothing_is_loose_and_takes_the_builder(sound: Rig) -> None:
    rig = more(sound, (bar("stub", "rear-roof", "up"),), up=(600.0, 500.0, 2300.0))
    note = only(rig)
    assert note.kind is NoteKind.LOOSE_END
    assert [part.id for part in note.parts] == ["stub", "up"]
    assert note.problem == "“stub, left” ends loose at node up: no other bar is within 50.8 mm of it"
    assert note.mend is None


def test_an_end_that_lands_in_the_wall_of_another_tube_is_held(sound: Rig) -> None:
    x, y, z = at(sound, "rear-roof")
    rig = more(sound, (bar("strut", "middle-sill", "up", mirrored=True),), up=(x + 200.0, y - 30.0, z))
    assert find_notes(rig) == ()


def test_an_end_that_misses_a_bar_is_brought_to_it(sound: Rig) -> None:
    x, y, z = at(sound, "rear-roof")
    rig = more(sound, (bar("strut", "middle-sill", "up", mirrored=True),), up=(x + 200.0, y, z + 61.0))
    note = only(rig)
    assert note.kind is NoteKind.NEAR_MISS
    assert note.problem == f"“strut, left” misses “roof rail, left” by {61.0 - 19.05 - 22.225:.1f} mm at node up"
    after = mended(rig, note)
    assert at(after, "up") == pytest.approx((x + 200.0, y, z))
    assert find_notes(after) == ()


def test_an_end_that_misses_a_node_takes_it_and_leaves_no_node_behind(sound: Rig) -> None:
    x, y, z = at(sound, "rear-tip")
    rig = more(sound, (bar("strut", "rear-roof'", "up"),), up=(x - 20.0, -y - 20.0, z - 55.0))
    after = mended(rig, only(rig))
    assert next(one.nodes for one in after.bars if one.id == "strut") == ("rear-roof'", "rear-tip'")
    assert after.nodes == sound.nodes


def test_an_end_that_misses_its_own_image_goes_to_the_centre_plane(sound: Rig) -> None:
    rig = more(sound, (bar("spur", "middle-sill", "keel", mirrored=True),), keel=(1300.0, 35.0, 900.0))
    note = only(rig)
    assert note.kind is NoteKind.NEAR_MISS
    assert at(mended(rig, note), "keel") == (1300.0, 0.0, 900.0)


def test_two_nodes_for_one_are_made_one(sound: Rig) -> None:
    x, y, z = at(sound, "rear-roof")
    rig = more(sound, (bar("strut", "middle-sill", "up", mirrored=True),), up=(x, y, z + 0.3))
    note = only(rig)
    assert note.kind is NoteKind.SAME_NODE
    assert note.problem == "nodes rear-roof and up lie 0.3 mm apart"
    after = mended(rig, note)
    assert next(one.nodes for one in after.bars if one.id == "strut") == ("middle-sill", "rear-roof")
    assert find_notes(after) == ()


def test_a_bar_that_is_there_twice_goes_and_the_mirrored_one_stays(sound: Rig) -> None:
    once = next(one for one in sound.bars if one.id == "roof-rail")
    image = bar("second", *(f"{ref}'" for ref in reversed(once.nodes)))
    rig = more(sound, (image,))
    note = only(rig)
    assert note.kind is NoteKind.DOUBLED
    assert note.problem == "“second, right” lies on “roof rail, left” over its whole length"
    assert mended(rig, note) == sound


@pytest.mark.parametrize("off", [0.2, -4.0])
def test_a_node_by_the_centre_plane_is_put_on_it(sound: Rig, off: float) -> None:
    rig = more(sound, (bar("post", "keel", "rear-shoulder"),), keel=(1300.0, off, 530.0))
    notes = [note for note in find_notes(rig) if note.kind is NoteKind.OFF_MIRROR]
    assert [note.problem for note in notes] == [f"node keel lies {abs(off):g} mm off the centre plane"]
    assert at(mended(rig, notes[0]), "keel") == (1300.0, 0.0, 530.0)


def test_a_node_by_the_image_of_another_is_moved_to_it(sound: Rig) -> None:
    x, y, z = at(sound, "rear-roof")
    rig = more(sound, (bar("strut", "middle-sill'", "up"),), up=(x, -y + 4.0, z))
    note = only(rig)
    assert note.kind is NoteKind.OFF_MIRROR
    assert note.problem == "node up lies 4 mm off the mirror image of node rear-roof"
    assert at(mended(rig, note), "up") == (x, -y, z)


def test_a_link_out_of_reach_of_every_bar_is_said_with_its_joint(sound: Rig) -> None:
    rear = sound.axles[0]
    rod = rear.rods[0]
    x, y, z = rod.chassis
    rods = (replace(rod, chassis=(x, y, z - 300.0)), *rear.rods[1:])
    note = only(replace(sound, axles=(replace(rear, rods=rods), *sound.axles[1:])))
    assert note.kind is NoteKind.LINK
    assert [part.kind for part in note.parts] == ["link", "joint"]
    assert note.problem == "the chassis end of “rear lower link, left” lies 278 mm from the nearest bar"


def test_a_joint_by_the_image_of_its_counterpart_is_moved_to_it(sound: Rig) -> None:
    rear = sound.axles[0]
    left, right, *others = rear.rods
    x, y, z = left.chassis
    slipped = replace(right, chassis=(x, -y, z + 3.0))
    rig = replace(sound, axles=(replace(rear, rods=(left, slipped, *others)), *sound.axles[1:]))
    note = only(rig)
    one, other = (f"“rear lower link, {side}, chassis end”" for side in ("right", "left"))
    assert note.problem == f"{one} lies 3 mm off the mirror image of {other}"
    assert mended(rig, note) == sound


def test_a_shared_joint_by_the_centre_plane_is_put_on_it_for_both_links() -> None:
    sound = start_rig(StartNumbers(rear=Locating.WISHBONE))
    rear = sound.axles[0]
    rods = tuple(replace(rod, axle=(rod.axle[0], rod.axle[1] or 2.0, rod.axle[2])) for rod in rear.rods)
    rig = replace(sound, axles=(replace(rear, rods=rods), *sound.axles[1:]))
    note = only(rig)
    assert note.problem.endswith("lies 2 mm off the centre plane")
    assert mended(rig, note) == sound


@pytest.mark.parametrize(("unit", "size"), [("inches", 25.4), ("centimetres", 10.0), ("metres", 1000.0)])
def test_a_chassis_in_another_unit_is_said_once_and_read_anew(sound: Rig, unit: str, size: float) -> None:
    small = replace(
        sound,
        nodes=tuple(replace(n, at=(n.at[0] / size, n.at[1] / size, n.at[2] / size)) for n in sound.nodes),
        bars=tuple(replace(one, bend_radius=0.0) for one in sound.bars),
    )
    note = only(small)
    assert note.kind is NoteKind.UNIT
    assert note.problem.endswith(f"the nodes look like {unit}")
    after = mended(small, note)
    for one, other in zip(after.nodes, sound.nodes, strict=True):
        assert one.at == pytest.approx(other.at)


def test_a_node_far_off_looks_like_another_unit(sound: Rig) -> None:
    rig = more(sound, (bar("strut", "rear-tip", "out"),), out=(-9000.0, 300.0, 700.0))
    assert [note.kind for note in find_notes(rig)] == [NoteKind.UNIT, NoteKind.LOOSE_END]


def test_bars_as_loose_lines_are_brought_together_note_by_note(sound: Rig) -> None:
    nodes, bars = list(sound.nodes), []
    for one in (each for each in sound.bars if len(each.nodes) == 2):
        refs = []
        for end, ref in enumerate(one.nodes):
            x, y, z = at(sound, ref.removesuffix("'"))
            name = f"{one.id}-{end}"
            nodes.append(Node(id=name, at=(x + 0.2, (-y if ref.endswith("'") else y), z)))
            refs.append(name)
        bars.append(replace(one, nodes=tuple(refs)))
    rig = replace(sound, nodes=tuple(nodes), bars=(*(each for each in sound.bars if len(each.nodes) > 2), *bars))
    for _ in range(200):
        notes = [note for note in find_notes(rig) if note.mend is not None]
        if not notes:
            break
        rig = mended(rig, notes[0])
    assert not [note for note in find_notes(rig) if note.mend is not None]
    places = [at(sound, node.id) for node in sound.nodes]
    for node in rig.nodes:
        x, y, z = node.at
        assert any((x, abs(y), z) == pytest.approx((a, abs(b), c), abs=0.3) for a, b, c in places)


def soup(count: int) -> Rig:
    """Loose lines by the hundred, in rows, 0.3 mm from each other at their ends."""
    nodes, bars = [], []
    for k in range(count):
        x, y, z = 80.0 * (k % 25), 60.0 + 90.0 * (k // 25 % 5), 500.0 + 200.0 * (k // 125)
        for end, shift in enumerate((0.0, 79.7)):
            nodes.append(Node(id=f"n{k}-{end}", at=(x + shift, y, z)))
        bars.append(bar(f"b{k}", f"n{k}-0", f"n{k}-1", mirrored=True))
    return replace(start_rig(StartNumbers()), nodes=tuple(nodes), bars=tuple(bars))


def test_notes_on_five_hundred_loose_bars_take_no_longer_than_a_glance() -> None:
    rig = soup(500)
    times = []
    for _ in range(5):
        start = perf_counter()
        notes = find_notes(rig)
        times.append(perf_counter() - start)
    assert len(notes) > 400
    assert min(times) < GLANCE
