"""Instruments on serial lines and sockets: meters that give readings, counters that give counts."""
