"""Small breaks of the code, each one changed place of its syntax, and where each is.

A place is named by its file, its function and the block of statements that it stands in, so that
the name outlives changes elsewhere. What tells nobody anything different is left alone: notes in
the log, docstrings, types, asserts.
"""

from __future__ import annotations

import ast
import copy
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.FloorDiv, ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.BitXor: ast.BitOr,
    ast.LShift: ast.RShift, ast.RShift: ast.LShift, ast.Div: ast.Mult,
}  # fmt: skip
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
TYPES = ("annotation", "returns", "decorator_list", "bases", "type_params", "keywords")
BLOCKS = ("body", "orelse", "finalbody")


@dataclass(frozen=True, slots=True)
class Mutant:
    """One break: `kind` of change, the line and text `before` and `after`, and the whole `source`.

    `block` names the statements around it; outside functions it ends in a colon and nothing.
    """

    path: str
    block: str
    line: int
    kind: str
    before: str
    after: str
    source: str
    place: int = 1
    """Which of several changes of the same words in the block."""

    @property
    def name(self) -> str:
        which = "" if self.place == 1 else f" #{self.place}"
        return f"{self.block} {self.kind}: {self.before} -> {self.after}{which}"

    def __str__(self) -> str:
        return f"{self.path}:{self.line} {self.kind}: {self.before}  ->  {self.after}"


def blocks_of(tree: ast.Module, path: str) -> Iterator[tuple[str, list[ast.stmt]]]:
    """Yield every list of statements inside functions with its name, outer ones first."""

    def walk(
        node: ast.AST, function: str, counts: dict[str, int]
    ) -> Iterator[tuple[str, list[ast.stmt]]]:
        for child in ast.iter_child_nodes(node):
            inside = function
            if isinstance(child, (*FUNCTIONS, ast.ClassDef)):
                inside = f"{function}.{child.name}" if function else child.name
            if inside_function := isinstance(child, FUNCTIONS) or function in counts:
                counts.setdefault(inside, 0)
            if inside_function and not isinstance(child, ast.ClassDef):
                for field in BLOCKS:
                    statements = getattr(child, field, None)
                    if isinstance(statements, list) and statements:
                        yield f"{path}:{inside}:{counts[inside]}", statements
                        counts[inside] += 1
            yield from walk(child, inside, counts)

    yield from walk(tree, "", {})


def find_mutants(source: str, path: str) -> Iterator[Mutant]:
    """Yield all breaks of one file, in the order of its text."""
    tree = ast.parse(source)
    names = _names_by_node(tree, path)
    places: Counter[tuple[str, ...]] = Counter()
    for node, slot in _places(tree):
        for kind, change in _changes_of(node):
            broken = copy.deepcopy(node)
            changed = change(broken)
            if changed is None:
                continue
            slot(changed)
            text = ast.unparse(tree)
            slot(node)
            block = names.get(id(node), f"{path}:")
            told = (block, kind, _short(node), _short(changed))
            places[told] += 1
            yield Mutant(path, block, node.lineno, *told[1:], text, places[told])


def _names_by_node(tree: ast.Module, path: str) -> dict[int, str]:
    names: dict[int, str] = {}
    for name, statements in blocks_of(tree, path):
        for statement in statements:
            names |= {id(each): name for each in ast.walk(statement)}
    return names


def _short(node: ast.AST) -> str:
    match node:
        case ast.If() | ast.While():
            text = f"{type(node).__name__.lower()} {ast.unparse(node.test)}"
        case ast.With() | ast.AsyncWith():
            text = f"with {', '.join(map(ast.unparse, node.items))}"
        case _:
            text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 110 else f"{text[:107]}..."


Slot = Callable[[ast.AST], None]
Place = ast.expr | ast.stmt


def _places(node: ast.AST) -> Iterator[tuple[Place, Slot]]:
    """Yield every node that may be changed, with what puts another in its place."""
    for field, value in ast.iter_fields(node):
        if field in TYPES and not isinstance(node, ast.Call):
            continue
        children = value if isinstance(value, list) else [value]
        for number, child in enumerate(children):
            if not isinstance(child, ast.AST) or _is_left_alone(child, node):
                continue

            if isinstance(child, ast.expr | ast.stmt):
                yield child, partial(_put, node, field, number)
            yield from _places(child)


