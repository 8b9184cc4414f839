"""Many mutated files of one kind through their loaders, in a process of its own; what happened is told as JSON.

Arguments: the kind (rig, csv, dxf), how many, and the seed. A fault is any error but the loader's own, a warning, more
than LONGEST, or a file that is opened, a program that is started or a connection that is made on the way.
"""

from __future__ import annotations

import gc
import json
import sys
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from time import process_time
from typing import Any, Final

from app.files.assets import demo_rigs
from app.files.csv_tables import write_tables
from app.files.dxf import read_drawing
from app.files.dxf_out import drawing_bytes
from app.files.imported import UNITS, ImportFileError
from app.files.rig_file import RigFileError, read_rig, rig_from_bytes, rig_to_bytes
from app.importing.source import Drawn, Tables, outcome
from geometry.errors import GeometryError, RigError
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.rig.rig import Rig
from tests.app.files.drawings import empty, written
from tests.faults.mutations import mutated_rig, torn
from tests.geometry.rig.rigs import small_rig

LONGEST: Final = 1.0
"""What a loader may take for one file [s of this process]."""

EACH: Final = 10
"""Of so many rigs that load one goes through the first steps of a check."""

MOST_FAULTS: Final = 20
OWN = (sys.prefix, sys.base_prefix, str(Path(__file__).parents[2]))
"""Where Python's modules and ours are, which may be loaded late."""

FORBIDDEN = ("subprocess.", "os.system", "os.exec", "os.posix_spawn", "os.fork", "os.remove", "os.rename", "os.mkdir")
FORBIDDEN = (*FORBIDDEN, "socket.", "shutil.", "ctypes.", "pickle.", "urllib.", "os.link", "os.symlink", "os.rmdir")


class Watch:
    """Notes what Python is asked to open or run while it is on."""

    def __init__(self) -> None:
        self.on, self.seen = False, ""
        sys.addaudithook(self._note)

    def _note(self, event: str, details: tuple[Any, ...]) -> None:
        if not self.on:
            return
        if event == "open" and not str(details[0]).startswith(OWN):
            self.seen = f"{event} {details[0]!r}"
        elif event.startswith(FORBIDDEN):
            self.seen = f"{event} {details!r}"


def rigs() -> list[Rig]:
    return [*map(read_rig, demo_rigs()), small_rig()]


def rig_mutants(chance: Random) -> Iterator[tuple[bytes, Callable[[], Rig]]]:
    texts = [rig_to_bytes(rig) for rig in rigs()]
    while True:
        data = mutated_rig(chance, chance.choice(texts))
        yield data, lambda data=data: rig_from_bytes(data, "mutant.rig.json")


def csv_mutants(chance: Random) -> Iterator[tuple[bytes, Callable[[], Rig]]]:
    texts = [write_tables(rig, unit) for rig in rigs() for unit in ("mm", "in")]
    texts += [text.replace(b",", b";").replace(b".", b",") for text in texts[:2]]
    texts += [text.decode("utf-8-sig").replace(",", "\t").encode("utf-16") for text in texts[:1]]
    texts += [b"a,1,2,3\nb,4,5 1/2 in,6\n", b'node,x [in],y [in],z [in]\n"a b",1 1/2,-2,60 3/16"\n']
    while True:
        data, unit = torn(chance, chance.choice(texts)), chance.choice((None, *UNITS))
        yield data, lambda data=data, unit=unit: brought_in(Tables("mutant.csv", data, unit))


def dxf_mutants(chance: Random) -> Iterator[tuple[bytes, Callable[[], Rig]]]:
    texts = [*map(drawing_bytes, rigs()), *map(drawn, RELEASES), *map(drawn, RELEASES)]
    while True:
        data = torn(chance, chance.choice(texts))
        yield data, lambda data=data: brought_in(Drawn("mutant.dxf", read_drawing(data), "mm"))


