"""How much one check may use before it is stopped."""

from __future__ import annotations

from dataclasses import dataclass

MEGABYTE = 1 << 20
GIGABYTE = 1 << 30


@dataclass(frozen=True)
class Limits:
    """Limits on one check; judgement, no source. Memory and processor time bind on Linux and macOS only.

    Attributes:
        memory: bytes of address space of the checking process.
        seconds: wall-clock seconds of the whole check, restarts included.
        cpu_seconds: processor seconds of one checking process.
        part_seconds: wall-clock seconds that the geometry kernel may spend on one part.
        report_bytes: largest JSON report that is accepted from the checking process.
        file_bytes: largest file the checking process may write.
        unzip_bytes: largest unpacked model, by the archive's directory and while unpacking.
        unzip_ratio: largest ratio of unpacked to packed size. An ordinary model has 2 to 10; the same house
            written 200 times over has 115 (measured).
    """

    memory: int = 4 * GIGABYTE
    seconds: float = 600.0
    cpu_seconds: int = 600
    part_seconds: float = 60.0
    report_bytes: int = 512 * MEGABYTE
    file_bytes: int = 2 * GIGABYTE
    unzip_bytes: int = GIGABYTE
    unzip_ratio: float = 200.0
