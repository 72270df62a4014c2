"""The area of a simple shell by its sizes, for a line of the build-up; nothing is recorded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from wtforms import Form

from siteapp.trade import by_size
from siteapp.trade.by_size import LONGEST_MM
from siteapp.web.fields import Choice, Figure
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.trade.by_size import Shell
    from siteapp.web.fieldbase import Problem

BOX, HALF_CYLINDER, CONE, DOME = "box", "half cylinder", "cone", "dome"
# Of each shape: how its area is worked out, and from which sizes in this order.
SHAPES: Final[dict[str, tuple[Callable[..., Shell], tuple[str, ...]]]] = {
    BOX: (by_size.open_box, ("width_mm", "height_mm", "depth_mm")),
    HALF_CYLINDER: (by_size.half_cylinder, ("radius_mm", "height_mm")),
    CONE: (by_size.cone, ("radius_mm", "depth_mm")),
    DOME: (by_size.dome, ("radius_mm", "depth_mm")),
}


def _size(label: Any) -> Figure:
    return Figure(label, unit="mm", low=0.1, high=LONGEST_MM)


class AreaForm(Form):
    """A shape and its sizes. It records nothing, so it has no id and is asked for by its address."""

    shape = Choice(
        _l("Shape, open at the back"),
        required=True,
        choices=[
            (BOX, _l("Front with four sides: width, height, depth")),
            (HALF_CYLINDER, _l("Half cylinder, ends open: radius, height as its length")),
            (CONE, _l("Cone: radius at the back, depth")),
            (DOME, _l("Dome, a cap of a ball: radius at the back, depth")),
        ],
    )
    width_mm = _size(_l("Width"))
    height_mm = _size(_l("Height"))
    depth_mm = _size(_l("Depth"))
    radius_mm = _size(_l("Radius"))

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field, ask for the sizes that the shape has, and refuse others."""
        super().validate(extra_validators)
        asked = SHAPES[self.shape.data][1] if self.shape.data in SHAPES else ()
        for name in ("width_mm", "height_mm", "depth_mm", "radius_mm") if asked else ():
            field = self[name]
            if name in asked and field.is_blank():
                field.refuse(field.missing())
            elif name not in asked and not field.is_blank():
                field.refuse(_("%(label)s: this shape has none. Take it out.", label=field.label.text))
        return not any(field.errors for field in self)

    def problems(self) -> list[Problem]:
        """Label, message and element id of everything that is wrong, in the order of the page."""
        return [problem for field in self for problem in field.problems()]

    def shell(self) -> Shell:
        """What a valid form comes to."""
        work_out, names = SHAPES[self.shape.data]
        return work_out(*(self[name].data for name in names))
