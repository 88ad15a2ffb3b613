"""The right-hand side and the stages of a step, compiled: all of it for a few columns at a time.

A block of columns lies close together in memory, [row, column] laid end to end, and is led through
all stages of a step before the next block is begun, so that it stays in the processor's cache. To
import this module is to import numba. `lead` is kept on disk with all that it calls, and compiled
anew where this file has changed: what it calls stands here.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple, TypeVar, cast

import numpy as np
from llvmlite import ir
from numba import config, njit, types
from numba.extending import intrinsic, register_jitable
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bounds = NDArray[np.int32]
Function = TypeVar("Function", bound=Callable[..., Any])

WIDTH = 8
"""Columns of a block; the last column fills up a block that is not full."""

if config.DISABLE_JIT:
    raise ImportError("numba is told to compile nothing")


def compiled(function: Function, *, kept: bool = False) -> Function:
    """Compile a function when it is first called, for what it is called with.

    Parameters
    ----------
    function : callable
    kept : bool
        True to keep it on disk for the next process, with all that it calls; where no folder can
        be written to, it is compiled anew in each.
    """
    try:
        return cast(Function, njit(cache=kept, error_model="numpy")(function))
    except RuntimeError:
        return cast(Function, njit(error_model="numpy")(function))


def callee(function: Function) -> None:
    """Let compiled functions call one that Python runs as it stands, too."""
    register_jitable(error_model="numpy")(function)


class Plan(NamedTuple):
    """What stays as it is from step to step; rows are those of the state.

    Attributes
    ----------
    cells : int
    scale, shift : (blocks, R · WIDTH) arrays
        Place in the tables of the cells and covered pieces of every block.
    theta, temperature : (K, 2) arrays
        Tables of Θ and T: a value, and the step to the next.
    read : (Q,) int array
        Rows whose T is asked for.
    begin, end : (L,) int arrays
        Rows on either side of gap and cover.
    outside : (S,) int array
        Row outside of each piece, twice.
    starts, places, weights : int arrays, array
        The operator: where its rows start, places in the stack, values.
    sunk, conductance, sink_C, volume : (H,) arrays
        Cell, conductance [W/K], temperature and the cell's volume of each sink.
    """

    cells: int
    scale: Floats
    shift: Floats
    theta: Floats
    temperature: Floats
    read: Ints
    begin: Ints
    end: Ints
    outside: Ints
    starts: Bounds
    places: Bounds
    weights: Floats
    sunk: Ints
    conductance: Floats
    sink_C: Floats
    volume: Floats


class Work(NamedTuple):
    """Arrays of one block that are filled anew at every stage, laid end to end.

    Attributes
    ----------
    place : (R · WIDTH,) int array
        Where each row is in the tables.
    part : (R · WIDTH,) array
        How far on to the next place.
    T : (R · WIDTH,) array
        [°C]
    law : (k, B · WIDTH) array
        Coefficients of the powers of the share of the step.
    now : (B · WIDTH,) array
        The law at one time: links, push of flux and gain, pull of flux and gain.
    stack : array
        What the operator acts on.
    source : (n · WIDTH,) array
        Heat into the cells [W/m³].
    """

    place: Bounds
    part: Floats
    T: Floats
    law: Floats
    now: Floats
    stack: Floats
    source: Floats


def _row_sum(context: Any, builder: ir.IRBuilder, signature: Any, args: tuple[Any, ...]) -> Any:
    """Instructions of `add_rows`: one loop, its sum kept in registers."""
    out, weights, places, first, last, stack = args
    number, index, word = ir.DoubleType(), ir.IntType(64), ir.IntType(32)
    block, lanes = ir.VectorType(number, WIDTH), ir.VectorType(word, WIDTH)
    weights, stack, out = (
        builder.inttoptr(x, kind.as_pointer())
        for x, kind in ((weights, number), (stack, block), (out, block))
    )
    places = builder.inttoptr(places, word.as_pointer())
    before = builder.basic_block
    loop, done = (builder.append_basic_block(name) for name in ("loop", "done"))
    builder.cbranch(builder.icmp_signed("<", first, last), loop, done)
    builder.position_at_end(loop)
    k, so_far = builder.phi(index), builder.phi(block)
    row = builder.gep(stack, [builder.zext(builder.load(builder.gep(places, [k])), index)])
    weight = builder.insert_element(
        ir.Constant(block, ir.Undefined), builder.load(builder.gep(weights, [k])), word(0)
    )
    weight = builder.shuffle_vector(weight, ir.Constant(block, ir.Undefined), lanes([0] * WIDTH))
    more = builder.fadd(so_far, builder.fmul(weight, builder.load(row, align=8)))
    after = builder.add(k, index(1))
    builder.cbranch(builder.icmp_signed("<", after, last), loop, done)
    builder.position_at_end(done)
    total, nothing = builder.phi(block), ir.Constant(block, None)
    for phi, begin, on in ((k, first, after), (so_far, nothing, more), (total, nothing, more)):
        phi.add_incoming(begin, before)
        phi.add_incoming(on, loop)
    builder.store(total, out, align=8)
    return context.get_dummy_value()


def _rows_added(
    typing: Any, out: Any, weights: Any, places: Any, first: Any, last: Any, stack: Any
) -> tuple[Any, Any]:
    """One row of the operator: the sum of weights[k] times row places[k] of the stack, into out.

    With first <= k < last; arrays by their addresses. As a loop over columns in Python it would
    not be kept in the processor's wide registers, and take five times as long.
    """
    return types.void(*[types.intp] * 6), _row_sum


add_rows: Callable[..., None] = intrinsic(_rows_added)


@compiled
def look_up(plan: Plan, block: int, y: Floats, work: Work) -> None:
    """Θ of the cells into the stack, and T of the rows that are read."""
    scale, shift, place, part, theta = (
        plan.scale[block],
        plan.shift[block],
        work.place,
        work.part,
        plan.theta,
    )
    most, last = len(plan.temperature) - 1.0, len(theta) - 1
    for i in range(len(place)):
        at = y[i] * scale[i] + shift[i]
        whole = np.trunc(at)
        part[i] = at - whole
        whole = whole if whole > 0.0 else 0.0  # what is not a number comes to the first place
        place[i] = np.int32(whole if whole < most else most)
    for i in range(plan.cells * WIDTH):
        k = place[i] if place[i] < last else last
        work.stack[i] = theta[k, 0] + part[i] * theta[k, 1]
    for row in plan.read:
        for i in range(row * WIDTH, (row + 1) * WIDTH):
            k = place[i]
            work.T[i] = plan.temperature[k, 0] + part[i] * plan.temperature[k, 1]


@compiled
def _cross(plan: Plan, x: float, work: Work) -> None:
    """What flows across gap and cover, into pieces, and what they gain, into the stack."""
    law, now, T, stack = work.law, work.now, work.T, work.stack
    if len(law) == 2:
        for i in range(len(now)):
            now[i] = law[0, i] + x * law[1, i]
    else:
        for i in range(len(now)):
            now[i] = law[0, i] + x * law[1, i] + x * x * law[2, i] + x * x * x * law[3, i]
    first, links, pieces = plan.cells * WIDTH, len(plan.begin) * WIDTH, len(plan.outside) * WIDTH
    for row in range(len(plan.begin)):
        begin, end = plan.begin[row] * WIDTH, plan.end[row] * WIDTH
        for j in range(WIDTH):
            i = row * WIDTH + j
            stack[first + i] = now[i] * (T[begin + j] - T[end + j])
    for row in range(len(plan.outside)):
        outside = plan.outside[row] * WIDTH
        for j in range(WIDTH):
            i = links + row * WIDTH + j
            stack[first + i] = now[i] - T[outside + j] * now[pieces + i]


@compiled
def operate(plan: Plan, work: Work, out: Floats) -> None:
    """The operator on the stack."""
    into, weights = out.ctypes.data, plan.weights.ctypes.data
    places, stack = plan.places.ctypes.data, work.stack.ctypes.data
    for row in range(len(plan.starts) - 1):
        at, first, last = into + 8 * WIDTH * row, plan.starts[row], plan.starts[row + 1]
        add_rows(at, weights, places, first, last, stack)


@compiled
def _rates(plan: Plan, block: int, x: float, y: Floats, work: Work, out: Floats) -> None:
    """Time derivative of a block's state at a share of the step."""
    look_up(plan, block, y, work)
    _cross(plan, x, work)
    operate(plan, work, out)
    for i in range(len(work.source)):
        out[i] += work.source[i]
    ledger = len(out) - WIDTH
    for k in range(len(plan.sunk)):
        for j in range(WIDTH):
            i = plan.sunk[k] * WIDTH + j
            lost = plan.conductance[k] * (work.T[i] - plan.sink_C[k])
            out[i] -= lost / plan.volume[k]
            out[ledger + j] += lost


