"""Every small change that could be made to a file, and a seeded sample of them.

A mutant is an edit of the source's bytes between two places. Left alone are docstrings, type hints,
decorators, imports, assertions, `raise` with its message, f-strings and `__repr__`.
"""

from __future__ import annotations

import ast
import random
import re
import warnings
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice, pairwise
from pathlib import Path

ARITHMETIC = {
    ast.Add: ("+", ["-"]),
    ast.Sub: ("-", ["+"]),
    ast.Mult: ("*", ["/"]),
    ast.Div: ("/", ["*"]),
    ast.FloorDiv: ("//", ["*"]),
    ast.Mod: ("%", ["*"]),
    ast.Pow: ("**", ["*"]),
    ast.BitAnd: ("&", ["|"]),
    ast.BitOr: ("|", ["&"]),
}
COMPARISONS = {
    ast.Lt: ("<", ["<=", ">"]),
    ast.LtE: ("<=", ["<", ">="]),
    ast.Gt: (">", [">=", "<"]),
    ast.GtE: (">=", [">", "<="]),
    ast.Eq: ("==", ["!="]),
    ast.NotEq: ("!=", ["=="]),
    ast.Is: ("is", ["is not"]),
    ast.IsNot: ("is not", ["is"]),
    ast.In: ("in", ["not in"]),
    ast.NotIn: ("not in", ["in"]),
}
PAIRS = [
    "min max",
    "minimum maximum",
    "argmin argmax",
    "any all",
    "sin cos",
    "sinh cosh",
    "floor ceil",
]
OTHER = {a: b for pair in PAIRS for a, b in (pair.split(), pair.split()[::-1])}
MODULES = ("np", "math")
FIRST_ONLY = {"min", "max", "minimum", "maximum", "clip", "abs", "sqrt", "exp", "log", "log1p"}
SYMMETRIC = {"min", "max", "minimum", "maximum", "hypot", "isclose", "isinstance", "zip"}
TYPES = {
    "Callable",
    "Iterator",
    "Literal",
    "Mapping",
    "NDArray",
    "Sequence",
    "dict",
    "list",
    "tuple",
}
Node = ast.expr | ast.stmt
SKIPPED = (ast.Assert, ast.Import, ast.ImportFrom, ast.JoinedStr, ast.Raise)


@dataclass(frozen=True)
class Mutant:
    """One edit: `new` in place of the bytes from `start` to `end` of a file."""

    file: str
    line: int
    first: int  # lines of the statement, or of a compound statement's head
    last: int
    start: int
    end: int
    new: str
    kind: str
    before: str  # the lines touched, on one line
    after: str

    @property
    def key(self) -> tuple[str, str, str]:
        """What names the mutant though lines move."""
        return self.file, self.before, self.after

    def applied(self, source: bytes) -> bytes:
        """The changed source."""
        return source[: self.start] + self.new.encode() + source[self.end :]


def mutants_of(root: Path, file: str) -> list[Mutant]:
    """All mutants of a file, in order of their place."""
    source = (root / file).read_bytes()
    finder = _Finder(file, source)
    finder.visit(ast.parse(source))
    once = {(m.line, m.key): m for m in finder.found}  # 2 * 1 is 1 + 1
    return sorted(once.values(), key=lambda m: (m.start, m.end, m.new))


def sample(root: Path, files: list[str], count: int, seed: int) -> list[Mutant]:
    """A seeded sample; a file's share goes with its lines.

    Each line is as likely as another, and on it each kind of change, however many ways it has.

    A file's draw hangs on the seed and on that file alone, so that it stays when others change.
    """
    mutants = {file: mutants_of(root, file) for file in files}
    lines = {file: len({mutant.line for mutant in mutants[file]}) for file in files}
    total = max(sum(lines.values()), 1)
    exact = {file: count * lines[file] / total for file in files}
    quota = {file: int(exact[file]) for file in files}
    for file in sorted(files, key=lambda f: (quota[f] - exact[f], f))[
        : count - sum(quota.values())
    ]:
        quota[file] += 1
    drawn: list[Mutant] = []
    for file in files:
        source, shuffled = (root / file).read_bytes(), _shuffled(mutants[file], f"{seed} {file}")
        drawn += islice((m for m in shuffled if _compiles(m.applied(source))), quota[file])
    return drawn


