"""Colour profiles for the ink tests, written out byte by byte: the smallest that explain a picture's numbers.

The layout is that of ICC.1:2001-04: a header of 128 bytes, a table of tags, the tags.
"""

import struct
from itertools import product

D50 = (0.9642, 1.0, 0.8249)
SRGB_PRIMARIES = ((0.4361, 0.2225, 0.0139), (0.3851, 0.7169, 0.0971), (0.1431, 0.0606, 0.7142))
"""Red, green and blue of sRGB as XYZ, adapted to D50."""
RED_LAB = (138, 209, 198)
"""The red of sRGB as Lab in 8 bits: L* 54.3, a* 80.8, b* 69.9."""
WHITE_LAB = (255, 128, 128)

Xyz = tuple[float, float, float]


def matrix_profile(primaries: tuple[Xyz, ...] = SRGB_PRIMARIES, gamma: float = 1.0) -> bytes:
    """A profile of RGB: three primaries, one gamma."""
    colours = {f"{name}XYZ": _xyz(xyz) for name, xyz in zip("rgb", primaries, strict=True)}
    curves = {f"{name}TRC": _gamma(gamma) for name in "rgb"}
    return _profile("mntr", "RGB ", "XYZ ", {**colours, **curves})


def grey_profile(gamma: float) -> bytes:
    """A profile of greys."""
    return _profile("mntr", "GRAY", "XYZ ", {"kTRC": _gamma(gamma)})


def odd_cmyk_profile() -> bytes:
    """A profile of CMYK in which any cyan at all comes out red, and all else is paper."""
    ramp = bytes(range(256))
    corners = (RED_LAB if cyan else WHITE_LAB for cyan, *_ in product((0, 1), repeat=4))
    identity = struct.pack(">9i", *(65536 if n % 4 == 0 else 0 for n in range(9)))
    table = b"mft1" + bytes(4) + bytes((4, 3, 2, 0)) + identity + ramp * 4 + bytes(sum(corners, ())) + ramp * 3
    return _profile("prtr", "CMYK", "Lab ", {"A2B0": table})


def _xyz(xyz: Xyz) -> bytes:
    return b"XYZ " + bytes(4) + _fixed(*xyz)


def _gamma(gamma: float) -> bytes:
    return b"curv" + bytes(4) + struct.pack(">IH", 1, round(gamma * 256))


def _fixed(*numbers: float) -> bytes:
    return struct.pack(f">{len(numbers)}i", *(round(number * 65536) for number in numbers))


def _profile(kind: str, space: str, connection: str, tags: dict[str, bytes]) -> bytes:
    tags = {"wtpt": _xyz(D50), **tags}
    start = 128 + 4 + 12 * len(tags)
    table, body = struct.pack(">I", len(tags)), b""
    for name, tag in tags.items():
        table += struct.pack(">4sII", name.encode(), start + len(body), len(tag))
        body += tag + bytes(-len(tag) % 4)
    head = struct.pack(">I4xI4s4s4s", start + len(body), 0x02100000, kind.encode(), space.encode(), connection.encode())
    head += struct.pack(">6H4s", 2026, 1, 1, 0, 0, 0, b"acsp")
    return head.ljust(68, b"\0") + _fixed(*D50) + bytes(128 - 68 - 12) + table + body
