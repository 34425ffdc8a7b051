"""What is used of other libraries is what they offer, but for one list of names.

The source is read with `ast`: no private name of another library, nothing of theirs replaced.
"""

import ast
from functools import cache
from importlib import import_module

import pytest
from linenleaf.pdf.adapter import TOUCHED

from tests.modules import PACKAGE, tree_of

TREES = [PACKAGE, *(PACKAGE.parent / name for name in ("grammar", "templates"))]
MODULES = {path: tree_of(path) for tree in TREES for path in sorted(tree.rglob("*.py"))}
# Variables that are documented as to be set.
TO_BE_SET = {
    "tempfile.tempdir",
    "sys.stdin",
    "sys.stdout",
    "sys.stderr",
    "sys.unraisablehook",
    "ImageFile.LOAD_TRUNCATED_IMAGES",
}
DOCUMENTED = {"os._exit"}  # in spite of its name


@pytest.mark.parametrize("touched", TOUCHED, ids=lambda each: each.name)
def test_each_name_is_there_in_the_installed_release(touched):
    """A name that is gone says here, before a booklet does, what a new release has changed."""
    parts = touched.name.split(".")
    for length in range(len(parts) - 1, 0, -1):
        try:
            thing = import_module(".".join(parts[:length]))
        except ModuleNotFoundError:
            continue
        for each in parts[length:]:
            assert hasattr(thing, each)
            thing = getattr(thing, each)
        break
    assert touched.why
    assert touched.wanted


def private(name: str) -> bool:
    return name.startswith("_") and not name.startswith("__")


@cache
def ours() -> frozenset[str]:
    """All private names that are made somewhere in the package."""
    made = set()
    for tree in MODULES.values():
        for node in ast.walk(tree):
            match node:
                case (
                    ast.FunctionDef(name=name)
                    | ast.AsyncFunctionDef(name=name)
                    | ast.ClassDef(name=name)
                    | ast.Name(id=name)
                ):
                    made.add(name)
                case ast.Attribute(value=ast.Name(id="self"), attr=name, ctx=ast.Store()):
                    made.add(name)
    return frozenset(made)


def foreign(tree: ast.Module) -> set[str]:
    """What a module calls other people's modules and what it takes from them."""
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {each.asname or each.name.partition(".")[0] for each in node.names}
        elif isinstance(node, ast.ImportFrom) and not f"{'.' * node.level}{node.module}".startswith(
            (".", "linenleaf")
        ):
            names |= {each.asname or each.name for each in node.names}
    return names


def dotted(node: ast.expr) -> str:
    match node:
        case ast.Name(id=name):
            return name
        case ast.Attribute(value=value, attr=name):
            return f"{dotted(value)}.{name}"
    return ""


def reached(tree: ast.Module, known: frozenset[str]) -> list[str]:
    """What a module does that it must not."""
    others = foreign(tree)
    faults = []
    for node in ast.walk(tree):
        match node:
            case ast.ImportFrom(level=0, module=str(module), names=names):
                parts = [*module.split("."), *(each.name for each in names)]
                faults += [f"{module}: {each}" for each in parts if private(each)]
            case ast.Import(names=names):
                faults += [each.name for each in names if any(map(private, each.name.split(".")))]
            case ast.Attribute(attr=name, ctx=ast.Store()):
                whole = dotted(node)
                if name == "__class__" or (
                    whole.partition(".")[0] in others and whole not in TO_BE_SET
                ):
                    faults.append(f"{whole or name} = ...")
            case ast.Attribute(attr=name) if private(name):
                whole = dotted(node)
                if whole in DOCUMENTED:
                    continue
                if name not in known or whole.partition(".")[0] in others:
                    faults.append(whole or name)
            case ast.Subscript(value=ast.Attribute() as table, ctx=ast.Store() | ast.Del()):
                if dotted(table) in {"sys.modules", "builtins.__dict__"}:
                    faults.append(f"{dotted(table)}[...] = ...")
            case ast.Subscript(value=ast.Call(func=ast.Name(id="vars")), ctx=ast.Store()):
                faults.append("vars(...)[...] = ...")
            case ast.Call(func=ast.Name(id="setattr"), args=[first, *_]):
                if dotted(first).partition(".")[0] in others:
                    faults.append(f"setattr({dotted(first)}, ...)")
    return faults


def test_nothing_reaches_into_other_libraries():
    known = ours()
    faults = {
        str(path.relative_to(PACKAGE.parent)): found
        for path, tree in MODULES.items()
        if (found := reached(tree, known))
    }
    assert faults == {}


@pytest.mark.parametrize(
    "line",
    [
        "import weasyprint\nweasyprint.HTML._ua_stylesheets",
        "from weasyprint.text import _private",
        "import ctypes.util\nctypes.util.find_library = None",
        "from weasyprint import HTML\nHTML.render = None",
        "import pydyf\nsetattr(pydyf.PDF, 'write', None)",
        "import sys\nsys.modules['fontTools'] = None",
        "import dataclasses\nvars(dataclasses)['exec'] = None",
        "def f(page):\n    page.__class__ = int",
        "def f(page):\n    return page._page_box",
    ],
)
def test_it_would_be_seen(line):
    assert reached(ast.parse(line), ours())


def test_only_the_renderer_and_its_adapter_know_weasyprint():
    knowing = {
        path.name
        for path, tree in MODULES.items()
        for node in ast.walk(tree)
        if (isinstance(node, ast.ImportFrom) and (node.module or "").startswith("weasyprint"))
        or (isinstance(node, ast.Import) and "weasyprint" in {each.name for each in node.names})
    }
    assert knowing == {"renderer.py"}