@compiled
def _take(whole: Floats, first: int, block: Floats) -> None:
    """A block's columns of (r, m), laid end to end; the last one for those that there are not."""
    last = whole.shape[1] - 1
    if first + WIDTH <= last + 1:
        for row in range(len(whole)):
            for j in range(WIDTH):
                block[row * WIDTH + j] = whole[row, first + j]
        return
    for row in range(len(whole)):
        for j in range(WIDTH):
            block[row * WIDTH + j] = whole[row, min(first + j, last)]


@compiled
def _put(block: Floats, first: int, whole: Floats) -> None:
    """The other way round."""
    count = min(WIDTH, whole.shape[1] - first)
    for row in range(len(whole)):
        for j in range(count):
            whole[row, first + j] = block[row * WIDTH + j]


@compiled
def go_on(weights: Floats, y: Floats, f: Floats, now: Floats, to: Floats, slope: Floats) -> None:
    """The state of the next stage, in the place of the one before the present."""
    a, b, c, d, e = weights[0], weights[1], weights[2], weights[3], weights[4]
    for i in range(len(to)):
        to[i] = a * y[i] + b * f[i] + c * now[i] + d * to[i] + e * slope[i]


@compiled
def room(plan: Plan, powers: int, bounds: int) -> Work:
    """Working arrays of a block, for a law of so many powers and boundaries."""
    rows = plan.scale.shape[1]
    return Work(
        np.empty(rows, np.int32),
        np.empty(rows),
        np.empty(rows),
        np.empty((powers, bounds * WIDTH)),
        np.empty(bounds * WIDTH),
        np.zeros((plan.cells + len(plan.begin) + len(plan.outside)) * WIDTH),
        np.zeros(plan.cells * WIDTH),
    )


