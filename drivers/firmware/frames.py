"""Lines with a check sum, out and in.

Out: `hall 1 BOOT LINE MS EDGES PER CRC`, with the doubt in edges behind PER where there is one. In: `WORD ARGS CRC`,
or by hand at a terminal `! WORD ARGS`. CRC-16, polynomial 0x1021, start 0xFFFF, over all before the last blank.
"""

_LONGEST = 64


def _table():
    made = []
    for byte in range(256):
        crc = byte << 8
        for _ in range(8):
            crc = (crc << 1) ^ 0x1021 if crc & 0x8000 else crc << 1
        made.append(crc & 0xFFFF)
    return tuple(made)


_TABLE = _table()


def check_sum(data):
    """CRC-16 of bytes."""
    crc = 0xFFFF
    for byte in data:
        crc = ((crc << 8) & 0xFFFF) ^ _TABLE[(crc >> 8) ^ byte]
    return crc


def framed(body):
    """The bytes of a line."""
    data = body.encode()
    return data + f" {check_sum(data):04X}\n".encode()


class Commands:
    """Cuts what the host sends into commands; what is damaged or too long is dropped."""

    def __init__(self):
        self._rest = b""
        self._skipping = False

    def feed(self, data):
        """The commands that end with these bytes, each a list of its words."""
        *lines, self._rest = (self._rest + data).split(b"\n")
        found = []
        for line in lines:
            if self._skipping:
                self._skipping = False
                continue
            words = _command(line)
            if words:
                found.append(words)
        if len(self._rest) > _LONGEST:
            self._rest = b""
            self._skipping = True
        return found


def _command(line):
    if len(line) > _LONGEST:
        return None
    for byte in line:
        if byte > 126 or (byte < 32 and byte != 13):
            return None
    words = line.decode().split()
    if not words:
        return None
    if words == ["identify"]:  # harmless, and what a person types first
        return words
    if words[0] == "!":
        return words[1:]
    body = " ".join(words[:-1])
    if not body or words[-1] != f"{check_sum(body.encode()):04X}":
        return None
    return words[:-1]
