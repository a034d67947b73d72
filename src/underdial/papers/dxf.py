"""A scene as DXF in millimetres, with layers, for a drawing program or a machine.

Edges are lightweight polylines, circles circles, lettering text; fills and hatchings are left out. The y axis points
up, as drawing programs have it. The same scene gives the same bytes.
"""

from __future__ import annotations

import importlib
import io
from typing import Any

from underdial.papers.scene import Disc, Lettering, Outline, Scene

# Layer: colour of the drawing programs' own table, line type, what lies on it.
LAYERS = {
    "outline": (7, "CONTINUOUS", "to be made"),
    "context": (8, "CONTINUOUS", "beside it, for the eye"),
    "centre": (1, "CENTER", "centre lines and pitch circles"),
    "sizes": (5, "CONTINUOUS", "sizes"),
    "words": (3, "CONTINUOUS", "lettering"),
    "check": (6, "CONTINUOUS", "bar to check the scale by"),
}
_ANCHORS = {"start": "LEFT", "middle": "CENTER", "end": "RIGHT"}


def scene_dxf(scene: Scene) -> bytes:
    """The scene as an R2010 DXF file; lengths are those of the scene, which must be in millimetres."""
    ezdxf: Any = importlib.import_module("ezdxf")
    from ezdxf.enums import TextEntityAlignment

    assert scene.unit == "mm", "only a drawing in millimetres goes to DXF"
    kept = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2010", setup=["linetypes"], units=4)
        document.header["$MEASUREMENT"] = 1
        document.header["$LTSCALE"] = 0.2 / scene.scale
        for name, (colour, line, words) in LAYERS.items():
            document.layers.add(name, color=colour, linetype=line).description = words
        space = document.modelspace()
        for shape in scene.shapes:
            _add(space, shape, scene.height, TextEntityAlignment)
        out = io.StringIO()
        document.write(out)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = kept
    return out.getvalue().encode("utf-8")


def _add(space: Any, shape: Outline | Disc | Lettering, height: float, alignment: Any) -> None:
    assert shape.layer in LAYERS, shape.layer
    on = {"layer": shape.layer}
    if isinstance(shape, Disc):
        space.add_circle((shape.centre[0], height - shape.centre[1]), shape.radius, dxfattribs=on)
    elif isinstance(shape, Outline):
        for ring in shape.rings:
            space.add_lwpolyline([(x, height - y) for x, y in ring], close=shape.closed, dxfattribs=on)
    else:
        text = space.add_text(shape.words, height=0.7 * shape.size, rotation=-shape.turn, dxfattribs=on)
        text.set_placement((shape.at[0], height - shape.at[1]), align=alignment[_ANCHORS[shape.anchor]])