def drawn(release: str) -> bytes:
    """A drawing with what people draw: lines, arcs, polylines of both kinds, faces, blocks within blocks, layers."""
    document = empty(release, 4 if release != "R12" else 0)
    document.layers.add("tube 1.75x0.120")
    space = document.modelspace()
    space.add_line((0, 300, 500), (1500, 300, 500), {"layer": "tube 1.75x0.120"})
    space.add_arc((0, 0, 100), 200, 10, 120)
    space.add_circle((0, 0), 20)
    space.add_polyline3d([(0, 0, 20), (10, 0, 20), (10, 200, 20)])
    space.add_polyline2d([(0, 0, 0), (400, 0, 0.4), (500, 100, 0)], format="xyb")
    space.add_3dface([(0, 0, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0)])
    if release != "R12":
        space.add_lwpolyline([(0, 0, 0), (400, 0, 0.4), (500, 100, 0), (500, 600, 0)], format="xyb")
        space.add_spline([(0, 0), (1, 1), (2, 0), (3, 1)])
    document.blocks.new("inner").add_line((0, 0), (100, 0))
    outer = document.blocks.new("outer")
    outer.add_blockref("inner", (10, 0), {"rotation": 30, "xscale": 2})
    space.add_blockref("outer", (0, 0, 50))
    space.add_blockref("inner", (0, 0), {"row_count": 3, "column_count": 2, "row_spacing": 50, "column_spacing": 150})
    return written(document)


def brought_in(source: Tables | Drawn) -> Rig:
    """A demo rig with what came in."""
    return outcome(HOST, source, instead=False).rig


HOST = read_rig(demo_rigs()[0])
RELEASES = ("R12", "R2000", "R2013")
KINDS = {"rig": rig_mutants, "csv": csv_mutants, "dxf": dxf_mutants}
OWN_ERRORS = {"rig": (RigFileError,), "csv": (ImportFileError, RigError), "dxf": (ImportFileError, RigError)}


def first_steps(rig: Rig) -> None:
    """What a check begins with, and the way to the file and back."""
    assert repr(rig_from_bytes(rig_to_bytes(rig), "again")) == repr(rig)
    for axle in rig.axles:
        try:
            pose_map(linkage_of(axle))
        except GeometryError as refused:
            assert str(refused)  # noqa: PT017  (no test)


class Run:
    """Counts, times and faults of one run."""

    def __init__(self, kind: str, seed: int) -> None:
        self.kind, self.seed = kind, seed
        self.ends: Counter[str] = Counter()
        self.slowest = self.slowest_check = 0.0
        self.faults: list[str] = []
        self.watch = Watch()

    def fault(self, number: int, data: bytes, what: str) -> None:
        """Note a fault and keep its file."""
        self.watch.on = False
        place = Path(f"mutant-{self.kind}-{self.seed}-{number}")
        self.faults.append(f"{place}: {what}")
        place.write_bytes(data)

    def load(self, number: int, data: bytes, load: Callable[[], Rig]) -> None:
        """One file."""
        began, rig = process_time(), None
        self.watch.seen, self.watch.on = "", True
        try:
            rig = load()
        except OWN_ERRORS[self.kind] as refused:
            self.ends["refused"] += 1
            if not str(refused).isprintable() or len(str(refused)) > 1500:
                self.fault(number, data, f"no sentence: {str(refused)[:1000]!r}")
        except BaseException:  # noqa: BLE001  (that is what is looked for)
            self.fault(number, data, traceback.format_exc(limit=-6))
        finally:
            self.watch.on = False
        spent = process_time() - began
        self.slowest = max(self.slowest, spent)
        if spent > LONGEST:
            self.fault(number, data, f"took {spent:.2f} s")
        if self.watch.seen:
            self.fault(number, data, self.watch.seen)
        if rig is not None:
            self.ends["loaded"] += 1
            if self.ends["loaded"] % EACH == 1:
                self.check(number, data, rig)

    def check(self, number: int, data: bytes, rig: Rig) -> None:
        """The first steps of a check on a rig that has loaded."""
        began = process_time()
        try:
            first_steps(rig)
        except BaseException:  # noqa: BLE001  (see above)
            self.fault(number, data, traceback.format_exc(limit=-6))
        self.ends["checked"] += 1
        self.slowest_check = max(self.slowest_check, process_time() - began)


def peak() -> float:
    """The most memory that this process has had [MB]; of its own, where the system tells."""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii")
        return int(status.partition("VmHWM:")[2].split()[0]) / 1000.0
    except OSError:
        return float("nan")


def main(kind: str, count: int, seed: int) -> int:
    warnings.simplefilter("error")
    chance, run, before = Random(seed), Run(kind, seed), repr(HOST)  # noqa: S311  (damage, no secrets)
    for number, (data, load) in enumerate(KINDS[kind](chance)):
        if number == count or len(run.faults) >= MOST_FAULTS:
            break
        run.load(number, data, load)
    gc.collect()
    if repr(HOST) != before:
        run.faults.append("the rig that was open has changed")
    told = {
        **run.ends,
        "slowest": run.slowest,
        "slowest_check": run.slowest_check,
        "peak": peak(),
        "faults": run.faults,
    }
    print(json.dumps(told))  # noqa: T201  (told to the test)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3])))
