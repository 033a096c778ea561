"""A rectangle on paper, and how a layout cuts it into smaller ones.

Never draws. Points (1/72 inch), y upwards, as in a PDF.
"""

from msgspec import Struct

MM = 72 / 25.4
"""Points in a millimetre."""


class Box(Struct, frozen=True):
    """A rectangle by its lower left corner, width and height."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The x of its right edge."""
        return self.x + self.width

    @property
    def top(self) -> float:
        """The y of its upper edge."""
        return self.y + self.height

    def inset(self, across: float, down: float | None = None) -> "Box":
        """The same, smaller by so much at each side."""
        down = across if down is None else down
        return Box(self.x + across, self.y + down, self.width - 2 * across, self.height - 2 * down)

    def cut_top(self, height: float, gap: float = 0) -> tuple["Box", "Box"]:
        """A strip of its top, and what is left beneath it and a gap."""
        strip = Box(self.x, self.top - height, self.width, height)
        return strip, Box(self.x, self.y, self.width, self.height - height - gap)

    def cut_bottom(self, height: float, gap: float = 0) -> tuple["Box", "Box"]:
        """A strip of its bottom, and what is left above it and a gap."""
        rest = Box(self.x, self.y + height + gap, self.width, self.height - height - gap)
        return Box(self.x, self.y, self.width, height), rest

    def cut_left(self, width: float, gap: float = 0) -> tuple["Box", "Box"]:
        """A strip of its left, and what is left over to the right of it and a gap."""
        rest = Box(self.x + width + gap, self.y, self.width - width - gap, self.height)
        return Box(self.x, self.y, width, self.height), rest

    def cut_right(self, width: float, gap: float = 0) -> tuple["Box", "Box"]:
        """A strip of its right, and what is left over to the left of it and a gap."""
        strip = Box(self.right - width, self.y, width, self.height)
        return strip, Box(self.x, self.y, self.width - width - gap, self.height)

    def columns(self, count: int, gap: float = 0) -> list["Box"]:
        """So many equal parts side by side, from the left."""
        width = (self.width - gap * (count - 1)) / count
        return [Box(self.x + n * (width + gap), self.y, width, self.height) for n in range(count)]

    def rows(self, count: int, gap: float = 0) -> list["Box"]:
        """So many equal parts, one beneath the other, from the top."""
        height = (self.height - gap * (count - 1)) / count
        return [Box(self.x, self.top - height - n * (height + gap), self.width, height) for n in range(count)]

    def middle(self, width: float, height: float) -> "Box":
        """A box of that size in the middle of this one."""
        return Box(self.x + (self.width - width) / 2, self.y + (self.height - height) / 2, width, height)
