"""The code's order: what may import what, who may touch the disk or the terminal, what must be declared."""

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions, requires
from pathlib import Path

import networkx
import pytest

import converter

# Each line may import from the lines above it, and nothing from its own line but itself.
LAYERS = (
    ("errors", "model", "difficulty", "budgets"),
    ("units", "geometry", "polygons", "compiled", "files", "packed"),
    ("measures", "limits", "fabric_codes", "fidelity", "seams", "verify", "pattern", "publication", "output"),
    ("covering",),
    ("fonts", "sewing", "drawing", "fabric", "papers"),
    ("placement",),
    ("settings", "straighten", "words", "report"),
    ("findings", "printing", "jobs", "crew", "wish"),
    ("folder", "store", "triage", "unity", "composed"),
    ("redesign", "mats", "rounds", "company"),
    ("pipeline", "artwork", "symbols"),
    ("sets",),
    ("checking", "additions"),
    ("workbench",),
    ("cli",),
    ("__main__",),
)
# The rooms of the straightening, in the same way.
ROOMS = ("outline", "fitting", "cost", "search", "finish", "together")
RANK = {name: rank for rank, layer in enumerate(LAYERS) for name in layer}
ROOT = Path(converter.__file__).parent
MODULES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): ast.parse(
        path.read_text(encoding="utf-8")
    )
    for path in sorted(ROOT.rglob("*.py"))
    if path != ROOT / "__init__.py"
}
READERS = (
    "fonts", "settings", "folder.reading", "cli.reading", "artwork",  # what users give
    "symbols.folder",
    "compiled", "store.engine",  # the text of what they speak of
    "pattern", "report.html_report", "printing.typesetting",  # what the package carries with it
    "files", "output",
    "printing.joining",  # opens documents in memory
    "workbench.assets",  # the page
)  # fmt: skip
UNSETTLED = {
    "time",
    "datetime",
    "random",
    "secrets",
    "uuid",
    "tempfile",
    "socket",
    "http",
    "asyncio",
    "locale",
}


def imports(module: str) -> Iterator[str]:
    """Full names of what a module imports; those of the converter without its name in front."""
    for node in ast.walk(MODULES[module]):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module} imports by a relative name"
            base = node.module or ""
            for alias in node.names:
                inner = f"{base}.{alias.name}".removeprefix("converter.")
                yield inner if inner in MODULES else base


def inner_imports(module: str) -> Iterator[str]:
    for name in imports(module):
        short = name.removeprefix("converter.")
        if short in MODULES:
            yield short


def calls(module: str) -> Iterator[str]:
    """Names of the functions and methods that a module calls."""
    for node in ast.walk(MODULES[module]):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                yield node.func.id
            elif isinstance(node.func, ast.Attribute):
                yield f".{node.func.attr}"


@pytest.mark.parametrize("module", MODULES)
def test_a_module_imports_only_from_layers_above_it_in_the_list(module):
    own = module.split(".")[0]
    for name in inner_imports(module):
        other = name.split(".")[0]
        assert other == own or RANK[other] < RANK[own], f"{module} imports {name}"


@pytest.mark.parametrize("module", [m for m in MODULES if m.count(".") > 1 and m.startswith("straighten.")])
def test_a_room_of_the_straightening_imports_only_from_rooms_before_it(module):
    own = ROOMS.index(module.split(".")[1])
    for name in inner_imports(module):
        if name.startswith("straighten."):
            assert ROOMS.index(name.split(".")[1]) <= own, f"{module} imports {name}"


def test_no_module_imports_itself_by_way_of_others():
    graph = networkx.DiGraph((module, name) for module in MODULES for name in inner_imports(module))
    assert list(networkx.simple_cycles(graph)) == []


@pytest.mark.parametrize("module", MODULES)
def test_only_the_output_module_writes(module):
    writing = {".write_text", ".write_bytes", ".mkdir", ".unlink", ".touch", ".rmtree", ".rename"}
    if not module.startswith("output"):
        assert not writing & set(calls(module))


@pytest.mark.parametrize("module", [m for m in MODULES if not m.startswith(READERS)])
def test_only_entry_points_read(module):
    assert not {".read_text", ".read_bytes", "open", ".open", ".iterdir", ".glob"} & set(calls(module))


@pytest.mark.parametrize("module", [m for m in MODULES if not m.startswith("cli")])
def test_only_the_command_line_prints_or_ends_the_program(module):
    names = set(imports(module))
    assert not {"print", "exit", ".exit"} & set(calls(module))
    assert not names & {"click", "rich"}


@pytest.mark.parametrize("module", MODULES)
def test_nothing_depends_on_clock_chance_or_network(module):
    # `printing.nesting` draws from Random(n).random, whose sequence Python promises to keep.
    # The command draws the token that a page is known by, and opens the socket; the server hears it.
    allowed = {
        "printing.nesting": {"random"},
        "cli.open_command": {"secrets", "socket"},
        "workbench.serving": {"socket"},
    }.get(module, set())
    names = set(imports(module)) - allowed
    if set(calls(module)) >= {"Random"}:
        names -= {"random"}  # a generator of its own, from a seed that the data give
    assert not {name.split(".")[0] for name in names} & UNSETTLED
    assert "urllib.request" not in names


def test_what_is_imported_is_declared():
    project = tomllib.loads((ROOT.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = [
        d for name, row in project.get("optional-dependencies", {}).items() if name != "test" for d in row
    ]
    declared = set()
    for requirement in [*project["dependencies"], *extras]:
        name, _, extra = re.match(r"([\w.-]+)(\[(\w+)\])?", requirement).groups()
        declared.add(_normal(name))
        brought = requires(name) or () if extra else ()
        declared |= {_normal(re.match(r"[\w.-]+", r)[0]) for r in brought if f'extra == "{extra}"' in r}
    homes = packages_distributions()
    for module in MODULES:
        for name in imports(module):
            top = name.split(".")[0]
            if top not in sys.stdlib_module_names and top != "converter" and name not in MODULES:
                assert {_normal(home) for home in homes[top]} & declared, f"{module} imports {top}"


def _normal(name: str) -> str:
    """Names of distributions are alike but for case, - and _ (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()