def _shuffled(mutants: list[Mutant], seed: str) -> Iterator[Mutant]:
    """One mutant of every line in random order, then a second of every line that has one."""
    chance = random.Random(seed)
    by_line: dict[int, list[Mutant]] = defaultdict(list)
    for mutant in mutants:
        by_line[mutant.line].append(mutant)
    while by_line:
        for line in chance.sample(sorted(by_line), len(by_line)):
            of_line = by_line[line]
            kind = chance.choice(sorted({mutant.kind for mutant in of_line}))
            drawn = chance.choice([mutant for mutant in of_line if mutant.kind == kind])
            of_line.remove(drawn)
            yield drawn
            if not of_line:
                del by_line[line]


def _compiles(source: bytes) -> bool:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            compile(source, "mutant", "exec")
        except (SyntaxError, SyntaxWarning, ValueError):
            return False
    return True


class _Finder(ast.NodeVisitor):
    """Collects the mutants of one tree."""

    def __init__(self, file: str, source: bytes) -> None:
        self.file, self.source = file, source
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))
        self.found: list[Mutant] = []
        self.span, self.kind = (1, 1), ""

    # Places in the source

    def at(self, node: Node) -> tuple[int, int]:
        """First byte of a node and the one after its last."""
        last, column = node.end_lineno or node.lineno, node.end_col_offset or 0
        start = self.starts[node.lineno - 1] + node.col_offset
        return start, self.starts[last - 1] + column

    def text(self, node: Node) -> str:
        start, end = self.at(node)
        return self.source[start:end].decode()

    def edit(self, start: int, end: int, new: str, kind: str = "") -> None:
        """Keep an edit; its kind is that of the node, if not told."""
        low = self.source.rfind(b"\n", 0, start) + 1
        high = self.source.find(b"\n", end)
        high = len(self.source) if high < 0 else high
        before = self.source[low:high].decode()
        after = self.source[low:start].decode() + new + self.source[end:high].decode()
        before, after = (" ".join(words.split()) for words in (before, after))
        line = self.source.count(b"\n", 0, start) + 1
        if before != after:
            self.found.append(
                Mutant(
                    self.file, line, *self.span, start, end, new, kind or self.kind, before, after
                )
            )

    def replace(self, node: Node, new: str) -> None:
        self.edit(*self.at(node), new)

    def between(self, left: Node, right: Node, old: str, news: list[str]) -> None:
        """Change the operator that stands between two nodes."""
        start, end = self.at(left)[1], self.at(right)[0]
        gap = re.sub(rb"#[^\n]*", lambda m: b" " * len(m[0]), self.source[start:end])
        place = gap.find(old.encode())
        for new in news if place >= 0 else []:
            self.edit(start + place, start + place + len(old), new)

    def swap(self, nodes: list[ast.expr]) -> None:
        """Exchange neighbours of one kind of expression; others would clash at once."""
        for one, two in pairwise(nodes):
            if type(one) is not type(two):
                continue
            (start, middle), (later, end) = self.at(one), self.at(two)
            between = self.source[middle:later].decode()
            self.edit(start, end, self.text(two) + between + self.text(one), "swap")

    # Statements

    def visit(self, node: ast.AST) -> None:
        if isinstance(node, SKIPPED):
            return
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            last = max(node.lineno, body[0].lineno - 1) if body else node.end_lineno or node.lineno
            self.span = (node.lineno, last)
        self.kind = type(node).__name__
        super().visit(node)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        if node.name in ("__repr__", "__str__"):
            return
        for default in [*node.args.defaults, *filter(None, node.args.kw_defaults)]:
            self.visit(default)
        for statement in node.body:
            self.visit(statement)

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        for statement in node.body:
            self.visit(statement)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value:
            self.visit(node.value)

    def visit_Assign(self, node: ast.Assign) -> None:
        if ast.unparse(node.targets[0]) == "__all__":
            return
        if isinstance(node.targets[0], ast.Attribute | ast.Subscript):
            self.replace(node, "pass")
        if isinstance(node.value, ast.Tuple):
            self.swap(node.value.elts)
        self.generic_visit(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        self.replace(node, "pass")
        if type(node.op) in ARITHMETIC:
            old, news = ARITHMETIC[type(node.op)]
            self.between(node.target, node.value, old + "=", [new + "=" for new in news])
        self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Call):
            self.replace(node, "pass")
        if not isinstance(node.value, ast.Constant):
            self.generic_visit(node)

    def visit_Return(self, node: ast.Return) -> None:
        if isinstance(node.value, ast.Tuple):
            self.swap(node.value.elts)
        if isinstance(node.value, ast.BinOp):
            self.replace(node.value, f"-({self.text(node.value)})")
        self.generic_visit(node)

    def visit_If(self, node: ast.If | ast.While) -> None:
        if ast.unparse(node.test) == "TYPE_CHECKING":
            return
        self.replace(node.test, f"not ({self.text(node.test)})")
        self.generic_visit(node)

    visit_While = visit_If

    def visit_Break(self, node: ast.Break | ast.Continue) -> None:
        self.replace(node, "pass")

    visit_Continue = visit_Break

    # Expressions

    def visit_comprehension(self, node: ast.comprehension) -> None:
        for condition in node.ifs:
            self.replace(condition, f"not ({self.text(condition)})")
        self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> None:
        self.replace(node.test, f"not ({self.text(node.test)})")
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        words = any(
            isinstance(n, ast.Constant) and isinstance(n.value, str) for n in ast.walk(node)
        )
        if type(node.op) in ARITHMETIC and not words:
            self.between(node.left, node.right, *ARITHMETIC[type(node.op)])
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        self.replace(node, f"({self.text(node.operand)})")
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        old, new = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in pairwise(node.values):
            self.between(left, right, old, [new])
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        for (left, right), op in zip(
            pairwise([node.left, *node.comparators]), node.ops, strict=True
        ):
            self.between(left, right, *COMPARISONS[type(op)])
        self.generic_visit(node)

    def visit_Dict(self, node: ast.Dict) -> None:
        self.swap(node.values)
        self.generic_visit(node)

    def visit_Subscript(self, node: ast.Subscript) -> None:
        if isinstance(node.value, ast.Name) and node.value.id in TYPES:
            return
        if isinstance(node.slice, ast.Tuple):
            self.swap(node.slice.elts)
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        value = node.value
        if isinstance(value, bool):
            self.replace(node, repr(not value))
        elif isinstance(value, int | float):
            for new in [2 * value, value + 1, 0] if value else [1]:
                self.replace(node, repr(new))

    def visit_keyword(self, node: ast.keyword) -> None:
        if node.arg != "strict":
            self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        func, plain = node.func, not any(isinstance(a, ast.Starred) for a in node.args)
        name = func.attr if isinstance(func, ast.Attribute) else getattr(func, "id", "")
        if name in OTHER:
            end = self.at(func)[1]
            self.edit(end - len(name), end, OTHER[name])
        if name in FIRST_ONLY:
            method = isinstance(func, ast.Attribute) and self.text(func.value) not in MODULES
            alone = len(node.args) < 2 and name in ("min", "max")
            if isinstance(func, ast.Attribute) and method and name == "clip":
                self.replace(node, self.text(func.value))
            elif not method and node.args and plain and not alone:
                self.replace(node, f"({self.text(node.args[0])})")
        if name not in SYMMETRIC and plain:
            self.swap(node.args)
        self.generic_visit(node)
