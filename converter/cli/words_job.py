"""What the options of ``words`` ask for, made: also where they stand in a layout file."""

from collections.abc import Mapping
from typing import Any

from converter.cli.options import read_frame
from converter.errors import InputError
from converter.folder.reading import read_pattern
from converter.measures import Units, units_of
from converter.model import Fabric, Pattern
from converter.words.colours import ColourPlan
from converter.words.frames import Frame
from converter.words.framing import frame_pattern
from converter.words.making import MadeWords, WordsJob, make_words
from converter.words.merging import merge
from converter.words.parts import LayoutSettings
from converter.words.text import read_text


def made_words(given: Mapping[str, Any], scale: float | None = None) -> MadeWords:
    """What the command's options ask for, made; with blocks at a ``scale`` that is settled elsewhere."""
    pattern = read_pattern(given["folder"])
    text = "\n".join(given["lines"]).replace("\\n", "\n")
    frame = read_frame(given)
    units: Units = given["units"] or units_of(pattern)
    pattern, remarks = merge(pattern, [read_pattern(folder) for folder in given["also"]], units)
    if frame and given["frame_on_foundation"]:
        pattern, frame = _framed(pattern, text, frame, units), None
    job = WordsJob(
        text,
        _layout(given, frame, scale),
        _colours(given),
        units,
        given["copies"],
        given["fabric_width"],
        given["patch_margin"],
        given["finishing"],
        remarks,
        given["round_to"],
    )
    return make_words(pattern, job)


def _layout(given: Mapping[str, Any], frame: Frame | None, scale: float | None) -> LayoutSettings:
    names = ("align", "word_space", "line_strip", "border")
    targets = {name: given[name] for name in ("target_width", "target_height")}
    by_eye, spacing = given["spacing"]
    return LayoutSettings(
        **{name: given[name] for name in names},
        **targets,
        fit=given["meet_target"],
        widths="fixed" if given["equal_widths"] else "proportional",
        frame=frame,
        spacing=spacing,
        by_eye=by_eye,
        scale=scale,
    )


def _framed(pattern: Pattern, text: str, frame: Frame, units: Units) -> Pattern:
    """The needed blocks in frames of pieces; others may not fit, and need not."""
    needed = {g.key for line in read_text(pattern, text) for word in line.words for g in word}
    return frame_pattern(pattern, frame, units, needed)


def _colours(given: Mapping[str, Any]) -> ColourPlan:
    letters = given["letters"]
    for what in ("binding", "backing"):
        if given[f"{what}_fabric"] and not given["finishing"]:
            raise InputError(f"--{what}-fabric needs --finishing, which adds binding, backing and wadding.")
    groups: dict[tuple[str, str], Fabric] = {}
    for group in given["groups"]:
        groups |= group
    return ColourPlan(
        letters=letters,
        by=given["by"] or ("letter" if len(letters) > 1 else "set"),
        background=given["background"],
        strips=given["strip_fabric"],
        frame=given["frame_fabric"],
        border=given["border_fabric"],
        binding=given["binding_fabric"],
        backing=given["backing_fabric"],
        only=dict(given["own"]),
        groups=groups,
    )
