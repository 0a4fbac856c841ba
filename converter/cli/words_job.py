"""What the options of ``words`` ask for, made: also where they stand in a layout file."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from converter.cli.options import read_frame
from converter.errors import InputError
from converter.folder.reading import read_pattern
from converter.measures import Units, units_of
from converter.model import Fabric, Glyph, Pattern
from converter.words.colours import ColourPlan
from converter.words.frames import Frame
from converter.words.framing import frame_pattern
from converter.words.making import MadeWords, WordsJob, make_words
from converter.words.merging import merge
from converter.words.parts import LayoutSettings
from converter.words.text import label, read_text


def made_words(given: Mapping[str, Any], scale: float | None = None) -> MadeWords:
    """What the command's options ask for, made; with blocks at a ``scale`` that is settled elsewhere."""
    text, frame = _text(given), read_frame(given)
    pattern, units, remarks = _merged(given)
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
        given.get("legends", ()),
    )
    return make_words(pattern, job)


@contextmanager
def told_by_character(
    given: Mapping[str, Any], alone: Callable[[Mapping[str, Any]], object]
) -> Iterator[None]:
    """Where the program fails, the characters of the text on which it fails by themselves are told in one line.

    Words cannot be sewn without one of their letters, so nothing goes on without it. ``alone`` is given the options
    for one character after the other. What fails without any of them at fault is raised as it was.
    """
    try:
        yield
    except (InputError, OSError):
        raise
    except Exception:
        failed = [label(glyph) for glyph in _needed(given) if _fails(alone, given, glyph)]
        if not failed:
            raise
    else:
        return
    raise InputError(
        f"the program failed on {', '.join(failed)}; write the words without, or draw the block by hand (see blank)."
    )


def _fails(alone: Callable[[Mapping[str, Any]], object], given: Mapping[str, Any], glyph: Glyph) -> bool:
    """Whether the program fails on a character, in the size asked for or, where that is none for it, in its own."""
    one = {**given, "lines": (f"{{{glyph.name}}}",), "own": (), "groups": (), "legends": ()}
    for asked in (one, {**one, "target_width": None, "target_height": None}):
        try:
            alone(asked)
        except InputError:
            continue
        except Exception:
            return True
    return False


def _needed(given: Mapping[str, Any]) -> list[Glyph]:
    """Each character of the text, once."""
    pattern, _, _ = _merged(given)
    return list(
        dict.fromkeys(g for line in read_text(pattern, _text(given)) for word in line.words for g in word)
    )


def _text(given: Mapping[str, Any]) -> str:
    return "\n".join(given["lines"]).replace("\\n", "\n")


def _merged(given: Mapping[str, Any]) -> tuple[Pattern, Units, tuple[str, ...]]:
    """The set with what it takes from others, its units, and what was done to them."""
    pattern = read_pattern(given["folder"])
    units: Units = given["units"] or units_of(pattern)
    merged, remarks = merge(pattern, [read_pattern(folder) for folder in given["also"]], units)
    return merged, units, remarks


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
