"""Every setting of a conversion, each said once: as a field with its kind, its default and its help.

All else comes from these fields: the options of ``convert``, the keys of ``alphabet.toml``, the checks, what a
pattern says of the settings that it was made with, and how that is read again. All lengths are mm.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from types import MappingProxyType
from typing import Any, Literal, get_args

from converter.budgets import fonts as budgets
from converter.errors import InputError
from converter.fonts.loading import Font
from converter.fonts.plain import plain_text
from converter.limits import resolve_limits
from converter.measures import UNITS, Units, is_metric, measured_text, natural_units
from converter.placement import Fit, Frame, Width
from converter.settings import kinds
from converter.settings.kinds import Kind, Of, naming, near
from converter.units import MM_PER_INCH, Size, parse_size


@dataclass(frozen=True, slots=True)
class Detail:
    """What truth to the font is worth, in pieces."""

    truth: float  # all of the letter's area
    level: float  # times what it is worth by itself that bowls and long straights are level where the font is


Effort = Literal["draft", "normal", "thorough"]
EffortFor = Literal["all", "promising"]
METRIC_ALLOWANCE = 7.0  # mm; common practice where rulers are metric, no source
MARGIN_SHARE = 1 / 16  # of the block's height, where no margin is given: 1/4 in in a 3 × 4 in block
DETAILS = MappingProxyType(
    {
        "coarse": Detail(truth=4.0, level=0.2),
        "plain": Detail(truth=8.0, level=0.4),
        "balanced": Detail(truth=12.0, level=2.5),
        "fine": Detail(truth=60.0, level=2.5),
        "finest": Detail(truth=180.0, level=5.0),
    }
)
ACCEPTABLE = (  # ids of the findings that a designer may accept: those of blocks that can be sewn
    "alternative-missing", "colours-merged", "counter-lost",
    "cut-off", "edge-jumps", "edges-cross", "far-from-outline", "low-overlap",
    "many-pieces", "many-sections", "narrow-piece", "narrowed", "not-compared", "not-proved", "outline-repaired",
    "part-lost", "pinched", "search-budget", "sharp-corner", "stands-out", "stroke-end", "thin-strokes",
    "too-intricate",
)  # fmt: skip

MOST_TREATMENTS = 100  # of a part; no run has so many

SMALLEST_BLOCK, LARGEST_BLOCK = 20.0, 1000.0  # mm; below, nothing can be sewn; above, no cloth is wide enough
_BLOCK = kinds.size(SMALLEST_BLOCK, LARGEST_BLOCK)
_MARGIN, _PIECE_WIDTH = kinds.length(), kinds.length(0.5, share=1 / 4)
_ALLOWANCE = kinds.length(1.0, 50.0)
_WIDTH, _DETAIL = kinds.choice(get_args(Width)), kinds.choice(DETAILS)


@dataclass(frozen=True, slots=True)
class Setting:
    """What is said of a setting beside its name, type and default.

    ``help`` is empty where there is no option; ``shown`` is the default as the help shows it, where it would not be
    plain. ``in_pattern``: whether the pattern's settings say it; colours stand with its fabrics.
    """

    kind: Kind
    help: str = ""
    shown: str = ""
    in_pattern: bool = True


def _said(kind: Kind, help: str = "", shown: str = "", in_pattern: bool = True) -> dict[str, Setting]:
    return {"setting": Setting(kind, help, shown, in_pattern)}


@dataclass(frozen=True, slots=True)
class GlyphSettings:
    """What may be set for one glyph alone; None where the run's setting holds.

    ``alternative``: 1 is the first. ``accept``: id of a finding: why it is accepted.

    >>> Settings(glyphs={"Q": GlyphSettings(detail="coarse")}).for_glyph("Q").detail
    'coarse'
    """

    detail: str | None = field(default=None, metadata=_said(_DETAIL))
    alternative: int | None = field(default=None, metadata=_said(kinds.count("as a number", 1000)))
    width: Width | None = field(default=None, metadata=_said(_WIDTH))
    margin: float | None = field(default=None, metadata=_said(_MARGIN))
    min_piece_width: float | None = field(default=None, metadata=_said(_PIECE_WIDTH))
    accept: Mapping[str, str] = field(default_factory=dict, metadata=_said(kinds.reasons(ACCEPTABLE)))


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting of a conversion. Lengths in mm. Raises :class:`InputError` for what makes no sense.

    ``limits``: those given; once made, it has all limits. ``parts``: by the name of a part that letters share, the
    number of the treatment it is to have.

    >>> Settings(block=(75, 100), detail="plain").frame().margin
    6.25
    """

    block: tuple[float, float] = field(
        default=parse_size("3x4in"),
        metadata=_said(_BLOCK, "Finished size of the block, like 3x4in or 75x100mm.", "3x4in"),
    )
    margin: float | None = field(
        default=None,
        metadata=_said(
            _MARGIN, "Leave this much background around the letter.", "1/16 of the block's height"
        ),
    )
    fit: Fit = field(
        default="together",
        metadata=_said(kinds.choice(get_args(Fit)), "All glyphs at one scale, or each filling its block."),
    )
    width: Width = field(
        default="fixed", metadata=_said(_WIDTH, "All blocks of one width, or each as wide as needed.")
    )
    units: Units | None = field(
        default=None,
        metadata=_said(
            kinds.choice(UNITS), "Of lengths, wherever the set has any; both: inches, then mm.", "the block's"
        ),
    )
    seam_allowance: float | None = field(
        default=None,
        metadata=_said(_ALLOWANCE, "Seam allowance round the block.", "1/4in, or 7mm in a metric set"),
    )
    piece_allowance: float | None = field(
        default=None,
        metadata=_said(
            _ALLOWANCE, "Seam allowance between pieces and between sections.", "that round the block"
        ),
    )
    grid: float = field(
        default=MM_PER_INCH / 16,
        metadata=_said(
            kinds.length(0.1, share=1 / 8),
            "Resolution of the block: merge lines closer than this.",
            "1/16in",
        ),
    )
    min_piece_width: float = field(
        default=MM_PER_INCH / 8, metadata=_said(_PIECE_WIDTH, "Make no piece narrower than this.", "1/8in")
    )
    detail: str = field(
        default="balanced",
        metadata=_said(_DETAIL, "How closely to follow the font: finer detail takes more pieces."),
    )
    section_price: float = field(
        default=0.9,
        metadata=_said(
            kinds.number("pieces", 0, 100),
            "Pieces that saving a section is worth; raise it for fewer sections.",
        ),
    )
    effort: Effort = field(
        default="normal",
        metadata=_said(
            kinds.choice(get_args(Effort)),
            "How long to search for better figures; draft gives a first look at a set.",
        ),
    )
    effort_for: EffortFor = field(
        default="all",
        metadata=_said(
            kinds.choice(get_args(EffortFor)),
            "Give the effort to all glyphs, or draft all first and give it to those that it may make ready.",
        ),
    )
    budget: int = field(
        default=4000,
        metadata=_said(
            kinds.count("states", 10_000_000), "Limit the search for seams to this many states per glyph."
        ),
    )
    figure_colour: str = field(
        default="#1f4e5f",
        metadata=_said(kinds.COLOUR, "Draw letters in this colour.", in_pattern=False),
    )
    background_colour: str = field(
        default="#f4efe6",
        metadata=_said(kinds.COLOUR, "Draw backgrounds in this colour.", in_pattern=False),
    )
    limits: Mapping[str, float] = field(default_factory=dict, metadata=_said(kinds.LIMITS))
    glyphs: Mapping[str, GlyphSettings] = field(default_factory=dict)
    parts: Mapping[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        of = Of(min(self.block), self.speaks)
        _check(self, of)
        object.__setattr__(self, "limits", resolve_limits(self.limits))
        if self.piece_allowance is not None and self.piece_allowance > self.allowance:
            inner, edge = (measured_text(mm, self.speaks) for mm in (self.piece_allowance, self.allowance))
            raise InputError(
                f"piece_allowance: {inner} is more than the {edge} round the block; take as much or less."
            )
        self.frame()
        for name, own in self.glyphs.items():
            with naming(f"glyph {plain_text(name, budgets.NAME.most)!r}"):
                _check(own, of)
                self.frame(own)

    @property
    def speaks(self) -> Units:
        """The units of the set: as said, or those in which the block was written."""
        if self.units is not None:
            return self.units
        return self.block.unit if isinstance(self.block, Size) else natural_units(*self.block)

    @property
    def allowance(self) -> float:
        """The seam allowance, in mm; a round one in the set's units where none is said."""
        if self.seam_allowance is not None:
            return self.seam_allowance
        return METRIC_ALLOWANCE if is_metric(self.speaks) else MM_PER_INCH / 4

    def frame(self, glyph: GlyphSettings | None = None) -> Frame:
        """How glyphs are placed, for the run or with one glyph's own settings."""
        own = glyph or GlyphSettings()
        run = self.block[1] * MARGIN_SHARE if self.margin is None else self.margin
        side = run if own.margin is None else own.margin
        # On one baseline with the others, a glyph keeps their height.
        above = run if self.fit == "together" else side
        return Frame(*self.block, above, self.fit, own.width or self.width, side)

    def of(self, name: str) -> GlyphSettings:
        """The settings of one glyph."""
        return self.glyphs.get(name, GlyphSettings())

    def for_glyph(self, name: str) -> "Settings":
        """The settings as they hold for one glyph, its own in place of the run's; but see :meth:`frame`."""
        own = self.of(name)
        return replace(
            self,
            detail=own.detail or self.detail,
            min_piece_width=own.min_piece_width or self.min_piece_width,
            glyphs={},
        )

    def check_names(self, font: Font) -> None:
        """Raises :class:`InputError` where something is set for a glyph that the font does not have."""
        known = set(font.glyph_names)
        for name in self.glyphs:
            if name in known:
                continue
            said = f"{font.file}: there are settings for glyph {plain_text(name, budgets.NAME.most)!r}, "
            if len(name) == 1 and ord(name) in font.cmap:
                raise InputError(f"{said}which the font calls {font.cmap[ord(name)]!r}; use that name.")
            raise InputError(f"{said}which is not in the font{near(name, font.glyph_names)}.")

    def echo(self) -> dict[str, object]:
        """Every resolved setting, for the pattern file."""
        said = {name: _plain(getattr(self, name)) for name, setting in RUN.items() if setting.in_pattern}
        glyphs = {name: _own(own) for name, own in sorted(self.glyphs.items())}
        resolved = {
            "margin": self.frame().margin,
            "units": self.speaks,
            "seam_allowance": self.allowance,
        }
        return said | resolved | {"glyphs": glyphs, "treatments": dict(sorted(self.parts.items()))}

    @classmethod
    def from_echo(cls, said: Mapping[str, object]) -> "Settings":
        """The settings that a pattern was made with; defaults where it does not say.

        Raises :class:`InputError` where it says what is none.
        """
        glyphs = said.get("glyphs") or {}
        if not isinstance(glyphs, Mapping) or not all(isinstance(own, Mapping) for own in glyphs.values()):
            raise InputError("the pattern's settings: glyphs must be a table of tables; run convert again.")
        treatments = said.get("treatments") or {}
        if not isinstance(treatments, Mapping):
            raise InputError("the pattern's settings: treatments must be a table; run convert again.")
        try:
            return cls(
                **_read(RUN, said),
                parts={name: treatment_number(name, value) for name, value in treatments.items()},
                glyphs={n: GlyphSettings(**_read(OWN, own)) for n, own in glyphs.items()},
            )
        except InputError as error:
            raise InputError(f"the pattern's settings: {error} Run convert again.") from None


def treatment_number(part: str, value: object) -> int:
    """The number of a part's treatment. Raises :class:`InputError` for what is none."""
    if type(value) is not int or not 1 <= value <= MOST_TREATMENTS:
        raise InputError(f"part.{part}: treatment must be a whole number from 1 to {MOST_TREATMENTS}.")
    return value


def _settings_of(cls: type) -> Mapping[str, Setting]:
    return {f.name: f.metadata["setting"] for f in fields(cls) if f.metadata}


RUN, OWN = _settings_of(Settings), _settings_of(GlyphSettings)  # by name: of the run; of one glyph


def _check(some: Settings | GlyphSettings, of: Of) -> None:
    for name, setting in (RUN if isinstance(some, Settings) else OWN).items():
        value = getattr(some, name)
        if value is not None:
            with naming(name):
                setting.kind.check(value, of)


def _read(settings: Mapping[str, Setting], said: Mapping[str, object]) -> dict[str, Any]:
    values = {}
    for name, setting in settings.items():
        if said.get(name) is not None:
            with naming(name):
                values[name] = setting.kind.parse(said[name])
    return values


def _own(own: GlyphSettings) -> dict[str, object]:
    values = {name: _plain(getattr(own, name)) for name in OWN}
    return {name: value for name, value in values.items() if value not in (None, {})}


def _plain(value: object) -> object:
    """The value as JSON has it."""
    if isinstance(value, Mapping):
        return dict(value)
    return list(value) if isinstance(value, tuple) else value