@partial(compiled, kept=True)
def lead(
    plan: Plan,
    law: Floats,
    source: Floats,
    y: Floats,
    f: Floats,
    weights: Floats,
    shares: Floats,
    y1: Floats,
    f1: Floats,
) -> None:
    """Lead every block of columns through the stages, then take its rates at the end.

    Parameters
    ----------
    plan : Plan
    law : (k, B, m) array
        Coefficients of the powers of the share of the step, k = 2 or 4.
    source : (n, m) array
    y, f : (N, m) arrays
        State and rates at the beginning.
    weights : (s, 5) array
        Of y, f, the present state, the one before it and the rates there, to each state; of the
        first, which needs no rates, one row more. None at all where only rates are asked for.
    shares : (s,) array
        Of the step, at which rates are taken.
    y1, f1 : (N, m) arrays
        What comes out.
    """
    size, work = len(y) * WIDTH, room(plan, law.shape[0], law.shape[1])
    begun, slope = np.empty(size), np.empty(size)
    began, now, before = np.empty(size), np.empty(size), np.empty(size)
    for block in range(len(plan.scale)):
        first = block * WIDTH
        for k in range(len(law)):
            _take(law[k], first, work.law[k])
        _take(source, first, work.source)
        _take(y, first, begun)
        _take(f, first, began)
        now[:], before[:], slope[:] = begun, begun, 0.0
        for stage in range(len(weights)):
            if stage > 0:
                _rates(plan, block, shares[stage - 1], now, work, slope)
            go_on(weights[stage], begun, began, now, before, slope)
            now, before = before, now
        _put(now, first, y1)
        _rates(plan, block, shares[-1], now, work, slope)
        _put(slope, first, f1)
