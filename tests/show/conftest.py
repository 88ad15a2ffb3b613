import itertools
import xml.etree.ElementTree as ET
from functools import cache

import pytest
from matplotlib.text import Text

from thermo.braze import braze
from thermo.files import read_case, strategies_of, to_setup
from thermo.study.compare import compare
from thermo.study.rods import rods
from thermo.study.sizes import sizes

SMALLEST = {
    "ball": ["diameter_mm = 3"],
    "rod": ["diameter_mm = 1.2"],
    "torch": ['kind = "pocket"'],
}


SHORT = '[[strategy]]\nname = "too short"\n[[strategy.phase]]\nuntil = 2'
AROUND = """[[strategy]]
name = "round, then far side"
[[strategy.phase]]
motion = "round"
side = 40
until = 4
[[strategy.phase]]
aim = "rod"
side = 200
until = 2"""


@cache
def computed(text, folder):
    """A case of some text, and its braze on the coarsest mesh; each is run once."""
    path = folder / "planet.toml"
    path.write_text(text, encoding="utf-8")
    case = read_case(path)
    return braze(to_setup(case), "quick"), case


@pytest.fixture(scope="session")
def run(tmp_path_factory):
    """Braze and case of tables that replace or join those of the smallest case."""
    folder = tmp_path_factory.mktemp("cases")

    def run_tables(tail="", **tables):
        lines = []
        for name, keys in (SMALLEST | tables).items():
            lines += [f"[{name}]", *keys]
        return computed("\n".join([*lines, tail]), folder)

    return run_tables


def words_of_svg(svg):
    """All words of an SVG picture, one line each."""
    root = ET.fromstring(svg)
    return "\n".join("".join(e.itertext()) for e in root.iter("{http://www.w3.org/2000/svg}text"))


def words_drawn(figure):
    """Every visible text of a figure with its box on paper."""
    renderer = figure.canvas.get_renderer()
    figure.draw(renderer)
    hidden = set()  # labels of ticks beyond the ends of their axis are kept but not drawn
    all_axes = [one for axes in figure.axes for one in (axes, *axes.child_axes)]
    for axis in (axis for axes in all_axes for axis in (axes.xaxis, axes.yaxis)):
        low, high = sorted(axis.get_view_interval())
        ticks = [*axis.get_major_ticks(), *axis.get_minor_ticks()]
        beyond = [tick for tick in ticks if not low <= tick.get_loc() <= high]
        hidden |= {id(label) for tick in beyond for label in (tick.label1, tick.label2)}
    texts = [
        text
        for text in figure.findobj(Text)
        if text.get_visible() and text.get_text().strip() and id(text) not in hidden
    ]
    return [(t.get_text(), Text.get_window_extent(t, renderer)) for t in texts]  # no arrows


def legible(figure):
    """No words leave the paper or lie on others."""
    width, height = figure.bbox.width, figure.bbox.height
    boxes = words_drawn(figure)
    assert len(boxes) > 10
    for text, box in boxes:
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= width, text
        assert box.y1 <= height, text
    for (a, first), (b, second) in itertools.combinations(boxes, 2):
        across = min(first.x1, second.x1) - max(first.x0, second.x0)
        along = min(first.y1, second.y1) - max(first.y0, second.y0)
        assert min(across, along) < 1.0, f"{a!r} and {b!r}"


@pytest.fixture(scope="session")
def words_of():
    return words_of_svg


@pytest.fixture(scope="session")
def drawn_words():
    return words_drawn


@pytest.fixture(scope="session")
def check_legible():
    return legible


@pytest.fixture(scope="session")
def compared(run):
    """The smallest case's comparison, and the case."""
    _, case = run()
    strategies = list(strategies_of(case).values())
    return compare(to_setup(case), strategies, "quick", workers=1), case


@pytest.fixture(scope="session")
def rod_rows(run):
    """A thin and a thick rod for the smallest case's ball, and the case."""
    _, case = run()
    return rods(to_setup(case), [0.6e-3, 1.6e-3], "quick", workers=1), case


@pytest.fixture(scope="session")
def size_rows(run):
    """A small ball that gets ready and a large one that does not, and the case."""
    _, case = run()
    return sizes(to_setup(case), [3e-3, 10e-3], accuracy="quick", workers=1), case


@pytest.fixture(scope="session")
def ready(run):
    """A braze that gets ready and fills."""
    return run()[0]


@pytest.fixture(scope="session")
def unready(run):
    """One whose gap never gets ready."""
    return run(SHORT)[0]


@pytest.fixture(scope="session")
def off_centre(run):
    """A rod off centre, the torch going round and changing its side."""
    return run(AROUND, rod=["diameter_mm = 1.2", "eccentricity = 0.5"])[0]


@pytest.fixture(scope="session")
def short(run):
    """Half the filler that the gap takes, laid at the mouth on the torch's side."""
    return run(filler=["length_mm = 0.9"])[0]


@pytest.fixture(scope="session")
def over(run):
    """Far too much filler, laid under the rod."""
    return run(filler=["length_mm = 7", 'place = "hole-bottom"'])[0]


@pytest.fixture(scope="session")
def fed(run):
    """Filler fed by hand."""
    return run(filler=['place = "fed"'])[0]
