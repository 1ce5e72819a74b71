"""The simulated bench behind real serial ports, for learning, demonstrating and testing.

One transformer, solved in the time domain with steels of its own, stands behind a meter, a counter and a hand; a
program meets them only through their ports.

What it does not imitate:

- inrush, remanence, and any direct current in the steel: every solution is the periodic steady state with the
  symmetry of odd harmonics;
- minor loops and a field that depends on history: the loss is a field that opposes the change of flux;
- the joint of interleaved laminations is one small constant gap; the limbs carry the same flux density everywhere;
- capacitance: no phantom volts on an open winding beyond a gigohm of leakage, no resonance, no ringing;
- skin and proximity effect, and windings that warm up under current: all copper has the temperature of the room;
- an inductance that delays the ohmmeter; crest-factor limits of the meter; its warm-up and drift;
- a second meter at the same time; a wattmeter's error with the power factor: it has a gain of its own and no more;
- the baud rate: bytes come at once, and frame errors do not happen;
- sparks, smoke, fuses and anything that hurts.
"""
