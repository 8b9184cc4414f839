"""Every paper and file that is made of a demo rig, put into a folder by a process of its own."""

from __future__ import annotations

import sys
from pathlib import Path

from app.commands import run
from app.export import write_cut_sheets, write_report, write_survey
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.study import check
from app.units import LengthUnit

REPORTS = ("report.pdf", "report.csv", "report.json")
FRAMES = ("frame.csv", "frame.dxf")
CUTS = ("cuts.pdf", "cuts.csv", "cuts.json")
NAMES = (*REPORTS, "survey.pdf", *CUTS, *FRAMES)


def main(folder: Path) -> int:
    path = demo_rigs()[0]
    rig = read_rig(path)
    study = check(rig)
    for name in REPORTS:
        write_report(folder / name, study, (), LengthUnit.FRACTION, rig_file=path.name)
    write_survey(folder / "survey.pdf", rig, LengthUnit.FRACTION, rig_file=path.name)
    long = read_rig(demo_rigs()[1])
    for name in CUTS:
        write_cut_sheets(folder / name, long, [axle.id for axle in long.axles], LengthUnit.FRACTION)
    return max(run(["convert", str(path), "--out", str(folder / name)], lambda _: 9) for name in FRAMES)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
