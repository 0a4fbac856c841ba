"""What is compiled for compiled functions alone is called by no other: from Python that would crash."""

import ast
from pathlib import Path

import converter

ROOT = Path(converter.__file__).parent


def _functions(tree):
    """Functions of a module with the names of their decorators."""
    for node in tree.body:
        for function in node.body if isinstance(node, ast.ClassDef) else [node]:
            if isinstance(function, ast.FunctionDef):
                yield function, {d.id for d in function.decorator_list if isinstance(d, ast.Name)}


def _modules():
    for file in sorted(ROOT.rglob("*.py")):
        text = file.read_text(encoding="utf-8")
        if file.name != "compiled.py":
            yield file, ast.parse(text), text


def test_no_plain_function_calls_one_that_is_compiled_for_compiled_ones_alone():
    inner, plain = set(), set()
    for file, tree, _ in _modules():
        for function, decorators in _functions(tree):
            if "inner" in decorators:
                inner.add((".".join(file.relative_to(ROOT).with_suffix("").parts), function.name))
    assert inner
    for file, tree, _ in _modules():
        here = ".".join(file.relative_to(ROOT).with_suffix("").parts)
        known = {name for module, name in inner if module == here}
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                module = node.module.removeprefix("converter.")
                known |= {alias.name for alias in node.names if (module, alias.name) in inner}
        for function, decorators in _functions(tree):
            if decorators & {"inner", "compiled"}:
                continue
            for node in ast.walk(function):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in known:
                    plain.add((here, function.name, node.func.id))
    assert not plain