def _put(node: ast.AST, field: str, number: int, new: ast.AST) -> None:
    value = getattr(node, field)
    if isinstance(value, list):
        value[number] = new
    else:
        setattr(node, field, new)


def _is_left_alone(child: ast.AST, parent: ast.AST) -> bool:
    match child:
        case ast.Assert() | ast.Import() | ast.ImportFrom() | ast.JoinedStr() | ast.Pass():
            return True
        case ast.Expr(ast.Constant()):
            return True
        case ast.Expr(ast.Call(ast.Attribute(ast.Name("_LOG")))):
            return True
        case ast.If(ast.Name("TYPE_CHECKING")):
            return True
        case ast.ClassDef(bases=[*_, ast.Name("Protocol")]):
            return True
        case ast.Assign([ast.Name("__all__" | "_LOG" | "T")]):
            return True
        case ast.Assign(value=ast.BinOp(ast.Name(), ast.BitOr(), _)) if isinstance(
            parent, ast.Module
        ):
            return True  # a union of types
        case ast.Call(ast.Name("cast" | "TypeVar" | "NewType")):
            return True
    return False


Change = Callable[[ast.AST], ast.AST | None]


def _changes_of(node: ast.AST) -> Iterator[tuple[str, Change]]:
    match node:
        case ast.Compare():
            for number in range(len(node.ops)):
                yield "comparison", lambda new, number=number: _compare(new, number)
        case ast.BoolOp():
            yield "boolean operator", _boolean
        case ast.BinOp(op=op) | ast.AugAssign(op=op) if type(op) in ARITHMETIC:
            yield "arithmetic", _arithmetic
        case ast.Constant(value=bool() | int() | str()):
            yield "constant", _constant
        case ast.UnaryOp(ast.Not()):
            yield "condition", lambda new: new.operand
        case ast.IfExp() | ast.If() | ast.While():
            yield "condition", _negate
        case ast.Return(value=value) if value is not None and not _is_none(value):
            yield "return", lambda new: ast.Return(ast.Constant(None))
        case ast.Expr(ast.Await()):
            yield "removed await", lambda new: ast.Pass()
        case ast.Expr(ast.Call() | ast.YieldFrom() | ast.Yield()) | ast.Raise():
            yield "removed statement", lambda new: ast.Pass()
        case ast.Assign([ast.Attribute() | ast.Subscript()]):
            yield "removed statement", lambda new: ast.Pass()
        case ast.Continue() | ast.Break():
            yield "loop", lambda new: ast.Break() if isinstance(new, ast.Continue) else ast.Pass()
        case ast.With() | ast.AsyncWith() if all(each.optional_vars is None for each in node.items):
            yield "removed lock", lambda new: ast.If(ast.Constant(True), new.body, [])
    match node:
        case ast.AugAssign():
            yield "removed statement", lambda new: ast.Pass()


def _is_none(value: ast.expr) -> bool:
    return isinstance(value, ast.Constant) and value.value is None


def _compare(new: ast.AST, number: int) -> ast.AST | None:
    assert isinstance(new, ast.Compare)
    new.ops[number] = COMPARISONS[type(new.ops[number])]()
    return new


def _boolean(new: ast.AST) -> ast.AST:
    assert isinstance(new, ast.BoolOp)
    new.op = ast.Or() if isinstance(new.op, ast.And) else ast.And()
    return new


def _arithmetic(new: ast.AST) -> ast.AST:
    assert isinstance(new, (ast.BinOp, ast.AugAssign))
    new.op = ARITHMETIC[type(new.op)]()
    return new


def _constant(new: ast.AST) -> ast.AST:
    assert isinstance(new, ast.Constant)
    match new.value:
        case bool(value):
            return ast.Constant(not value)
        case int(value):
            return ast.Constant(value + 1)
    return ast.Constant("" if new.value else "x")


def _negate(new: ast.AST) -> ast.AST:
    assert isinstance(new, (ast.IfExp, ast.If, ast.While))
    new.test = ast.UnaryOp(ast.Not(), new.test)
    return new
