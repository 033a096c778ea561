"""One record of a bench's spool, as a line that shows whether a single byte of it has changed.

Never reads or writes a file.
"""

import zlib

import msgspec
from msgspec import Struct

from scanners.age import Stamp
from shared.scan import Scan


class KeptScan(Struct, frozen=True, kw_only=True, tag="kept"):
    """A read that waits, and when it was kept."""

    scan: Scan
    stamp: Stamp


class Cleared(Struct, frozen=True, kw_only=True, tag="cleared"):
    """Reads that no longer wait."""

    read_ids: tuple[str, ...]


_encoder = msgspec.json.Encoder()
_decoder: msgspec.json.Decoder[KeptScan | Cleared] = msgspec.json.Decoder(KeptScan | Cleared)


def to_line(record: KeptScan | Cleared) -> bytes:
    """A record as it lies in the file: CRC-32 in eight lower-case hexadecimal digits, a blank, JSON.

    Line feeds on both sides: one that is damaged, or half a record before it, spoils no other record.
    """
    body = _encoder.encode(record)
    return b"\n%08x %b\n" % (zlib.crc32(body), body)


def from_line(line: bytes) -> KeptScan | Cleared | None:
    """The record of a line without its line feeds; None where not every byte is as it was written."""
    body = line[9:]
    if line[:9] != b"%08x " % zlib.crc32(body):
        return None
    try:
        return _decoder.decode(body)
    except msgspec.MsgspecError:  # whole, but of another program
        return None
