"""The one figure set-up: matplotlib prepared once, and a sheet drawn in the picture's own units.

The sheet's coordinates are those of the finished SVG: (0, 0) is the upper left corner and one
unit is one point. Margins are fixed by the caller, so no layout engine runs, and nothing is
clipped, so no clip paths are written.
"""

import os
import tempfile
import threading
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
import platformdirs
from numpy.typing import NDArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Numbers = Sequence[float] | NDArray[np.float64]

WIDTH: Final = 760.0

# matplotlib keeps state in its module: whoever draws holds this lock from `Sheet` to `svg`
DRAWING: Final = threading.Lock()

_SETTINGS: Final = {
    "svg.fonttype": "none",  # words stay words: readable, selectable, colored by the sheet
    "svg.hashsalt": "sillpond",  # equal data gives equal bytes
    "text.parse_math": False,
    "path.simplify": False,  # our own reduction keeps every spike
    "figure.dpi": 72,
    "savefig.dpi": 72,
}

_ready = False


def prepare() -> None:
    """Import matplotlib and set it up, once. Call while holding `DRAWING`, or use `warm_up`."""
    global _ready  # noqa: PLW0603 - the set-up is a property of the process
    if _ready:
        return
    os.environ.setdefault("MPLCONFIGDIR", str(_font_folder()))
    import matplotlib as mpl  # noqa: PLC0415 - half a second that only drawing pays for

    mpl.rcParams.update(_SETTINGS)  # type: ignore[arg-type]  # its keys are a closed literal type
    _ready = True


def warm_up() -> None:
    """Do the slow import ahead of the first chart; meant for a thread after the server listens."""
    with DRAWING:
        prepare()


def _font_folder() -> Path:
    """A writable folder for the list of fonts, which costs 0.4 s to build anew."""
    folder = Path(platformdirs.user_cache_path("sillpond", appauthor=False)) / "charts"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return Path(tempfile.mkdtemp(prefix="sillpond-charts-"))
    return (
        folder if os.access(folder, os.W_OK) else Path(tempfile.mkdtemp(prefix="sillpond-charts-"))
    )


class Sheet:
    """A paper of WIDTH x `height` units to draw on; `texts` holds the words by their place.

    matplotlib only sees the keys of `texts`; `clean.clean` puts the words in afterward. So no
    name can be taken for markup or mathematics, or need a letter that a font lacks.
    """

    def __init__(self, height: float) -> None:
        prepare()
        from matplotlib.figure import Figure  # noqa: PLC0415

        self.height = height
        self.texts: dict[str, str] = {}
        self.figure = Figure(figsize=(WIDTH / 72, height / 72), dpi=72)
        self.axes: Axes = self.figure.add_axes((0, 0, 1, 1))
        self.axes.set_axis_off()
        self.axes.set_xlim(0, WIDTH)
        self.axes.set_ylim(height, 0)

    def line(
        self,
        x: Numbers,
        y: Numbers,
        classes: str,
        *,
        width: float = 1.0,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw one path; NaN lifts the pen."""
        if not len(x):
            return
        self.axes.plot(
            x,
            y,
            gid=classes,
            lw=width,
            clip_on=False,
            solid_capstyle="butt",
            ls=(0, dash) if dash else "-",
        )

    def marks(self, x: Numbers, y: Numbers, classes: str, shape: str, size: float) -> None:
        """Draw one mark a place; `shape` is a matplotlib marker."""
        if not len(x):
            return
        self.axes.plot(x, y, gid=classes, ls="", marker=shape, ms=size, mew=1, clip_on=False)

    def boxes(self, boxes: Iterable[tuple[float, float, float, float]], classes: str) -> None:
        """Fill boxes given as (left, top, right, bottom), as one path so that none shows twice."""
        from matplotlib.patches import PathPatch  # noqa: PLC0415
        from matplotlib.path import Path as Outline  # noqa: PLC0415

        corners: list[tuple[float, float]] = []
        codes: list[int] = []
        box = [int(c) for c in (Outline.MOVETO, *[Outline.LINETO] * 3, Outline.CLOSEPOLY)]
        for left, top, right, bottom in boxes:
            corners += [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)]
            codes += box
        if corners:
            patch = PathPatch(Outline(corners, codes), lw=0, gid=classes, clip_on=False)
            # the sheet's limits are fixed: nothing is to be measured, as `add_patch` would
            self.axes.add_artist(patch)

    def area(self, x: Numbers, top: Numbers, bottom: Numbers, classes: str) -> None:
        """Fill between two lines over the same places across, at least two of them."""
        from matplotlib.patches import Polygon  # noqa: PLC0415

        there = np.column_stack((x, top))
        back = np.column_stack((x, bottom))[::-1]
        outline = np.concatenate((there, back))
        self.axes.add_artist(Polygon(outline, closed=True, lw=0, gid=classes, clip_on=False))

    def text(
        self, x: float, y: float, words: str, classes: str = "", *, anchor: str = "left"
    ) -> None:
        """Write words with their baseline at (x, y); `anchor` is left, center or right."""
        key = f"t{len(self.texts)}"
        self.texts[key] = words
        self.axes.text(x, y, key, ha=anchor, va="baseline", gid=classes or "words")
